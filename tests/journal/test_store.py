"""Journals on disk: nothing lost, nothing silently mended, nothing shared."""

from __future__ import annotations

import errno
import os
import signal
import stat
import subprocess
import sys
import time
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.errors import JournalError
from assistant.journal import file as store
from assistant.journal import jsonl, paths
from assistant.journal.class_file import Predicted, append_predictions
from assistant.journal.entries import Answer, Context, Said
from assistant.journal.file import JournalFile, Stored, list_journals, read_journal
from assistant.journal.paths import journal_paths, new_journal_path, slug
from tests.support.saying import DAY, say, start

PREDICTED = Predicted(case="a", step=3, name="Ann", category=(None, "major"), drive=("no", "yes"))


def stored(path: Path, count: int = 3) -> Path:
    with JournalFile.create(path, start()[0]) as journal:
        for number in range(count):
            entries = [journal.entries[0]]
            say(entries, "depth@left", float(number), words=f"about {number}")
            journal.append([entries[1].model_copy(update={"turn": number + 1})])
    return path


def test_what_is_written_is_read_again(tmp_path: Path) -> None:
    path = stored(tmp_path / "a.jsonl")
    entries = read_journal(path)
    assert [getattr(e, "words", None) for e in entries] == [None, "about 0", "about 1", "about 2"]


def test_a_record_is_private_to_its_owner(tmp_path: Path) -> None:
    path = stored(tmp_path / "cars" / "a.jsonl")
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert stat.S_IMODE(path.parent.stat().st_mode) == 0o700


@pytest.mark.parametrize("cut", [1, 5, 40])
def test_a_torn_last_line_is_left_out_and_cut_off(tmp_path: Path, cut: int) -> None:
    path = stored(tmp_path / "a.jsonl")
    raw = path.read_bytes()
    path.write_bytes(raw[:-cut] if cut > 1 else raw[:-2])
    assert len(read_journal(path)) == 3
    with JournalFile.open(path) as journal:
        assert len(journal.entries) == 3
        journal.append([Said(turn=9, question="shaky", answer=Answer(word="no"))])
    assert [e.turn for e in read_journal(path)] == [0, 1, 2, 9]


