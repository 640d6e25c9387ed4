"""Which of several like parts are not right."""

import pytest

from assistant.reading.groups import understand_group
from assistant.reading.result import GroupHeard, Unclear
from tests.reading.test_understanding_questions import FRONT, ODDS, PAIR, WHEELS

FINE = """all fine|none|no|all good|all lit|nope|nothing|they all work|all working|both fine|ok|
all ok|none out|none are out|neither is out|everything works|nothing wrong|all on|yes all fine|
no problems|they're both fine|both work|fine|none of them|all of them work|no, all fine|
all lit up"""


@pytest.mark.parametrize("words", [w.strip() for w in FINE.split("|")])
def test_all_fine(words):
    found = understand_group(words, PAIR)
    assert isinstance(found, GroupHeard)
    assert (found.named, found.unknown, found.all_unknown, found.sure) == ((), (), False, True)


@pytest.mark.parametrize(
    ("words", "items", "named"),
    [
        ("left one's out", PAIR, (0,)), ("left", PAIR, (0,)), ("the right one", PAIR, (1,)),
        ("2", PAIR, (1,)), ("1 and 2", PAIR, (0, 1)), ("nearside", PAIR, (0,)),
        ("near side", PAIR, (0,)), ("driver's side", PAIR, (1,)), ("only the left", PAIR, (0,)),
        ("left not working", PAIR, (0,)), ("left doesn't light up", PAIR, (0,)),
        ("left fine, right out", PAIR, (1,)), ("all fine but the left", PAIR, (0,)),
        ("none but the left", PAIR, (0,)), ("left and right", PAIR, (0, 1)),
        ("the left hand one", PAIR, (0,)), ("passenger side bulb has gone", PAIR, (0,)),
        ("front nearside", WHEELS, (0,)), ("both rear", WHEELS, (2, 3)), ("back left", WHEELS,
        (2,)),
        ("the back left one", WHEELS, (2,)), ("all rear", WHEELS, (2, 3)), ("2 and 4", WHEELS, (1,
        3)),
        ("2,4", WHEELS, (1, 3)), ("osr and osf", WHEELS, (1, 3)), ("front ones", WHEELS, (0, 1)),
        ("front nearside, rear offside", WHEELS, (0, 3)), ("all the left ones", WHEELS, (0, 2)),
        ("both left", WHEELS, (0, 2)), ("the first one", WHEELS, (0,)), ("number 3", WHEELS, (2,)),
        ("the one at the front on the left", WHEELS, (0,)), ("left rear is cut", WHEELS, (2,)),
        ("all fine except back left and front right", WHEELS, (1, 2)),
        ("left dipped", FRONT, (0,)), ("dipped left", FRONT, (0,)), ("both dipped", FRONT, (0, 1)),
        ("dipped beam left and main beam right", FRONT, (0, 3)), ("1, 3 and 5", FRONT, (0, 2, 4)),
        ("left indicator is not working", FRONT, (4,)), ("both indicators", FRONT, (4, 5)),
        ("horn and washers", ODDS, (0, 1)), ("washers and wipers", ODDS, (1,)),
        ("the horn doesn't work", ODDS, (0,)), ("horn, washers and wipers", ODDS, (0, 1)),
        ("horn broken and mirror cracked", ODDS, (0, 2)),
    ],
)  # fmt: skip
def test_parts_named(words, items, named):
    found = understand_group(words, items)
    assert isinstance(found, GroupHeard), found
    assert (found.named, found.unknown, found.sure) == (named, (), True)


