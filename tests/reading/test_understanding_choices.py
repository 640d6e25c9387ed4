"""Yes and no, one of, some of: plain forms, near misses, negations and refusals."""

import pytest

from assistant.journal.entries import Answer
from tests.reading.test_understanding_questions import (
    CANT_LOOK,
    DAMP,
    DONT_KNOW,
    FOG,
    FUEL,
    HORN,
    LAMPS,
    LEVEL,
    NOTE,
    SIGNS,
    WOBBLE,
    heard,
    question,
    refused,
)

YES = """yes|Yes.|y|yep|yeah|yup|yea|aye|sure|certainly|definitely|of course|correct|true|it does|
they do|there is|it is|yes it does|yes please|yeah it does|I think so|I believe so|yes, definitely|
pretty sure it does|it does a bit|absolutely|that's right|afraid so|I'd say so|well, yes|
the answer is yes|it sure does|indeed|
yes it wobbles a bit|I think it does"""
NO = """no|No.|n|nope|nah|nay|never|not at all|it doesn't|it does not|it isn't|there isn't|
no it's fine|
no it does not|I don't think so|definitely not|not that I can see|no, nothing|no, not at all|er no|
incorrect|it didn't|they don't|no thanks|of course not|I think not|hasn't|not as far as I can tell|
doesn't|no, it's all fine|I don't believe so"""


@pytest.mark.parametrize("words", [w.strip() for w in YES.split("|")])
def test_yes(words):
    found = heard(words, WOBBLE)
    assert (found.answer.word, found.echo, found.sure) == ("yes", "yes", True)


@pytest.mark.parametrize("words", [w.strip() for w in NO.split("|")])
def test_no(words):
    found = heard(words, WOBBLE)
    assert (found.answer.word, found.echo, found.sure) == ("no", "no", True)


@pytest.mark.parametrize(
    ("words", "word"),
    [
        ("definately", "yes"), ("probably", "yes"), ("wobbles", "yes"), ("a bit", "yes"),
        ("it wobbles", "yes"), ("yes but only a bit", "yes"), ("I guess so", "yes"),
        ("seems to", "yes"), ("right", "yes"), ("sometimes", "yes"), ("yes, maybe", "yes"),
        ("no wobble", "no"), ("it doesn't wobble", "no"), ("not really", "no"), ("hardly", "no"),
        ("probably not", "no"), ("none", "no"), ("can't see any", "no"), ("no cracks", "no"),
        ("I don't know, maybe yes", "yes"), ("not sure, probably not", "no"),
    ],
)  # fmt: skip
def test_half_said_yes_and_no_are_confirmed(words, word):
    found = heard(words, WOBBLE)
    assert (found.answer.word, found.sure) == (word, False)


@pytest.mark.parametrize(
    "words",
    ["maybe", "yes and no", "yes no", "no yes", "it isn't wet", "purple", "it depends", "perhaps",
     "can't open it", "?", "42", "ok", "🙂"],
)  # fmt: skip
def test_unclear_yes_or_no(words):
    assert {"yes", "no"} <= set(refused(words, WOBBLE).offers)


def test_fine_is_the_fine_answer_where_there_is_one():
    assert (heard("it's fine", HORN).answer.word, heard("all good", HORN).sure) == ("yes", True)
    fine_is_no = question("yes_no", ask="Is it cracked?", label="crack", fine="no")
    assert (heard("ok", fine_is_no).answer.word, heard("ok", fine_is_no).sure) == ("no", False)


def test_no_idea_and_not_sure_are_not_no():
    for words in ("no idea", "no clue", "not sure", "not certain", "no, I don't know"):
        assert heard(words, WOBBLE).answer == DONT_KNOW
    assert heard("no I can't see", WOBBLE).answer == CANT_LOOK
    for words in ("don't know if it does", "I'm not sure it does", "not sure about the left one"):
        assert heard(words, WOBBLE).answer == DONT_KNOW