def test_a_last_line_that_only_lacks_its_newline_is_kept(tmp_path: Path) -> None:
    path = stored(tmp_path / "a.jsonl")
    path.write_bytes(path.read_bytes()[:-1])
    with JournalFile.open(path) as journal:
        assert len(journal.entries) == 4
        journal.append([Said(turn=9, question="shaky", answer=Answer(word="no"))])
    assert len(read_journal(path)) == 5


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"\n",
        b"not json\n",
        b"\xff\xfe\n",
        b"[]\n",
        b'{"kind": "said", "turn": 1, "question": "x", "answer": {"word": "yes"}}\n',
        b'{"kind": "context", "today": "2026-01-15", "ruleset": "tiny", "format": 2}\n',
        b'{"kind": "context", "today": "yesterday", "ruleset": "tiny"}\n',
        b"[" * 100_000 + b"\n",
    ],
)
def test_what_is_no_record_is_refused_plainly(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "a.jsonl"
    path.write_bytes(content)
    with pytest.raises(JournalError) as error:
        read_journal(path)
    assert str(path) in str(error.value)


@pytest.mark.parametrize(
    "line",
    [
        b"garbage",
        b'{"kind": "said", "turn": 2, "question": "x", "answer": {"lo": NaN, "hi": 1}}',
        b'{"kind": "said", "turn": 2, "question": "x", "answer": {"lo": 1e999, "hi": 1e999}}',
        b'{"kind": "said", "turn": 2, "question": "x", "answer": {"lo": 3, "hi": 1}}',
        b'{"kind": "said", "turn": 2, "question": "x", "answer": {"word": "a", "text": "b"}}',
        b'{"kind": "said", "turn": 2, "question": "x", "answer": {"state": "value"}}',
        b'{"kind": "guessed", "turn": 2}',
    ],
)
def test_a_damaged_line_in_the_middle_is_named_by_its_number(tmp_path: Path, line: bytes) -> None:
    path = stored(tmp_path / "a.jsonl")
    rows = path.read_bytes().split(b"\n")
    rows[2] = line
    path.write_bytes(b"\n".join(rows))
    with pytest.raises(JournalError, match="line 3"):
        read_journal(path)


@given(st.binary(max_size=300))
@settings(max_examples=200, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_no_bytes_make_the_reader_do_anything_but_refuse(tmp_path: Path, raw: bytes) -> None:
    path = tmp_path / "a.jsonl"
    path.write_bytes(raw)
    with pytest.raises(JournalError):
        read_journal(path)


def test_two_copies_cannot_write_one_record(tmp_path: Path) -> None:
    path = stored(tmp_path / "a.jsonl")
    with JournalFile.open(path), pytest.raises(JournalError, match="another window"):
        JournalFile.open(path)
    with JournalFile.open(path):
        pass


@pytest.mark.parametrize("code", [errno.ENOLCK, errno.EOPNOTSUPP])
def test_a_disk_without_locks_is_no_other_window(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, code: int
) -> None:
    path = stored(tmp_path / "a.jsonl")

    def none(handle: int, how: int) -> None:
        raise OSError(code, os.strerror(code))

    monkeypatch.setattr(jsonl.fcntl, "flock", none)
    for start_it in (
        lambda: JournalFile.open(path),
        lambda: JournalFile.create(tmp_path / "b.jsonl", start()[0]),  # type: ignore[arg-type]
        lambda: append_predictions(tmp_path / "class.jsonl", [PREDICTED]),
    ):
        with pytest.raises(JournalError, match=r"cannot be locked on this disk: .* another disk"):
            start_it()
    assert not (tmp_path / "b.jsonl").exists()
    assert len(read_journal(path)) == 4


def test_a_full_disk_is_said_when_a_record_is_opened(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = stored(tmp_path / "a.jsonl")
    path.write_bytes(path.read_bytes()[:-1])

    def full(handle: object, good: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(store, "mend_end", full)
    with pytest.raises(JournalError, match="cannot be opened: No space left on device"):
        JournalFile.open(path)


def test_a_folder_that_cannot_be_written_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    with pytest.raises(JournalError, match="cannot be made"):
        JournalFile.create(tmp_path / "file" / "a.jsonl", start()[0])  # type: ignore[arg-type]


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs /dev/full")
def test_a_full_disk_is_said_and_what_was_written_stays(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = stored(tmp_path / "a.jsonl")
    with JournalFile.open(path) as journal:
        with Path("/dev/full").open("r+b", buffering=0) as full:
            own, journal._handle = journal._handle, full
            with pytest.raises(JournalError, match="could not be written"):
                journal.append([Said(turn=9, question="shaky", answer=Answer(word="no"))])
            journal._handle = own
        assert len(journal.entries) == 4
    assert len(read_journal(path)) == 4


WRITER = """
import sys, datetime
from pathlib import Path
from assistant.journal.entries import Answer, Context, Said
from assistant.journal.file import (JournalFile)
context = Context(today=datetime.date(2026, 1, 15), ruleset="tiny")
with JournalFile.create(Path(sys.argv[1]), context) as journal:
    for turn in range(1, 100000):
        journal.append([Said(turn=turn, question="depth", at="left", answer=Answer(lo=1, hi=1))])
        print(turn, flush=True)
"""


@pytest.mark.skipif(os.name == "nt", reason="needs kill -9")
def test_kill_9_loses_no_answer_that_was_taken(tmp_path: Path) -> None:
    path = tmp_path / "a.jsonl"
    child = subprocess.Popen(
        [sys.executable, "-c", WRITER, str(path)],
        stdout=subprocess.PIPE,
        text=True,
        cwd=Path(__file__).resolve().parent.parent.parent,
    )
    assert child.stdout is not None
    deadline = time.monotonic() + 20
    last = 0
    for line in child.stdout:
        last = int(line)
        if last >= 50 or time.monotonic() > deadline:
            break
    child.send_signal(signal.SIGKILL)
    said = child.stdout.read().split()
    child.stdout.close()
    child.wait()
    last = int(said[-1]) if said else last
    entries = read_journal(path)
    assert last >= 50
    assert len(entries) - 1 in (last, last + 1)


def test_paths_are_found_again_newest_first(tmp_path: Path) -> None:
    first = stored(new_journal_path(tmp_path, "My Car", DAY))
    second = stored(new_journal_path(tmp_path, "my car", DAY))
    assert (first.name, second.name) == ("2026-01-15-1.jsonl", "2026-01-15-2.jsonl")
    os.utime(first, (1, 1))
    (tmp_path / "my-car" / "2020-01-01-1.jsonl").write_text("broken")
    found = list(list_journals(tmp_path, "MY CAR"))
    assert [s.path for s in found if isinstance(s, Stored)] == [second, first]
    assert sum(isinstance(s, JournalError) for s in found) == 1


@given(st.text(max_size=200))
def test_any_name_makes_a_harmless_folder_name(name: str) -> None:
    made = slug(name)
    assert made
    assert set(made) <= set("abcdefghijklmnopqrstuvwxyz0123456789-")


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("AB12 CDE", "AB12CDE"),
        ("ab12cde", " AB 12 CDE "),
        ("AB-12-CDE", "AB12 CDE"),
        ("My car", "my  CAR"),
        ("Zo\u00eb", "Zoe\u0308"),
        ("Zo\u00eb", "ZO\u00cb"),
    ],
)
def test_two_spellings_of_one_car_have_one_folder(tmp_path: Path, one: str, other: str) -> None:
    assert slug(one) == slug(other)
    path = stored(new_journal_path(tmp_path, one, DAY))
    assert journal_paths(tmp_path, other) == [path]


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Zo\u00eb", "Zo!"),
        ("Zo!", "Zo"),
        ("Zo!", "Zo?"),
        ("car \u0436", "car"),
        ("a" * 60, "a" * 59 + "b"),
        ("my car", "mycar"),
        ("\u043a\u0438\u0439", "\u043a\u0438\u0438"),
    ],
)
def test_two_cars_share_no_folder(one: str, other: str) -> None:
    assert slug(one) != slug(other)
    assert all(len(slug(name)) <= 40 for name in (one, other))


def test_folders_of_the_first_versions_are_found(tmp_path: Path) -> None:
    def old(folder: str, car: str, number: int) -> Path:
        context = Context(today=DAY, ruleset="tiny", car=car)
        path = tmp_path / folder / f"2026-01-15-{number}.jsonl"
        JournalFile.create(path, context).close()
        return path

    zoe, zo, plate = old("zo", "Zo\u00eb", 1), old("zo", "Zo!", 2), old("ab12-cde", "AB12 CDE", 1)
    odd = old("zo", "", 3)
    assert set(journal_paths(tmp_path, "Zo\u00eb")) == {zoe, odd}
    assert set(journal_paths(tmp_path, "Zo!")) == {zo, odd}
    assert journal_paths(tmp_path, "AB12CDE") == [plate]
    assert len(journal_paths(tmp_path)) == 4


def test_all_that_is_made_is_private_and_synced(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    synced: list[Path] = []
    monkeypatch.setattr(jsonl, "sync_folder", synced.append)
    monkeypatch.setattr(paths, "sync_folder", synced.append)
    before = os.umask(0)
    try:
        path = stored(tmp_path / "home" / "records" / "bus" / "a.jsonl")
        append_predictions(tmp_path / "class.jsonl", [PREDICTED])
        append_predictions(tmp_path / "class.jsonl", [PREDICTED])
    finally:
        os.umask(before)
    modes = {p.name: oct(stat.S_IMODE(p.stat().st_mode)) for p in tmp_path.rglob("*")}
    assert modes == {
        "home": "0o700", "records": "0o700", "bus": "0o700", "a.jsonl": "0o600",
        "class.jsonl": "0o600",
    }  # fmt: skip
    assert synced == [*path.parents[3:0:-1], path.parent, tmp_path]


def test_two_cars_named_in_other_letters_do_not_share_a_folder() -> None:
    assert slug("\u0436\u0443\u043a") != slug("\u043a\u0440\u043e\u0442")
    assert slug("\u0416\u0423\u041a") == slug("\u0436\u0443\u043a")


def test_context_is_the_first_entry(tmp_path: Path) -> None:
    assert isinstance(read_journal(stored(tmp_path / "a.jsonl"))[0], Context)
