"""The trainer's view: replays, branches, predictions, and what is typed at a step."""

from __future__ import annotations

import io
import json
import re
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from assistant import cli
from assistant.choosing.outcome import branched, outcome_of
from assistant.errors import InputError
from assistant.journal.class_file import Predicted, append_predictions, read_class, tallies
from assistant.journal.entries import Answer, Entry, Said
from assistant.journal.file import read_journal
from assistant.reasoning.consultation import consult
from assistant.reasoning.trail import missing_under
from assistant.reasoning.why_not import nearly_found
from assistant.report.lines import Line
from assistant.ruleset.ruleset import Ruleset
from assistant.ruleset.truth import evaluate
from assistant.ruleset.words import URGENCY_WORDS, share_words
from assistant.talk.asking import PlainAsker, wrapped
from assistant.teaching.command import teach
from assistant.teaching.demos import demos, find_case
from assistant.teaching.lesson import Lesson
from assistant.teaching.replay import Replay
from assistant.teaching.screen import Screen, screen_of
from assistant.teaching.words import HELP_ROWS, Wish, WishHeard, wish_of
from tests.support.make_demos import DEMO_LIST, DEMOS
from tests.support.scripted import ScriptedAsker

WIDE = Screen(80)
PLAIN = Screen(79, plain=True)


@pytest.fixture(scope="module")
def grinding(gb_cars: Ruleset) -> Replay:
    return Replay(gb_cars, read_journal(DEMOS / "grinding-brakes.jsonl"))


@pytest.fixture(scope="module")
def falling(gb_cars: Ruleset) -> Replay:
    return Replay(gb_cars, read_journal(DEMOS / "falling-brake-fluid.jsonl"))


class Taught:
    """A lesson held with a script; screens holds what was shown after each thing typed."""

    def __init__(
        self,
        replay: Replay,
        name: str,
        *typed: str,
        screen: Screen = WIDE,
        file: Path | None = None,
    ) -> None:
        self.screens: list[str] = []
        self.lines: list[list[Line]] = []
        outer = self

        class Watched(ScriptedAsker):
            seen = 0

            def ask(self, prompt: str) -> str:
                outer.lines.append(self.lines[self.seen :])
                outer.screens.append("\n".join(line.text for line in outer.lines[-1]))
                self.seen = len(self.lines)
                return super().ask(prompt)

        self.asker = Watched(typed, screen.width)
        self.lesson = Lesson(replay, find_case(name), self.asker, lambda: screen, file)
        self.lesson.run()

    @property
    def last(self) -> str:
        return self.screens[-1]

    @property
    def text(self) -> str:
        return self.asker.text


def turn_of(journal: list[Entry], question: str, at: str = "") -> int:
    return next(
        e.turn for e in journal if isinstance(e, Said) and (e.question, e.at) == (question, at)
    )


# the steps ------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["grinding-brakes", "new-tyre-fitted"])
def test_every_step_is_a_consultation_of_the_journal_up_to_there(
    gb_cars: Ruleset, name: str
) -> None:
    """Whatever the order the steps are looked at, each is what a plain consultation gives."""
    journal = read_journal(DEMOS / f"{name}.jsonl")
    replay = Replay(gb_cars, journal)
    for number in [*range(replay.last, 0, -7), 0]:
        step = replay.step(number)
        plain = consult(gb_cars, [e for e in journal if e.turn <= step.turn])
        assert step.consultation.findings == plain.findings
        assert step.urgency is plain.urgency
        assert list(step.consultation.result.firings) == list(plain.result.firings)
    assert replay.last == len({e.turn for e in journal}) - 1


def test_new_firings_are_in_the_order_of_round_and_ruleset(falling: Replay) -> None:
    order = falling.ruleset.inferences
    wet = falling.step(turn_of(falling.journal, "wheel_wet", "rear_nearside"))
    keys = [(f.round, order[f.inference].order) for f in wet.fired]
    assert keys == sorted(keys) and len({r for r, _ in keys}) > 1
    assert "wet_wheel" in " ".join(f.inference for f in wet.fired) or wet.new_findings


