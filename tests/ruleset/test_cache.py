"""The kept copy of a built ruleset: taken where it is good, and harmless where it is not."""

from __future__ import annotations

import os
import shutil
from pathlib import Path
from typing import Any

import pytest

from assistant.errors import Place
from assistant.reasoning.compiler import compiled_or_none
from assistant.ruleset import build as building
from assistant.ruleset import kept as cache_module
from assistant.ruleset.build import build_ruleset
from assistant.ruleset.kept import files_of, key_of, read_kept
from assistant.ruleset.load import load_ruleset
from assistant.ruleset.ruleset import Ruleset

ROOT = Path(__file__).resolve().parent.parent.parent


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return Path(shutil.copytree(ROOT / "tests" / "support" / "tiny", tmp_path / "tiny"))


@pytest.fixture
def cache(tmp_path: Path) -> Path:
    return tmp_path / "cache"


def kept(folder: Path, cache: Path) -> Any:
    """The copy that a start would take now."""
    return read_kept(cache, key_of(folder, files_of(folder)))


def copy_in(cache: Path) -> Path:
    (path,) = cache.glob("*.kept")
    return path


@pytest.mark.parametrize("name", ["tests/support/tiny", "rulesets/gb-cars"])
def test_the_second_load_takes_the_copy_and_is_the_same(name: str, cache: Path) -> None:
    first = load_ruleset(ROOT / name, cache, compiled_or_none)
    again = kept(ROOT / name, cache)
    assert isinstance(again, Ruleset)
    assert (again.digest, again.about) == (first.digest, first.about)
    assert again.inferences == first.inferences and list(again.inferences) == list(first.inferences)
    assert again.compiled == first.compiled and again.questions == first.questions


def test_a_changed_file_has_another_copy(folder: Path, cache: Path) -> None:
    load_ruleset(folder, cache, compiled_or_none)
    assert kept(folder, cache) is not None
    about = folder / "ruleset.yaml"
    about.write_text(about.read_text(encoding="utf-8") + "\n# more\n", encoding="utf-8")
    assert kept(folder, cache) is None
    assert isinstance(load_ruleset(folder, cache, compiled_or_none), Ruleset)
    assert kept(folder, cache) is not None


@pytest.mark.parametrize("what", ["a file of the rules", "the program"])
def test_a_copy_of_other_rules_or_of_another_program_is_not_taken(
    folder: Path, cache: Path, monkeypatch: pytest.MonkeyPatch, what: str
) -> None:
    """A change of one letter, with the size and the times as they were."""
    program = Path(shutil.copytree(ROOT / "assistant", cache.parent / "assistant"))
    monkeypatch.setattr(cache_module, "__file__", str(program / "knowledge" / "cache.py"))
    load_ruleset(folder, cache, compiled_or_none)
    path = folder / "ruleset.yaml" if what != "the program" else program / "errors.py"
    state, text = path.stat(), path.read_text(encoding="utf-8")
    path.write_text(text.replace("a", "b", 1), encoding="utf-8")
    os.utime(path, ns=(state.st_atime_ns, state.st_mtime_ns))
    assert kept(folder, cache) is None
    path.write_text(text, encoding="utf-8")
    assert kept(folder, cache) is not None


@pytest.mark.parametrize("share", [0.0, 0.5, 0.999])
def test_a_torn_copy_is_not_taken_and_the_files_are_read(
    folder: Path, cache: Path, share: float
) -> None:
    first = load_ruleset(folder, cache, compiled_or_none)
    whole = copy_in(cache).read_bytes()
    copy_in(cache).write_bytes(whole[: int(len(whole) * share)])
    assert kept(folder, cache) is None
    assert load_ruleset(folder, cache, compiled_or_none).inferences == first.inferences
    assert kept(folder, cache) is not None


def test_a_copy_with_one_letter_changed_is_not_taken(folder: Path, cache: Path) -> None:
    load_ruleset(folder, cache, compiled_or_none)
    whole = copy_in(cache).read_bytes()
    copy_in(cache).write_bytes(whole.replace(b"shaky", b"shady", 1))
    assert copy_in(cache).read_bytes() != whole and kept(folder, cache) is None


