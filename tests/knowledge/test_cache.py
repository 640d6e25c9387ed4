"""The kept copy of a built ruleset: taken where it is good, and harmless where it is not."""

from __future__ import annotations

import io
import os
import pickle
import shutil
from pathlib import Path
from typing import Any

import pytest

from assistant.knowledge import building
from assistant.knowledge import files as files_module
from assistant.knowledge.building import build_ruleset
from assistant.knowledge.cache import read_cached
from assistant.knowledge.files import files_of
from assistant.knowledge.models import Basis, Urgency, Who
from assistant.knowledge.ruleset import Ruleset, load_ruleset
from assistant.reasoning.compiler import compiled_or_none

ROOT = Path(__file__).resolve().parent.parent.parent
ALLOWED = ("assistant.knowledge.", "assistant.reasoning.compiler", "datetime date", "pathlib",
           "builtins set", "builtins frozenset")  # fmt: skip


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return Path(shutil.copytree(ROOT / "tests" / "support" / "tiny", tmp_path / "tiny"))


@pytest.fixture
def cache(tmp_path: Path) -> Path:
    return tmp_path / "cache"


def kept(folder: Path, cache: Path) -> Any:
    """The copy that a start would take now."""
    return read_cached(folder, cache, files_of(folder))


def copy_in(cache: Path) -> Path:
    (path,) = cache.glob("*.kept")
    return path


def names_in(data: bytes) -> set[str]:
    """What a pickle looks up when it is read, as "module name"."""
    found: set[str] = set()

    class Noting(pickle.Unpickler):
        def find_class(self, module: str, name: str) -> object:
            found.add(f"{module} {name}")
            return super().find_class(module, name)

    Noting(io.BytesIO(data)).load()
    return found


@pytest.mark.parametrize("name", ["tests/support/tiny", "rulesets/gb-cars"])
def test_the_second_load_takes_the_copy_and_is_the_same(name: str, cache: Path) -> None:
    first = load_ruleset(ROOT / name, cache, compiled_or_none)
    again = kept(ROOT / name, cache)
    assert isinstance(again, Ruleset)
    assert (again.digest, again.about) == (first.digest, first.about)
    assert again.inferences == first.inferences and list(again.inferences) == list(first.inferences)
    assert again.compiled == first.compiled and again.questions == first.questions


def test_a_copy_looks_up_nothing_but_what_a_ruleset_is_made_of(folder: Path, cache: Path) -> None:
    load_ruleset(folder, cache, compiled_or_none)
    found = names_in(copy_in(cache).read_bytes())
    assert any(name.startswith("assistant.knowledge.ruleset") for name in found)
    assert [name for name in found if not name.startswith(ALLOWED)] == []


@pytest.mark.parametrize("word", [*Basis, *Urgency, *Who])
def test_a_word_of_a_closed_list_is_kept_by_its_value(word: Basis | Urgency | Who) -> None:
    """Source: enum.py of CPython 3.11.2, whose enums with values of a type of their own are
    copied by getattr. Basis: seen; no copy was ever taken on Debian 12's own Python."""
    data = pickle.dumps(word, 5)
    assert pickle.loads(data) is word
    assert names_in(data) == {f"assistant.knowledge.models {type(word).__name__}"}


def test_a_changed_file_has_another_copy(folder: Path, cache: Path) -> None:
    load_ruleset(folder, cache, compiled_or_none)
    assert kept(folder, cache) is not None
    about = folder / "ruleset.yaml"
    about.write_text(about.read_text(encoding="utf-8") + "\n# more\n", encoding="utf-8")
    assert kept(folder, cache) is None
    assert isinstance(load_ruleset(folder, cache, compiled_or_none), Ruleset)
    assert kept(folder, cache) is not None


class Bad:
    """A pickle of it would make a folder when it is read."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def __reduce__(self) -> tuple[object, tuple[str]]:
        return os.mkdir, (str(self.path),)


def test_a_copy_that_would_do_something_is_not_taken(folder: Path, cache: Path) -> None:
    load_ruleset(folder, cache, compiled_or_none)
    made = cache / "made"
    copy_in(cache).write_bytes(pickle.dumps(Bad(made)))
    assert kept(folder, cache) is None and not made.exists()
    pickle.loads(copy_in(cache).read_bytes())  # what an ordinary reader would have done
    assert made.exists()


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


@pytest.mark.skipif(not hasattr(os, "getuid"), reason="this system has no users to tell apart")
@pytest.mark.parametrize("which", ["the copy", "its folder"])
def test_a_copy_that_others_may_write_is_not_taken(folder: Path, cache: Path, which: str) -> None:
    load_ruleset(folder, cache, compiled_or_none)
    path = copy_in(cache) if which == "the copy" else cache
    path.chmod(path.stat().st_mode | 0o022)
    assert kept(folder, cache) is None


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
        patch.setattr(files_module.Path, "open", opened)
        patch.setattr(building, "build_ruleset", build)
        first = load_ruleset(folder, cache, compiled_or_none)
    assert saving.new in saving.path.read_bytes()
    again = load_ruleset(folder, cache, compiled_or_none)
    assert again.questions["shaky"].ask == saving.new.decode()
    assert first.questions["shaky"].ask in (saving.old.decode(), saving.new.decode())
    same = first.questions["shaky"].ask == again.questions["shaky"].ask
    assert same == (moment == "before parts.yaml") == (first.read == again.read)


def test_a_copy_has_no_places_of_a_file_that_has_changed(folder: Path, cache: Path) -> None:
    load_ruleset(folder, cache, compiled_or_none)
    copy = kept(folder, cache)
    Saving(folder).path.write_text("other: words\n")
    assert list(copy.positions["parts.yaml"]) == []
    assert len(copy.positions["ruleset.yaml"]) > 10