def test_new_findings_over_all_steps_make_the_result(falling: Replay) -> None:
    """What came, less what went, is what stands at the end."""
    standing: set[tuple[str, str]] = set()
    for number in range(len(falling)):
        step = falling.step(number)
        standing |= {(f.rule.rule, f.at) for f in step.new_findings}
        standing -= {(f.rule.rule, f.at) for f in step.gone_findings}
    wanted = json.loads((DEMOS / "falling-brake-fluid.expected.json").read_text())
    assert standing == {(f["rule"], f["at"]) for f in wanted["findings"]}


def test_a_rule_one_condition_short_fires_once_the_condition_is_met(
    gb_cars: Ruleset, falling: Replay
) -> None:
    """What is named as missing, answered so, makes the rule true in a real consultation."""
    step = turn_of(falling.journal, "fluid_fall_time")
    tried = 0
    for node in (node for nodes in falling.nearly(step) for node in nodes):
        ((name, at),) = missing_under(node)
        question = gb_cars.questions[name]
        if question.kind not in ("one_of", "yes_no"):
            continue
        answers = [Answer(word=w) for w in question.words()] + [Answer(state="dont_know")]
        journal = falling.until(step)
        fires = False
        for answer in answers:
            said = Said(turn=step + 1, question=name, at=at, answer=answer)
            fires |= consult(gb_cars, [*journal, said]).result.truth(node.name, node.at) is True
        assert fires, node
        tried += 1
    assert tried >= 2


def test_nothing_that_holds_is_called_one_condition_short(falling: Replay) -> None:
    for number in (8, 15, falling.last):
        now = falling.consultation(number)
        for node in (node for nodes in falling.nearly(number) for node in nodes):
            assert now.result.truth(node.name, node.at) is not True
            condition = falling.ruleset.inferences[node.name].condition
            assert evaluate(condition, now.view(), node.at) is not True


def test_almost_names_the_rules_or_says_that_there_is_none(falling: Replay) -> None:
    ran = Taught(falling, "falling-brake-fluid", "almost", "jump 9", "almost", "quit")
    assert ran.screens[1] == "No rule is one condition short."
    title, *rows = ran.screens[3].split("\n")
    assert title == f"One condition short: {len(rows)} rules"
    assert len(rows) > 1
    assert all("To tell, ask: " in row for row in rows)


def test_a_car_of_another_kind_is_not_nearly_anything(gb_cars: Ruleset, tiny: Ruleset) -> None:
    clean = Replay(gb_cars, read_journal(DEMOS / "clean-car.jsonl"))
    assert clean.nearly(4) == []
    assert nearly_found(consult(tiny, read_journal_of(tiny))) == []


def read_journal_of(ruleset: Ruleset) -> list[Entry]:
    from tests.support.saying import start

    return start(ruleset.about.name)


# the script -----------------------------------------------------------------------------

EVERY = {
    "grinding-brakes": [
        "next", "back", "", "help", "jump 8", "known", "fired", "almost", "plan", "causes",
        "urgency", "steps", "here", "trail", "trail 1", "jump thinnest pad", "try 5 mm", "compare",
        "next", "rejoin", "pause", "on", "pause off", "predict", "", "reveal", "scores", "more",
        "quit",
    ],
    "falling-brake-fluid": [
        "go on", "go back", "go to question 12", "what fired", "what almost fired", "shares",
        "what is known", "how urgent", "list", "show", "help", "jump 17",
        "trail wetness", "try yes", "try no", "both", "previous", "back to the case",
        "stop before conclusions", "go on", "no pausing", "why", "predict", "none", "uncover",
        "marks", "the rest", "exit",
    ],
}  # fmt: skip