@pytest.mark.skipif(not hasattr(os, "getuid"), reason="this system has no users to tell apart")
@pytest.mark.parametrize("mode", [0o020, 0o002, 0o004])
@pytest.mark.parametrize("which", ["the copy", "its folder"])
def test_a_copy_that_is_not_ours_alone_is_not_taken(
    folder: Path, cache: Path, which: str, mode: int
) -> None:
    load_ruleset(folder, cache, compiled_or_none)
    path = copy_in(cache) if which == "the copy" else cache
    path.chmod(path.stat().st_mode | mode)
    assert kept(folder, cache) is None
    load_ruleset(folder, cache, compiled_or_none)
    assert kept(folder, cache) is not None


@pytest.mark.skipif(not hasattr(os, "getuid"), reason="this system has no users to tell apart")
def test_a_copy_of_another_user_is_not_taken(
    folder: Path, cache: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    load_ruleset(folder, cache, compiled_or_none)
    monkeypatch.setattr(os, "getuid", lambda: cache.stat().st_uid + 1)
    assert kept(folder, cache) is None


def test_where_no_copy_can_be_kept_the_files_are_read(folder: Path, cache: Path) -> None:
    cache.write_text("a file where the folder should be")
    assert isinstance(load_ruleset(folder, cache, compiled_or_none), Ruleset)


def test_only_the_newest_copies_stay(folder: Path, cache: Path) -> None:
    about = folder / "ruleset.yaml"
    for number in range(8):
        about.write_text(about.read_text(encoding="utf-8") + "# more\n", encoding="utf-8")
        load_ruleset(folder, cache, compiled_or_none)
        os.utime(cache / f"{key_of(folder, files_of(folder))}.kept", (number, number))
    assert kept(folder, cache) is not None and len(list(cache.iterdir())) == 6


# saved while it is read -----------------------------------------------------------------


class Saving:
    """Saves a file of rules with another word in it, at a given moment of a load."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / "parts.yaml"
        self.old, self.new = b"Did it shake?", b"Did it rattle?"
        self.saved = False
        assert self.old in self.path.read_bytes()

    def save(self) -> None:
        if not self.saved:
            self.saved = True
            self.path.write_bytes(self.path.read_bytes().replace(self.old, self.new))


@pytest.mark.parametrize("moment", ["before parts.yaml", "after it", "after all", "at the end"])
def test_a_file_saved_while_it_is_read_is_read_at_the_next_start(
    folder: Path, cache: Path, monkeypatch: pytest.MonkeyPatch, moment: str
) -> None:
    """Whatever was read, the next start has the rules that stand in the files."""
    saving = Saving(folder)
    whole = Path.open

    def opened(path: Path, *given: Any, **more: Any) -> Any:
        file = whole(path, *given, **more)
        if path.name == "ruleset.yaml" and moment == "after it":
            saving.save()  # it comes after parts.yaml
        elif path == saving.path and moment == "before parts.yaml" and not saving.saved:
            file.close()
            saving.save()
            return whole(path, *given, **more)
        return file

    def build(*given: Any) -> Any:
        if moment == "after all":
            saving.save()
        made = build_ruleset(*given)
        if moment == "at the end":
            saving.save()
        return made

    with monkeypatch.context() as patch:
        patch.setattr(cache_module.Path, "open", opened)
        patch.setattr(building, "build_ruleset", build)
        first = load_ruleset(folder, cache, compiled_or_none)
    assert saving.new in saving.path.read_bytes()
    again = load_ruleset(folder, cache, compiled_or_none)
    assert again.questions["shaky"].ask == saving.new.decode()
    assert first.questions["shaky"].ask in (saving.old.decode(), saving.new.decode())
    same = first.questions["shaky"].ask == again.questions["shaky"].ask
    assert same == (moment == "before parts.yaml") == (first.read == again.read)


def test_a_copy_knows_places_but_not_those_of_files_that_have_changed(
    folder: Path, cache: Path
) -> None:
    first = load_ruleset(folder, cache, compiled_or_none)
    copy = kept(folder, cache)
    assert copy.place("parts", "questions", "shaky") == first.place("parts", "questions", "shaky")
    assert copy.place("parts", "questions", "shaky").line > 1
    copy = kept(folder, cache)
    Saving(folder).save()
    assert copy.place("parts", "questions", "shaky") == Place("parts.yaml")
