"""What is written for a person: whole or not at all, never through a link, never over another's."""

from __future__ import annotations

import errno
import os
import stat
from pathlib import Path

import pytest

from assistant.journal import exported
from assistant.journal.exported import is_another, write_private
from assistant.journal.file import read_journal
from assistant.reasoning.consultation import consult
from assistant.report.card import card
from assistant.report.sheet import sheet
from assistant.ruleset.ruleset import Ruleset
from assistant.teaching.handout import handout
from assistant.teaching.replay import Replay

DEMOS = Path(__file__).resolve().parents[2] / "transcripts_demo"


def test_a_new_file_and_a_replaced_one_are_private(tmp_path: Path) -> None:
    path = tmp_path / "sheet.html"
    path.write_text("old")
    path.chmod(0o644)
    before = os.umask(0)
    try:
        write_private(path, "new")
        write_private(tmp_path / "other.html", "words")
    finally:
        os.umask(before)
    assert (path.read_text(), (tmp_path / "other.html").read_text()) == ("new", "words")
    assert {stat.S_IMODE(p.stat().st_mode) for p in tmp_path.iterdir()} == {0o600}


def test_nothing_is_written_through_a_link(tmp_path: Path) -> None:
    (tmp_path / "mine").write_text("mine")
    for target in ("mine", "nowhere"):
        link = tmp_path / f"to-{target}"
        link.symlink_to(target)
        with pytest.raises(OSError, match="it is a link") as refused:
            write_private(link, "new")
        assert refused.value.strerror and link.is_symlink() and not is_another(link)
    assert (tmp_path / "mine").read_text() == "mine" and not (tmp_path / "nowhere").exists()


def test_what_is_no_file_is_left_alone(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    for path in (tmp_path, tmp_path / "pipe", Path("/dev/null")):
        with pytest.raises(OSError, match="no ordinary file"):
            write_private(path, "new")
        assert not is_another(path)
    assert not Path("/dev/null").is_file()


@pytest.mark.parametrize("step", ["fsync", "mkstemp", "replace"])
def test_the_old_file_stays_whole_where_the_new_one_fails(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    path = tmp_path / "sheet.html"
    path.write_text("old")
    code = errno.EACCES if step == "mkstemp" else errno.ENOSPC

    def fails(*_: object, **__: object) -> None:
        raise OSError(code, os.strerror(code))

    owner = {"fsync": os, "mkstemp": exported.tempfile, "replace": Path}[step]
    with monkeypatch.context() as broken:
        broken.setattr(owner, step, fails)
        with pytest.raises(OSError, match=os.strerror(code)):
            write_private(path, "new")
    assert [p.name for p in tmp_path.iterdir()] == ["sheet.html"]
    assert path.read_text() == "old"


@pytest.mark.parametrize("path", sorted(DEMOS.glob("*.jsonl")), ids=lambda p: p.stem)
def test_every_form_is_known_as_ours(gb_cars: Ruleset, tmp_path: Path, path: Path) -> None:
    journal = read_journal(path)
    result, replay = consult(gb_cars, journal), Replay(gb_cars, journal)
    forms = [sheet(result, journal, form) for form in ("html", "md", "json")]
    forms += [card(gb_cars, journal, form) for form in ("text", "md", "html")]
    forms += [handout(replay, form, "A case", "", answers) for form in ("html", "md")
              for answers in (False, True)]  # fmt: skip
    for text in forms:
        write_private(tmp_path / "it", text)
        assert not is_another(tmp_path / "it"), text[:80]
    assert is_another(path)  # a record is no export


@pytest.mark.parametrize("text", ["", "my notes\n", "<!DOCTYPE html>\n<html>", "{}\n", "\0\xff"])
def test_a_file_of_another_sort_is_not_ours(tmp_path: Path, text: str) -> None:
    path = tmp_path / "it"
    path.write_text(text)
    assert is_another(path)
    assert not is_another(tmp_path / "not there")