@pytest.mark.parametrize("name", EVERY)
@pytest.mark.parametrize("width", [80, 100, 40])
def test_every_command_on_a_demo_at_every_width(
    grinding: Replay, falling: Replay, name: str, width: int
) -> None:
    """All commands do something; no row is wider than the screen; there is no control code."""
    replay = {"grinding-brakes": grinding, "falling-brake-fluid": falling}[name]
    screen = Screen(min(80, width) - 1, 27 if width == 100 else None)
    ran = Taught(replay, name, *EVERY[name], screen=screen)
    assert ran.asker.rows[-1] == "End of the lesson."
    assert all(screen.strip() for screen in ran.screens)
    assert not any("did not understand" in screen for screen in ran.screens)
    typed = [row for row in ran.asker.rows if " > " in row]
    assert max(len(r) for r in ran.asker.rows if r not in typed) <= screen.width
    assert all(c.isprintable() or c == "\n" for c in ran.text)


def test_every_command_is_heard_in_its_help_words() -> None:
    for words, _ in HELP_ROWS:
        for form in words.split(", "):
            form = form.removeprefix("or ").removeprefix("and ")
            if form in ("another answer", "trail and words"):
                continue
            assert wish_of(form) is not None, form


@pytest.mark.parametrize(
    ("words", "heard"),
    [
        ("", WishHeard(Wish.NEXT)),
        ("Next, please", WishHeard(Wish.NEXT)),
        ("can we go back", WishHeard(Wish.BACK)),
        ("12", WishHeard(Wish.JUMP, "12")),
        ("Go to step 12", WishHeard(Wish.JUMP, "12")),
        ("jump brake fluid", WishHeard(Wish.JUMP, "brake fluid")),
        ("to the end", WishHeard(Wish.JUMP, "last")),
        ("show me what is known", WishHeard(Wish.KNOWN)),
        ("which rules fired?", WishHeard(Wish.FIRED)),
        ("What fired?", WishHeard(Wish.FIRED)),
        ("go on", WishHeard(Wish.ON)),
        ("nxet", WishHeard(Wish.NEXT)),
        ("plann", WishHeard(Wish.PLAN)),
        ("predicct", WishHeard(Wish.PREDICT)),
        ("pause before a conclusion", WishHeard(Wish.PAUSE)),
        ("don't pause", WishHeard(Wish.PAUSE, "off")),
        ("what if it was weeks", WishHeard(Wish.TRY, "it was weeks")),
        ("try another answer", WishHeard(Wish.TRY, "")),
        ("try: months", WishHeard(Wish.TRY, "months")),
        ("trail of the finding 2", WishHeard(Wish.TRAIL, "2")),
        ("how did wetness", WishHeard(Wish.TRAIL, "wetness")),
        ("QUIT", WishHeard(Wish.QUIT)),
        ("\x1b[2Jbanana", None),
    ],
)
def test_words_are_understood_loosely(words: str, heard: WishHeard | None) -> None:
    assert wish_of(words) == heard


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("banana", "I did not understand that."),
        ("facts", "That is called known here. Type known."),
        ("show me the rules", "That is called fired here."),
        ("agenda", "That is called plan here."),
        ("run", "That is called on here."),
        ("run to the next conclusion", "That is called on here."),
        ("jump 999", "There are the steps 0 to 74."),
        ("jump carburettor float", "No step has these words."),
        ("back", "This is the start."),
        ("trail 7", "Nothing has been found at this step"),
        ("try", "No answer was given at this step"),
        ("compare", "There is no branch yet."),
        ("rejoin", "there is no branch to leave"),
        ("reveal", "Nothing is waiting to be revealed."),
        ("scores", "No class file was named."),
        ("more", "There is no more of this screen."),
    ],
)
def test_what_cannot_be_done_is_said_in_a_sentence(grinding: Replay, words: str, said: str) -> None:
    assert said in Taught(grinding, "grinding-brakes", words).last


def test_back_and_next_give_the_same_screen(falling: Replay) -> None:
    ran = Taught(falling, "falling-brake-fluid", "9", "back", "next", "on", "back", "next")
    assert ran.screens[1] == ran.screens[3]
    assert ran.screens[4] == ran.screens[6]
    assert ran.screens[1] != ran.screens[2]


