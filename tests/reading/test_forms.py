"""The forms of words that stand as plain text in assistant/reading/forms/."""

import re

import pytest

from assistant.reading import forms as read
from assistant.reading.forms import FOLDER, FormsError, form_lists, forms, rewrites, word_list


@pytest.fixture
def written(tmp_path, monkeypatch):
    monkeypatch.setattr(read, "FOLDER", tmp_path)
    for cached in (forms, form_lists):
        cached.cache_clear()

    def write(text):
        (tmp_path / "told.txt").write_text(text, encoding="utf-8")

    yield write
    for cached in (forms, form_lists):
        cached.cache_clear()


@pytest.mark.parametrize("subject", sorted(file.stem for file in FOLDER.glob("*.txt")))
def test_every_list_has_forms_and_each_can_be_read(subject):
    for name, each in form_lists(subject).items():
        assert each, name
        for form in each:
            try:
                re.compile(form)
            except re.error as wrong:
                pytest.fail(f"{subject}.txt, list {name}: {wrong} in {form}")


def test_forms_are_joined_and_others_are_named(written):
    written("# people\n[who]\nit\n(they|we)\n\n[has]\n{who} has( a)? [(]\n(?P<rest>{who}{2})\n")
    assert forms("told")["has"] == (
        "(?:it|(?:they|we)) has(?: a)? [(]|(?P<rest>(?:it|(?:they|we)){2})"
    )


def test_what_is_written_instead(written):
    written('[short]\n(can\'t|cant) -> "can not"\n(?P<word>do)nt -> "\\1 not"\n')
    text = "i cant, they dont"
    for short, full in rewrites("told", "short"):
        text = short.sub(full, text)
    assert text == "i can not, they do not"


def test_plain_words(written):
    written("[small]\na an\nthe\n")
    assert word_list("told", "small") == {"a", "an", "the"}


@pytest.mark.parametrize(
    ("text", "because"),
    [
        ("it\n", "told.txt, line 1: a form stands before the first list"),
        ("[a]\nb\n[a]\n", "told.txt, line 3: there is a list a already"),
        ("[a]\n\n{b} c\n[b]\nd\n", "told.txt, line 3: no list b stands above"),
    ],
)
def test_what_cannot_be_read_is_said_with_its_line(written, text, because):
    written(text)
    with pytest.raises(FormsError, match=re.escape(because)):
        forms("told")