@pytest.mark.parametrize(
    ("words", "items", "named"),
    [
        ("all of them", PAIR, (0, 1)), ("both", PAIR, (0, 1)), ("both out", PAIR, (0, 1)),
        ("neither works", PAIR, (0, 1)), ("none of them work", PAIR, (0, 1)),
        ("nothing works", PAIR, (0, 1)), ("they don't work", PAIR, (0, 1)),
        ("all but the left", PAIR, (0,)), ("maybe the left", PAIR, (0,)), ("lefft", PAIR, (0,)),
        ("all four", WHEELS, (0, 1, 2, 3)), ("everything but the rear left", WHEELS, (2,)),
        ("front left and right", WHEELS, (0, 1)), ("frnt left", WHEELS, (0,)),
        ("no cuts", WHEELS, ()), ("left dipped and main", FRONT, (0, 2)),
        ("all but dipped left", FRONT, (0,)), ("right indicater", FRONT, (5,)),
        ("the hron", ODDS, (0,)), ("horn works, mirror doesn't", ODDS, (2,)),
        ("all right", PAIR, ()),
    ],
)  # fmt: skip
def test_parts_named_with_confirmation(words, items, named):
    found = understand_group(words, items)
    assert isinstance(found, GroupHeard), found
    assert (found.named, found.sure) == (named, False)


@pytest.mark.parametrize(
    ("words", "items", "offers"),
    [
        ("left", WHEELS, ("front nearside tyre cut", "rear nearside tyre cut")),
        ("left one", WHEELS, ("front nearside tyre cut", "rear nearside tyre cut")),
        ("rear", WHEELS, ("rear nearside tyre cut", "rear offside tyre cut")),
        ("left", FRONT, ("nearside dipped beam", "nearside main beam", "nearside indicator")),
        ("dipped", FRONT, ("nearside dipped beam", "offside dipped beam")),
        ("main", FRONT, ("nearside main beam", "offside main beam")),
        ("one", PAIR, ("nearside dipped beam", "offside dipped beam")),
        ("one is out", PAIR, ("nearside dipped beam", "offside dipped beam")),
        ("not left", PAIR, ("nearside dipped beam",)),
        ("left is fine", PAIR, ()), ("left isn't out", PAIR, ()), ("yes", PAIR, ()), ("", PAIR, ()),
        ("3", PAIR, ()), ("0 and 9", WHEELS, ()), ("radio", PAIR, ()), ("left", [], ()),
        ("both", WHEELS, tuple(i.label for i in WHEELS[:3])),
    ],
)  # fmt: skip
def test_parts_that_are_not_clear(words, items, offers):
    found = understand_group(words, items)
    assert isinstance(found, Unclear)
    assert found.offers == offers and found.message.endswith(".")


@pytest.mark.parametrize(
    ("words", "state"),
    [("don't know", "dont_know"), ("no idea", "dont_know"), ("not sure", "dont_know"),
     ("can't see", "cant_look"), ("skip", "cant_look"), ("can't look now", "cant_look")],
)  # fmt: skip
def test_nothing_known(words, state):
    found = understand_group(words, PAIR)
    assert isinstance(found, GroupHeard)
    assert (found.all_unknown, found.state, found.named) == (True, state, ())


@pytest.mark.parametrize(
    ("words", "items", "named", "unknown", "state"),
    [
        ("left out, don't know about the right", PAIR, (0,), (1,), "dont_know"),
        ("rear left and can't see rear right", WHEELS, (2,), (3,), "cant_look"),
        ("don't know about 2", WHEELS, (), (1,), "dont_know"),
        ("not sure about the back left", WHEELS, (), (2,), "dont_know"),
    ],
)
def test_some_not_known(words, items, named, unknown, state):
    found = understand_group(words, items)
    assert isinstance(found, GroupHeard), found
    assert (found.named, found.unknown, found.state) == (named, unknown, state)


@pytest.mark.parametrize("items", [PAIR, WHEELS, FRONT, ODDS])
def test_every_part_by_number_label_and_synonym(items):
    for index, item in enumerate(items):
        for words in (str(index + 1), item.label, item.label.upper(), f"the {item.label} is out"):
            found = understand_group(words, items)
            assert isinstance(found, GroupHeard) and found.named == (index,) and found.sure


def test_what_is_not_known_goes_for_all_that_are_listed() -> None:
    heard = understand_group("2, no idea about 1 and 3 and 4, others ok", WHEELS)
    assert isinstance(heard, GroupHeard)
    assert (heard.named, heard.unknown) == ((1,), (0, 2, 3))