def test_jumping_by_words_that_fit_several_steps_lists_them(falling: Replay) -> None:
    ran = Taught(falling, "falling-brake-fluid", "jump wet at the wheel")
    assert ran.last.startswith("Which of them?")
    assert ran.last.count("oily wetness at this wheel") >= 4


# pausing and predicting -----------------------------------------------------------------


def test_with_pausing_the_conclusion_is_not_shown_before_it_is_asked_for(falling: Replay) -> None:
    wet = turn_of(falling.journal, "wheel_wet", "rear_nearside")
    ran = Taught(falling, "falling-brake-fluid", str(wet - 1), "pause", "next", "next")
    held, shown = ran.lines[3], ran.lines[4]
    assert "Pause: this answer brings a conclusion." in ran.screens[3]
    assert not any(line.kind in ("found", "danger") for line in held)
    assert "DO NOT DRIVE" not in ran.screens[3] and "Fired" not in ran.screens[3]
    assert any(line.kind == "danger" and "DO NOT DRIVE" in line.text for line in shown)


def test_pausing_stops_at_each_turn_with_a_new_finding_and_nowhere_else(falling: Replay) -> None:
    ran = Taught(falling, "falling-brake-fluid", "pause", *["next"] * (2 * falling.last))
    held = sum(screen.count("Pause: this answer brings") for screen in ran.screens)
    brings = [n for n in range(1, len(falling)) if falling.step(n).new_findings]
    assert held == len(brings) > 2


def test_predictions_are_scored_against_the_engine(falling: Replay, tmp_path: Path) -> None:
    """Ann says what the rules conclude at the end, Bob the opposite of it."""
    path = tmp_path / "class.jsonl"
    outcome = outcome_of(falling.consultation(falling.last))
    symptom = outcome.symptom
    assert symptom is not None
    causes = [c.cause for c in symptom.symptom.causes]
    right = [outcome.category, str(causes.index(str(outcome.cause)) + 1), "2"]
    wrong = ["nothing", str((causes.index(str(outcome.cause)) + 1) % len(causes) + 1), "drive"]
    ran = Taught(
        falling, "falling-brake-fluid", "predict", "Ann and Bob", *right, *wrong, "end", file=path
    )
    rows = read_class(path)
    assert [(r.name, r.step, sum(r.right().values())) for r in rows] == [
        ("Ann", falling.last, 3),
        ("Bob", falling.last, 0),
    ]
    assert rows[0].category == ("major", outcome.category)
    assert rows[0].drive == ("no", "no") and outcome.drive == "no"
    assert "Ann: 3 of 3 right." in ran.last and "Bob: 0 of 3 right." in ran.last
    gravest = outcome.category_by
    assert gravest is not None
    source = falling.ruleset.sources[gravest.rule.source]
    for words in (gravest.rule.say, gravest.rule.why, source.title, gravest.rule.basis.value):
        assert words in ran.last
    assert URGENCY_WORDS[outcome.urgency].lower() in ran.last


def test_the_engines_conclusion_is_not_shown_while_predictions_are_taken(
    falling: Replay, tmp_path: Path
) -> None:
    ran = Taught(falling, "falling-brake-fluid", "predict", "Ann", "dangerous", "skip", "yes")
    assert "What the rules conclude" not in ran.text
    assert "Type next or reveal" in ran.text


def test_a_prediction_at_a_pause_is_of_that_answer_only(falling: Replay, tmp_path: Path) -> None:
    path = tmp_path / "class.jsonl"
    typed = ["pause", "on", "predict", "Ann", "nothing", "skip", "no", "next"]
    ran = Taught(falling, "falling-brake-fluid", *typed, file=path)
    (row,) = read_class(path)
    first = next(n for n in range(1, len(falling)) if falling.step(n).new_findings)
    assert row.step == first
    assert row.category[1] == outcome_of(falling.consultation(first)).category
    assert row.cause[0] is None
    assert "What the rules conclude" in ran.last