@pytest.mark.parametrize(
    ("words", "asked", "word"),
    [
        ("petrol", FUEL, "petrol"), ("PETROL!!", FUEL, "petrol"), ("2", FUEL, "diesel"),
        ("number 2", FUEL, "diesel"), ("2.", FUEL, "diesel"), ("petrol hybrid", FUEL,
        "petrol_hybrid"),
        ("hybrid", FUEL, "petrol_hybrid"), ("plugin hybrid", FUEL, "petrol_hybrid"),
        ("petrol_hybrid", FUEL, "petrol_hybrid"), ("it's a diesel", FUEL, "diesel"),
        ("I think it's a diesel", FUEL, "diesel"), ("derv", FUEL, "diesel"), ("E.V.", FUEL,
        "electric"),
        ("diesel?", FUEL, "diesel"), ("electric", FUEL, "electric"), ("a battery", FUEL,
        "electric"),
        ("I think it's below min", LEVEL, "low"), ("under min", LEVEL, "low"), ("low", LEVEL,
        "low"),
        ("it's in the middle", LEVEL, "right"), ("over the max", LEVEL, "high"),
        ("above max", LEVEL, "high"),
        ("not wet", DAMP, "dry"), ("it's not wet", DAMP, "dry"), ("dry", DAMP, "dry"),
        ("it looks damp", DAMP, "damp"), ("leaking", DAMP, "wet"),
    ],
)  # fmt: skip
def test_one_of_plainly(words, asked, word):
    found = heard(words, asked)
    assert (found.answer, found.sure) == (Answer(word=word), True)


@pytest.mark.parametrize(
    ("words", "asked", "word"),
    [
        ("disel", FUEL, "diesel"), ("deisel", FUEL, "diesel"), ("petrl", FUEL, "petrol"),
        ("maybe diesel", FUEL, "diesel"), ("the second one", FUEL, "diesel"), ("two", FUEL,
        "diesel"),
        ("last one", FUEL, "electric"), ("not petrol, diesel", FUEL, "diesel"),
        ("diesel not petrol", FUEL, "diesel"), ("it isn't petrol it's diesel", FUEL, "diesel"),
        ("no, it's diesel", FUEL, "diesel"), ("unleaded fuel", FUEL, "petrol"),
        ("not sure, maybe petrol", FUEL, "petrol"), ("below the minimum", LEVEL, "low"),
        ("too low", LEVEL, "low"), ("it's fine", LEVEL, "right"),
        ("dripping", DAMP, "wet"), ("wett", DAMP, "wet"),
    ],
)  # fmt: skip
def test_one_of_with_confirmation(words, asked, word):
    found = heard(words, asked)
    assert (found.answer, found.sure) == (Answer(word=word), False)


@pytest.mark.parametrize(
    ("words", "asked", "offers"),
    [
        ("petrol or diesel", FUEL, ("petrol", "diesel")),
        ("petrol and a battery", FUEL, ("petrol", "electric only")),
        ("not petrol", FUEL, ("diesel", "petrol hybrid", "electric only")),
        ("it isn't diesel", FUEL, ("petrol", "petrol hybrid", "electric only")),
        ("not below min", LEVEL, ("between the marks", "above the MAX mark")),
        ("it isn't damp", DAMP, ("dry", "wet or dripping")),
        ("never wet or dripping", DAMP, ("dry", "damp")),
        ("mark", LEVEL, ("between the marks", "below the MIN mark", "above the MAX mark")),
        ("5", FUEL, ()), ("0", FUEL, ()), ("steam", FUEL, ()), ("yes", FUEL, ()), ("", FUEL, ()),
    ],
)  # fmt: skip
def test_one_of_unclear(words, asked, offers):
    assert refused(words, asked).offers == offers


def test_a_number_that_is_not_there_says_how_many_there_are():
    assert "only 1 to 4" in refused("7", FUEL).message
    assert "only 1 to 5" in refused("1 and 6", SIGNS).message


NONE = """none|none of these|none of them|nothing|no|nope|all fine|all good|nothing noticed|
not really|
haven't noticed any|there aren't any|no problems|nothing at all|I haven't noticed anything|
none at all|nothing else|none of those things|I've had none of them|n|everything's fine|nil|
neither"""


@pytest.mark.parametrize("words", [w.strip() for w in NONE.split("|")])
def test_none_of_these(words):
    found = heard(words, SIGNS)
    assert (found.answer.words, found.echo, found.sure) == ((), "none of these", True)


ALL_SIGNS = tuple(SIGNS.choices)


