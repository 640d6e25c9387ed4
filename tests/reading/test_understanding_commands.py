"""What is no answer: help, why, back, what if, stop - and that no answer is eaten by them."""

import pytest

from assistant.reading.command_words import Command
from assistant.reading.commands import CommandHeard, command_of
from tests.reading.test_understanding_questions import EVERY, HORN, NOTE, WOBBLE, question

PLAIN = {
    Command.HELP: """help|?|Help!|what can I say|what can I type?|help me|commands|can you help me?|
        what are the options|I'm stuck|instructions|hlep""",
    Command.MEANS: """what does that mean|What does that mean?|what's that|what is this|
    what do you mean|
        I don't understand|explain|could you explain that please|in plain words|eh?|pardon|meaning|
        I don't know what that means|not sure what that means|waht does that mean|explian""",
    Command.HOW: """how|how do I look|how do I do that?|how do i check it|show me how|
    where do I look|
        where is it|I don't know how|I don't know how to do that|what am I looking for|
        how is it done|
        how can I tell|how do I measure that""",
    Command.WHY: """why|why?|WHY???|why do you ask|why do you want to know that|what for|
    what's the point|
        why does it matter|does it matter|why are you asking|why this question|how come""",
    Command.BACK: """back|go back|go back please|undo|previous question|take that back|previous|
        undo that|sorry, go back|I want to go back|can we go back|scrap that|bakc|go bcak|
        previus question""",
    Command.REDO: "redo|forward again|forward|go forward|redo that|put it back|rdeo",
    Command.WRONG: """wrong|I said that wrong|that was wrong|change an answer|correct|
    correct an answer|
        I made a mistake|oops, I made a mistake|can I change my answer|my mistake|I got that wrong|
        I siad that wrong|that's not what I meant|change my last answer""",
    Command.MENDED: """mended|fixed|repaired|that's fixed now|I've fixed it|it's been repaired|
        I've had it mended|all fixed now|that is mended|the garage has fixed it""",
    Command.FOUND: """what have we found|what have we found so far?|summary|so far|results|findings|
        what's wrong with it|show me the summary|what did you find|how are we doing|sumary""",
    Command.CARD: "card|the card|type in the card",
    Command.STOP: """stop|stop here|quit|exit|save and leave|save and quit|I have to go|q|goodbye|
        that's enough for today|I'm done|let's stop|can we stop|please stop|I want to stop|qiut|
        sotp|
        call it a day|finish""",
    Command.WHATIF: "what if|What if?|suppose",
}


@pytest.mark.parametrize(
    ("command", "words"),
    [(c, w.strip()) for c, forms in PLAIN.items() for w in forms.split("|")],
)
def test_commands(command, words):
    assert command_of(words) == CommandHeard(command)


@pytest.mark.parametrize(
    ("words", "command", "rest"),
    [
        ("why not 1.1.16(b)(ii)", Command.WHYNOT, "1.1.16(b)(ii)"),
        ("why not 1.1.16(b)(ii)?", Command.WHYNOT, "1.1.16(b)(ii)"),
        ("how did you get to 1.1.16(b)(ii) :)", Command.CAME, "1.1.16(b)(ii)"),
        ("what if the depth was 1.4 mm", Command.WHATIF, "the depth was 1.4 mm"),
        ("What if it was 2 mm?", Command.WHATIF, "it was 2 mm"),
        ('what if it’s "yes"?', Command.WHATIF, "it's yes"),
        ("what if the Driver's seat was torn", Command.WHATIF, "the Driver's seat was torn"),
        ("suppose it was 2 mm", Command.WHATIF, "it was 2 mm"),
        ("what would happen if it leaked", Command.WHATIF, "it leaked"),
        ("change the tread depth", Command.WRONG, "tread depth"),
        ("correct the mileage", Command.WRONG, "mileage"),
        ("I got the fuel wrong", Command.WRONG, "fuel"),
        ("the bulb is fixed now", Command.MENDED, "bulb"),
        ("I have mended the wiper now", Command.MENDED, "wiper"),
        ("I've just replaced the left bulb", Command.MENDED, "left bulb"),
        ("what does tell-tale mean", Command.MEANS, "tell-tale"),
        ("what's a sidewall?", Command.MEANS, "sidewall"),
    ],
)
def test_commands_with_a_rest(words, command, rest):
    assert command_of(words) == CommandHeard(command, rest)


ANSWERS = """yes|no|y|n|nope|it does|it doesn't|2|2 mm|about 2|1,3|none|all fine|petrol|low|left|
right|
both rear|back left|the back one|don't know|can't look|skip|later|not now|no idea|not fitted|
not sure|
worn|broken|not working|it is worn|it stopped|it doesn't stop|step|held|pack|stock|found one|2015|
March 2015|less than 2|I don't know|can't see it|it's dark|nothing wrong|it's wrong|the wrong size|
is it fixed|was it mended?|I replaced the tyre|new tyre fitted|all lit|one is out|far back|no more|
stopped|quite|exits|I would stop sooner|post|tops|hole|kelp|hold|half|how deep|yes it stops|done|
I haven't checked|hasn't got one|leave it|not right|correctly|somewhere|back and front"""


@pytest.mark.parametrize("words", [w.strip() for w in ANSWERS.split("|")])
def test_no_answer_is_eaten(words):
    assert command_of(words) is None
    assert all(command_of(words, asked) is None for asked in EVERY)


def test_a_choice_of_the_question_comes_first():
    asked = question(
        "one_of",
        choices={
            "stop": {"say": "it stops", "hear": ["stop", "quit"]},
            "fixed": {"say": "repaired", "hear": ["help", "what if", "why", "back", "how"]},
        },
    )
    for words in ("stop", "quit", "fixed", "repaired", "help", "what if", "why", "back", "how"):
        assert command_of(words, asked) is None
        assert command_of(words) is not None
    assert command_of("correct", WOBBLE) is None and command_of("correct", HORN) is None


def test_a_note_may_begin_like_a_command():
    for words in (
        "why does it squeak",
        "the wiper was fixed already",
        "change the oil soon",
        "explain the rattle",
        "what is the noise",
    ):
        assert command_of(words, NOTE) is None  # fmt: skip
    assert command_of("stop", NOTE) == CommandHeard(Command.STOP)