def test_words_that_are_no_prediction_are_asked_again_and_stop_breaks_off(
    falling: Replay, tmp_path: Path
) -> None:
    path = tmp_path / "class.jsonl"
    typed = ["predict", "Ann, Bob", "zebra", "1", "1", "1", "quit", "quit"]
    ran = Taught(falling, "falling-brake-fluid", *typed, file=path)
    assert "Please type the number or the words of one, or skip." in ran.text
    assert [r.name for r in read_class(path)] == ["Ann"]
    assert "Stopped. 1 prediction taken." in ran.text


# branches -------------------------------------------------------------------------------


def test_a_branch_is_a_real_consultation_of_the_changed_journal(
    gb_cars: Ruleset, grinding: Replay
) -> None:
    """What compare shows is what consulting the journal with that one answer changed gives."""
    journal = grinding.journal
    turn = turn_of(journal, "thinnest_pad")
    changed = [
        e.model_copy(update={"answer": Answer(lo=5.0, hi=5.0), "words": "5 mm"})
        if isinstance(e, Said) and e.question == "thinnest_pad"
        else e
        for e in journal
    ]
    ran = Taught(grinding, "grinding-brakes", str(turn), "try 5 mm", "end", "rejoin", screen=PLAIN)
    branch = ran.screens[2]
    for until in (turn, grinding.last):
        first = consult(gb_cars, [e for e in journal if e.turn <= until])
        second = consult(gb_cars, [e for e in changed if e.turn <= until])
        gone = {f.rule.say for f in first.findings} - {f.rule.say for f in second.findings}
        assert gone and all(say in branch for say in gone)
        for found in (*first.symptoms, *second.symptoms):
            for cause in found.causes:
                assert share_words(cause.share) in branch
        assert URGENCY_WORDS[second.urgency] in branch
    assert branched(journal, turn, ("thinnest_pad", ""), Answer(lo=5.0, hi=5.0), "5 mm") == changed
    assert "with thinnest brake pad lining: 5 mm" in ran.screens[3]
    assert "Back to the case as it was." in ran.screens[4]
    assert "5 mm" not in ran.screens[4].split("\n")[1]
    assert grinding.journal == journal == read_journal(DEMOS / "grinding-brakes.jsonl")


def test_one_of_a_group_can_be_answered_otherwise(gb_cars: Ruleset) -> None:
    replay = Replay(gb_cars, read_journal(DEMOS / "stop-lamp-corrected.jsonl"))
    turn = turn_of(replay.journal, "stop_lamp", "nearside")
    ran = Taught(
        replay, "stop-lamp-corrected", str(turn), "try", "nearside stop lamp", "dead", screen=PLAIN
    )
    assert "Which of them do you want to change?" in ran.text
    changed = branched(replay.journal, turn, ("stop_lamp", "nearside"), Answer(word="out"), "dead")
    found = {f.rule.say for f in consult(gb_cars, changed).findings}
    assert found and all(say in ran.last for say in found)
    by_number = Taught(replay, "stop-lamp-corrected", str(turn), "try 1: dead")
    assert "At step" in by_number.last


def test_another_pick_for_a_worry_is_a_branch_too(gb_cars: Ruleset, grinding: Replay) -> None:
    ran = Taught(grinding, "grinding-brakes", "10", "try none of these", "causes", "rejoin")
    assert "no causes to weigh" in ran.screens[3]
    other = Taught(grinding, "grinding-brakes", "10", "try 2", "causes")
    assert "Causes of: " in other.last
    assert "brakes grind or scrape" not in other.last.split("\n")[0]


def test_an_answer_that_is_not_understood_changes_nothing(grinding: Replay) -> None:
    ran = Taught(grinding, "grinding-brakes", "9", "try purple", "green", "blue", "compare")
    assert "Then nothing is changed." in ran.text
    assert "There is no branch yet." in ran.last