@pytest.mark.parametrize(
    ("words", "picks", "sure"),
    [
        ("1", ("pedal_soft",), True),
        ("1 and 3", ("pedal_soft", "fuel_smell"), True),
        ("3,1", ("pedal_soft", "fuel_smell"), True),
        ("1, 3 & 5", ("pedal_soft", "fuel_smell", "red_lamp"), True),
        ("numbers 1 and 2", ("pedal_soft", "pedal_hard"), True),
        ("1 3", ("pedal_soft", "fuel_smell"), True),
        ("no. 2", ("pedal_hard",), True),
        ("fuel smell", ("fuel_smell",), True),
        ("petrol smell and a soft pedal", ("pedal_soft", "fuel_smell"), True),
        ("just the red light", ("red_lamp",), True),
        ("yes, a burnt smell", ("burning",), True),
        ("pedal_soft, burning", ("pedal_soft", "burning"), True),
        ("spongy brakes; red light", ("pedal_soft", "red_lamp"), True),
        ("none but the red light", ("red_lamp",), True),
        ("none apart from the fuel smell", ("fuel_smell",), True),
        ("1-3", ("pedal_soft", "pedal_hard", "fuel_smell"), False),
        ("first and third", ("pedal_soft", "fuel_smell"), False),
        ("smell of petrol", ("fuel_smell",), False),
        ("the pedal is spongy", ("pedal_soft",), False),
        ("soft brake pedal", ("pedal_soft",), False),
        ("1 and a red light", ("pedal_soft", "red_lamp"), False),
        ("fuel smel", ("fuel_smell",), False),
        ("fuel smell maybe", ("fuel_smell",), False),
        ("fuel smell, and the wipers squeak", ("fuel_smell",), False),
        ("no fuel smell but a burnt smell", ("burning",), False),
        ("all of them", ALL_SIGNS, False),
        ("all", ALL_SIGNS, False),
        ("everything", ALL_SIGNS, False),
        ("all but 2", ("pedal_soft", "fuel_smell", "burning", "red_lamp"), False),
        ("all except the red light", ALL_SIGNS[:4], False),
        ("I can't smell anything", (), False),
        ("fuel smell and nothing else", ("fuel_smell",), True),
        ("I have noticed 2 and 3", ("pedal_hard", "fuel_smell"), False),
        ("3 but not 4", ("fuel_smell",), False),
        ("both smells", ("fuel_smell", "burning"), False),
    ],
)
def test_some_of(words, picks, sure):
    found = heard(words, SIGNS)
    assert (found.answer.words, found.sure) == (picks, sure)


@pytest.mark.parametrize(
    ("words", "first"),
    [
        ("no fuel smell", "none of these"), ("not the red light", "none of these"),
        ("no smells", "none of these"), ("I never had a soft pedal", "none of these"),
        ("pedal", "the brake pedal felt soft, or sank under the foot"), ("smell",
        "a smell of fuel"),
        ("1 or 3", "the brake pedal felt soft, or sank under the foot"),
        ("fuel smell or a red light", "a smell of fuel"), ("fuel smell? no", "none of these"),
        ("I have noticed 2 and 9", None), ("yes", None), ("6", None), ("one", None),
        ("there isn't one", None), ("some", None),
    ],
)  # fmt: skip
def test_some_of_unclear(words, first):
    offers = refused(words, SIGNS).offers
    assert (offers[0] if offers else None) == first


def test_long_names_win_over_short_ones_and_brackets_may_be_left_out():
    assert heard("abs", LAMPS).answer.words == ("abs",)
    assert heard("ABS and the airbag", LAMPS).answer.words == ("abs", "airbag")
    assert heard("engine lamp flashing", LAMPS).answer.words == ("engine_flashing",)
    assert heard("check engine", LAMPS).answer.words == ("engine",)


def test_a_note_is_kept_as_it_is_typed():
    for words in ("Rattles over bumps", "no", "2 mm", "none", "it isn't wet", "what a noise!"):
        assert heard(words, NOTE).answer == Answer(text=words)
    assert heard("x" * 5000, NOTE).answer.text == "x" * 2000


def test_heat_is_an_answer_where_heat_is_asked_about():
    hot = question("yes_no", ask="Is one wheel too hot to touch?", label="hot wheel")
    assert heard("too hot to touch", hot).answer != CANT_LOOK
    assert heard("too hot to touch", FOG).answer == CANT_LOOK