def test_wide_is_side_by_side_and_plain_is_not(grinding: Replay) -> None:
    typed = ("9", "try 5 mm")
    wide = Taught(grinding, "grinding-brakes", *typed, screen=Screen(79))
    assert any("1 mm" in line.text and "5 mm" in line.text for line in wide.lines[2])
    for screen in (Screen(79, plain=True), Screen(39)):
        rows = Taught(grinding, "grinding-brakes", *typed, screen=screen).lines[2]
        assert not any(line.kind == "picture" for line in rows)
        assert sum(line.text.startswith("With thinnest") for line in rows) == 4


# the screen -----------------------------------------------------------------------------


@pytest.mark.parametrize("number", [0, 8, 9, 14, 15, 18, 30])
def test_a_step_fits_on_a_projector_of_100_by_30(falling: Replay, number: int) -> None:
    screen = Screen(79, 27)
    lines = Taught(falling, "falling-brake-fluid", str(number), screen=screen).lines[1]
    rows = [row for line in lines for row in wrapped(line, screen.width)]
    assert len(rows) <= 27


def test_a_long_view_is_shown_in_pages_and_nothing_is_lost(falling: Replay) -> None:
    screen = Screen(39, 10)
    whole = Taught(falling, "falling-brake-fluid", "15", "known", screen=Screen(39)).lines[2]
    ran = Taught(falling, "falling-brake-fluid", "15", "known", *["more"] * 40, screen=screen)
    shown = [line for lines in ran.lines[2:] for line in lines]
    kept = [line for line in shown if line.kind in ("title", "text")]
    assert kept == whole
    assert "There is no more of this screen." in ran.last


def test_the_screen_is_cleared_only_on_a_real_terminal(grinding: Replay) -> None:
    assert screen_of(PlainAsker(io.StringIO(), io.StringIO()))().clear is None
    assert screen_of(PlainAsker(io.StringIO(), io.StringIO()))().plain
    assert screen_of(ScriptedAsker([]))().clear is not None
    cleared: list[int] = []
    screen = Screen(79, clear=lambda: cleared.append(1))
    Taught(grinding, "grinding-brakes", "next", "banana", "known", screen=screen)
    assert len(cleared) == 3


def test_the_words_are_the_same_with_and_without_clearing(grinding: Replay) -> None:
    typed = ("9", "rules", "causes")
    one = Taught(grinding, "grinding-brakes", *typed, screen=Screen(79, clear=lambda: None))
    assert one.text == Taught(grinding, "grinding-brakes", *typed, screen=Screen(79)).text


def test_urgency_is_said_in_words(falling: Replay) -> None:
    """No meaning hangs on a colour: the danger line has the words, and what it was before."""
    wet = turn_of(falling.journal, "wheel_wet", "rear_nearside")
    lines = Taught(falling, "falling-brake-fluid", str(wet)).lines[1]
    (danger,) = [line for line in lines if line.kind == "danger"]
    assert danger.text == "Urgency: DO NOT DRIVE. Before: have it looked at before driving."


# the class file -------------------------------------------------------------------------


def row(name: str, said: str = "major", case: str = "a") -> Predicted:
    return Predicted(case=case, step=3, name=name, category=(said, "major"), drive=("no", "yes"))


def test_a_class_file_is_added_to_and_read_back(tmp_path: Path) -> None:
    path = tmp_path / "new" / "class.jsonl"
    assert read_class(path) == []
    append_predictions(path, [row("Ann")])
    append_predictions(path, [row("Bob", "minor"), row("ann", case="b")])
    assert [r.name for r in read_class(path)] == ["Ann", "Bob", "ann"]
    ann, bob = tallies(read_class(path))
    assert (ann.name, ann.cases, ann.category, ann.drive, ann.all) == (
        "Ann",
        2,
        (2, 2),
        (0, 2),
        (2, 4),
    )
    assert (bob.category, bob.cause, bob.all) == ((0, 1), (0, 0), (0, 2))
    assert path.stat().st_mode & 0o777 == 0o600


def test_one_torn_last_line_is_left_out_and_cut_off(tmp_path: Path) -> None:
    path = tmp_path / "class.jsonl"
    append_predictions(path, [row("Ann"), row("Bob")])
    whole = path.read_bytes()
    for cut in (1, 20, len(whole.split(b"\n")[1])):
        path.write_bytes(whole[:-cut])
        assert [r.name for r in read_class(path)] == (["Ann", "Bob"] if cut == 1 else ["Ann"])
        append_predictions(path, [row("Cat")])
        assert [r.name for r in read_class(path)][-1] == "Cat"
        assert all(json.loads(line) for line in path.read_text().splitlines())


def test_a_first_line_that_is_torn_is_an_empty_class(tmp_path: Path) -> None:
    path = tmp_path / "class.jsonl"
    path.write_bytes(b'{"format": 1, "wh')
    assert read_class(path) == []
    append_predictions(path, [row("Ann")])
    assert [r.name for r in read_class(path)] == ["Ann"]


@pytest.mark.parametrize(
    "text", ["not json\n", "{}\n", '{"format": 2}\n', "[1]\n", "\n", "a record\nof mine", "\xff\n"]
)
def test_a_file_of_another_sort_is_refused_and_left_alone(tmp_path: Path, text: str) -> None:
    path = tmp_path / "class.jsonl"
    path.write_text(text)
    with pytest.raises(InputError, match="line 1"):
        read_class(path)
    with pytest.raises(InputError, match="line 1"):
        append_predictions(path, [row("Ann")])
    assert path.read_text() == text


def test_a_bad_line_in_the_middle_is_named(tmp_path: Path) -> None:
    path = tmp_path / "class.jsonl"
    append_predictions(path, [row("Ann"), row("Bob")])
    first, second = path.read_text().splitlines()
    path.write_text(f"{first}\n{first[:30]}\n{second}\n")
    with pytest.raises(InputError, match="line 2: this is not a line of a class file"):
        read_class(path)


# the command line -----------------------------------------------------------------------


@dataclass(frozen=True)
class Ran:
    code: int
    out: str
    err: str


Sidelight = Callable[..., Ran]


@pytest.fixture
def sidelight(
    tmp_path: Path,
    gb_cars: Ruleset,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> Sidelight:
    """Runs a command in this process, in an empty folder with records of its own."""
    monkeypatch.setenv("SIDELIGHT_RECORDS", str(tmp_path / "records"))
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(cli, "_ruleset", lambda name, places=False: gb_cars)

    def ran(*arguments: object, stdin: bytes = b"") -> Ran:
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(stdin), encoding="utf-8"))
        capsys.readouterr()
        code = cli.run([str(a) for a in arguments])
        shown = capsys.readouterr()
        return Ran(code, shown.out, shown.err)

    return ran


def test_without_a_case_the_demos_are_listed(sidelight: Sidelight) -> None:
    ran = sidelight("teach")
    assert (ran.code, ran.err) == (0, "")
    flat = " ".join(ran.out.split())
    assert len(demos()) >= 12
    for demo in DEMO_LIST:
        assert demo.title in flat and demo.teaches in flat and f"{demo.name}:" in flat


def test_a_lesson_from_a_pipe(sidelight: Sidelight, tmp_path: Path) -> None:
    script = b"on\npredict\nAnn\n1\n1\nno\nend\nquit\n"
    ran = sidelight("teach", "grinding-brakes", "--class", "class.jsonl", stdin=script)
    assert (ran.code, ran.err) == (0, "")
    assert "\x1b" not in ran.out and "Ann: " in ran.out
    assert max(map(len, ran.out.splitlines())) <= 80
    by_path = sidelight("teach", DEMOS / "grinding-brakes.jsonl", stdin=b"")
    assert by_path.code == 0 and "A grinding noise at every stop" in by_path.out
    scores = sidelight("teach", "--class", "class.jsonl", "--scores")
    assert scores.code == 0 and "Ann: " in scores.out


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["grinding-brake"], "Did you mean 'grinding-brakes'?"),
        (["nothing-here.jsonl"], "There is no demo and no file"),
        (["."], "is a folder"),
        (["--scores"], "Say which class file"),
        (["--scores", "--class", "none.jsonl"], "There is no class file"),
        (["--sheet"], "Say which case"),
        (["1", "--answers"], "Add --sheet"),
        (["1", "--live"], "A live talk starts a new record"),
        (["1", "--class", "bad.jsonl"], "bad.jsonl, line 1"),
        (["bad.jsonl"], "bad.jsonl, line 1"),
        (["1", "--sheet", "--format", "pdf"], "invalid choice"),
    ],
)
def test_misuse_is_one_clear_sentence(
    sidelight: Sidelight,
    tmp_path: Path,
    arguments: list[str],
    said: str,
) -> None:
    (tmp_path / "bad.jsonl").write_text("hello\n")
    ran = sidelight("teach", *arguments)
    assert ran.code == 2 and said in ran.err
    assert len(ran.err.strip().splitlines()) == 1


def test_a_live_talk_keeps_its_record_and_says_its_reasoning(
    sidelight: Sidelight,
    tmp_path: Path,
) -> None:
    answers = ["Daisy", "skip", "May 2014", "petrol", "car", "none", "torch", "my brakes grind",
               "at nearly every stop", "5 mm", "1", "stop"]  # fmt: skip
    ran = sidelight("teach", "--live", stdin="\n".join(answers).encode())
    assert (ran.code, ran.err) == (0, "")
    flat = " ".join(ran.out.split())
    assert "Reasoning: Fired: Round 1, brakes: You have noticed that the brakes grind" in flat
    assert "Next because: it decides about what was told" in flat
    (path,) = (tmp_path / "records").glob("*/*.jsonl")
    assert len(read_journal(path)) >= 10


def test_the_command_needs_no_more_than_an_asker(gb_cars: Ruleset, tmp_path: Path) -> None:
    """The room can be entered without the shell: any asker will do."""
    from assistant.cli import build_parser

    options = build_parser().parse_args(["teach", "2", "--plain"])
    asker = ScriptedAsker(["quit"])
    code = teach(options, lambda name: gb_cars, lambda plain: asker, tmp_path, lambda p, t: 0)
    assert code == 0 and "End of the lesson." in asker.text


def test_the_lesson_in_the_readme_goes_as_it_says(
    gb_cars: Ruleset, falling: Replay, grinding: Replay
) -> None:
    """The demos it names are there, the steps it names bring what it says, the minutes make 60."""
    readme = (DEMOS.parent / "README.md").read_text()
    part = readme.split("## Teaching with it")[1].split("## More")[0]
    named = set(re.findall(r"sidelight teach ([a-z-]+)`?", part))
    assert named == {
        "falling-brake-fluid",
        "grinding-brakes",
        "wandering-steering",
        "stop-lamp-corrected",
        "new-tyre-fitted",
    }
    assert named <= {demo.name for demo in demos()}
    assert sum(int(m) for m in re.findall(r"^\| (\d+) \|", part, re.M)) == 60
    brings = [n for n in range(1, len(falling)) if falling.step(n).new_findings]
    assert brings == [9, 10, 11, 17, 20]
    assert turn_of(falling.journal, "fluid_fall_time") == 11
    assert turn_of(falling.journal, "wheel_wet", "rear_nearside") == 17
    wandering = Replay(gb_cars, read_journal(DEMOS / "wandering-steering.jsonl"))
    assert wandering.step(14).plan.next.deciding.worst is None
    assert turn_of(wandering.journal, "play_where") == 15
    lamp = Replay(gb_cars, read_journal(DEMOS / "stop-lamp-corrected.jsonl"))
    assert [n for n in range(1, len(lamp)) if lamp.step(n).new_findings] == [68]
    tyre = Replay(gb_cars, read_journal(DEMOS / "new-tyre-fitted.jsonl"))
    assert tyre.step(73).kind == "mended" and tyre.step(73).gone_findings
    typed = ["11", "try months", "rejoin", "17", "trail wetness", "try no"]
    ran = Taught(falling, "falling-brake-fluid", *typed)
    assert "did not understand" not in ran.text and "no finding" not in ran.text.lower()
