"""What a person may do instead of answering: look back, change, try out, leave.

Each sidestep gets the talk and returns True to go on with a new prompt, False to leave, or None
to come back to the same prompt. None of them loses an answer.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

from assistant.choosing.agenda import Prompt
from assistant.choosing.order import numbered_prompts
from assistant.choosing.outcome import compare
from assistant.choosing.why import with_answer
from assistant.journal.entries import (
    Answer,
    Corrected,
    Entry,
    GoneOn,
    Mended,
    Said,
    TookBack,
    Worry,
    active_entries,
)
from assistant.reading.commands import command_of
from assistant.reading.result import Unclear
from assistant.reading.text import clean
from assistant.reading.understand import understand
from assistant.reasoning.consultation import Consultation, consult
from assistant.reasoning.findings import Finding
from assistant.reasoning.hazards import ToldDanger
from assistant.reasoning.routes import also_found
from assistant.reasoning.trail import answers_under, trail_of
from assistant.report.card import card_code
from assistant.report.drive import advice_change
from assistant.report.findings import finding_lines, found_line, trail_lines
from assistant.report.lines import Line, texts
from assistant.report.prompts import (
    ask_lines,
)
from assistant.report.summary import found_so_far, gravest_first, summary_lines
from assistant.ruleset.ruleset import Ruleset
from assistant.ruleset.words import answer_words
from assistant.talk.answering import take_answer
from assistant.talk.choosing import choose_one, number_of, rows_meant
from assistant.talk.confirming import confirmed, unclear
from assistant.talk.dangers import garage_has_mended
from assistant.talk.worries import no_worry, take_worry

if TYPE_CHECKING:
    from assistant.talk.talk import Talk


"""What is asked before anything on the walk."""


def worry(talk: Talk, rest: str) -> bool | None:
    """Takes what worries the person, at any time."""
    if talk.ruleset.about.worry is None:
        talk.say(Line("aside", "This ruleset knows no symptoms."))
        return None
    if not rest:
        talk.say(Line("question", "What worries you? Say it in your own words."))
        rest = clean(talk.ask("> "))
        if not rest or no_worry(talk.ruleset, rest):
            talk.say(Line("aside", "Good. Then we go on."))
            return None
    take_worry(talk, rest, [])
    return True


def leave(talk: Talk) -> None:
    talk.say(
        *summary_lines(talk.now, complete=False, pictured=True),
        Line("blank"),
        Line("text", "Everything you said is kept. Start sidelight again to go on."),
    )


def back(talk: Talk) -> bool | None:
    """Takes back the last turn."""
    entries = active_entries(talk.journal)
    turns = [e.turn for e in entries if e.turn > 0 and not isinstance(e, GoneOn)]
    if not turns:
        talk.say(Line("aside", "There is nothing to take back."))
        return None
    of = max(turns)
    if talk.keep([TookBack(turn=talk.next_turn(), of=of, when=talk.clock())]):
        talk.say(Line("aside", "Taken back. Type redo to have it again."))
    return True


def redo(talk: Talk) -> bool | None:
    """Brings back what the last "back" took, if nothing was said since."""
    last = talk.journal[-1]
    if not isinstance(last, TookBack):
        talk.say(Line("aside", "There is nothing to bring again."))
        return None
    steps = [e for e in talk.journal if isinstance(e, TookBack)]
    undone = {e.of for e in steps}
    open_steps = [e for e in steps if e.turn not in undone and not is_redo(talk, e)]
    if not open_steps:
        talk.say(Line("aside", "There is nothing to bring again."))
        return None
    if talk.keep([TookBack(turn=talk.next_turn(), of=open_steps[-1].turn, when=talk.clock())]):
        talk.say(Line("aside", "It stands again."))
    return True


def is_redo(talk: Talk, step: TookBack) -> bool:
    return any(isinstance(e, TookBack) and e.turn == step.of for e in talk.journal)


def change(talk: Talk, rest: str) -> bool | None:
    """Lets the person pick an earlier answer and give another, or take a told danger back."""
    said = pick_answer(talk, rest, "Which answer was wrong?")
    if said is None:
        return None
    if isinstance(said, Worry):
        talk.keep([TookBack(turn=talk.next_turn(), of=said.turn, when=talk.clock())])
        return True
    entry = corrected(talk, said)
    if entry is None:
        return None
    talk.keep([entry])
    return True


def pick_answer(talk: Talk, rest: str, question: str) -> Said | Worry | None:
    """An earlier answer, or the words in which a danger that stands was told."""
    told = [one.worry for one in talk.now.told]
    given: list[Said | Worry] = [*told, *reversed(talk.now.state.answers.values())]
    if not given:
        talk.say(Line("aside", "Nothing has been answered yet."))
        return None
    rs = talk.ruleset
    labels = ["you said" if isinstance(s, Worry) else rs.item_label(s.question, s.at)
              for s in given]  # fmt: skip
    hits = rows_meant(rs.as_the_owner(rest), labels) if rest else []
    said = [
        s.words if isinstance(s, Worry) else answer_words(rs.questions[s.question], s.answer)
        for s in given
    ]
    rows = [f"{label}: {words}" for label, words in zip(labels, said, strict=True)]
    index = hits[0] if len(hits) == 1 else choose_one(talk, question, rows)
    return given[index] if index is not None else None


def corrected(talk: Talk, said: Said) -> Corrected | None:
    """Asks a question again and gives the corrected entry."""
    given = asked_alone(talk, said.question, said.at)
    if given is None:
        talk.say(Line("aside", "Then the earlier answer stands."))
        return None
    return Corrected(
        turn=talk.next_turn(),
        question=said.question,
        at=said.at,
        answer=given[0],
        words=given[1][:2000],
        when=talk.clock(),
    )


def alone(talk: Talk, name: str, at: str) -> Prompt:
    """A prompt for one question at one part, out of turn."""
    place = talk.ruleset.place_of(name, at)
    worded = talk.now.worded(None, name)
    return Prompt(name, at, None, ((name, at),), place, "opened here", 1, 0, worded=worded)


def asked_alone(talk: Talk, name: str, at: str) -> tuple[Answer, str] | None:
    """Asks one question out of turn: the answer and its words, or None after other words."""
    prompt = alone(talk, name, at)
    question = prompt.one(talk.ruleset)
    talk.say(*ask_lines(talk.now, prompt))
    for _ in range(5):
        words = clean(talk.ask("> "))
        if command_of(words, question) is not None:
            break
        heard = understand(words, question, today=talk.now.state.context.today)
        if isinstance(heard, Unclear):
            unclear(talk, heard)
        elif confirmed(talk, heard):
            return heard.answer, words
    return None


def mended(talk: Talk, rest: str) -> bool | None:
    """Marks what a finding rests on as repaired, so that it is looked at anew.

    What was only told cannot be looked at anew; that ends by a garage's word.
    """
    if not talk.now.findings and not talk.now.told:
        talk.say(Line("aside", "Nothing has been found that needs mending."))
        return None
    picked = pick_finding(talk, "What has been mended?", rest, talk.now.told)
    if picked is None:
        return None
    if isinstance(picked, ToldDanger):
        return garage_has_mended(talk, picked.danger.hazards, rest)
    if only_told(talk.now, picked):
        return garage_has_mended(talk, hazards_behind(talk.ruleset, picked.rule.rule), rest)
    trail = trail_of(talk.now, picked.rule.rule, picked.at)
    start = {p.place for p in talk.ruleset.about.walk if p.stage != "walk"}
    answers = [
        s for s in answers_under(trail) if talk.ruleset.questions[s.question].place not in start
    ] or answers_under(trail)
    also = [key for key in also_found(talk.now, picked) if not talk.ruleset.hazards_of(key[0])]
    told = [said for key in also for said in answers_under(trail_of(talk.now, *key))]
    answers = list({(said.question, said.at): said for said in [*answers, *told]}.values())
    turn = talk.next_turn()
    entries: list[Entry] = [
        Mended(turn=turn, question=s.question, at=s.at, words=rest[:2000], when=talk.clock())
        for s in answers
    ]
    if talk.keep(entries):
        talk.say(Line("text", "Good. Have another look at it now; I ask again."))
    return True


def hazards_behind(ruleset: Ruleset, rule: str) -> list[str]:
    """The hazards of a danger, and of those that give way to it."""
    milder = [i.name for i in ruleset.rules if i.rule and rule in i.rule.gives_way_to]
    return list(dict.fromkeys(h for name in (rule, *milder) for h in ruleset.hazards_of(name)))


def only_told(consultation: Consultation, finding: Finding) -> bool:
    """Whether a finding names hazards and rests on nothing that was seen."""
    named = consultation.ruleset.hazards_of(finding.rule.rule)
    return bool(named) and consultation.rests_on(finding.rule.rule, finding.at).told_only


def pick_finding(
    talk: Talk, question: str, rest: str = "", told: Sequence[ToldDanger] = ()
) -> Finding | ToldDanger | None:
    """Lets the person pick a finding, or one of the told dangers, by number or by its words."""
    picks: list[Finding | ToldDanger] = [*talk.now.findings, *told]
    rows = [f.says for f in talk.now.findings] + [f"You said: {one.worry.words}" for one in told]
    hits = rows_meant(rest, rows) if rest else []
    index = hits[0] if len(hits) == 1 else choose_one(talk, question, rows)
    return picks[index] if index is not None else None


def found(talk: Talk) -> None:
    """What was found on one screen, the gravest first; on demand all about one of them."""
    talk.say(*found_so_far(talk.now))
    findings = gravest_first(talk.now)
    while findings:
        rows = [found_line(talk.now, f, f.at_words).text for f in findings]
        index = choose_one(talk, "See what to do about one, and how it was found?", rows)
        if index is None:
            return
        finding = findings[index]
        talk.say(*finding_lines(talk.now, finding, finding.at_words))
        for key in ((finding.rule.rule, finding.at), *also_found(talk.now, finding)):
            talk.say(*trail_lines(trail_of(talk.now, *key)))


def what_if(talk: Talk, rest: str, prompt: Prompt) -> None:
    """Tries an answer on a copy of the journal and says what would be different."""
    item, words = what_if_item(talk, rest, prompt)
    if item is None:
        return
    question, at = item
    model = talk.ruleset.questions[question]
    if not words:
        talk.say(Line("question", f"What if {talk.ruleset.item_label(question, at)} was what?"))
        words = clean(talk.ask("> "))
    heard = understand(words, model, today=talk.now.state.context.today)
    if isinstance(heard, Unclear):
        unclear(talk, heard)
        return
    trial = consult(talk.ruleset, with_answer(talk.journal, question, at, heard.answer, words))
    label = talk.ruleset.item_label(question, at)
    talk.say(Line("title", f"If '{label}' was '{heard.echo}' (only tried, not kept):"))
    both = compare(talk.now, trial)
    rows = [f"New: {f.at_words} {f.rule.say}" for f in both.only_second]
    rows += [f"Gone: {f.at_words} {f.rule.say}" for f in both.only_first]
    rows = rows or ["Nothing else would follow."]
    talk.say(*texts([*rows, advice_change(*both.urgencies)], 2))


def what_if_item(talk: Talk, rest: str, prompt: Prompt) -> tuple[tuple[str, str] | None, str]:
    """Which question a "what if" is about, and the words of the answer."""
    rest = talk.ruleset.as_the_owner(rest)
    low = rest.lower()
    known = [*prompt.items, *talk.now.state.answers]
    named = [i for i in known if talk.ruleset.item_label(*i).lower() in low]
    if named:
        item = max(named, key=lambda i: len(talk.ruleset.item_label(*i)))
        label = talk.ruleset.item_label(*item).lower()
        words = rest[low.index(label) + len(label) :]
        for lead in (" was ", " were ", " is ", " are ", " had been "):
            if words.lower().startswith(lead):
                words = words[len(lead) :]
        return item, words.strip(" ,.:?")
    if prompt.group:
        talk.say(
            Line("text", "Say which one, for example: what if "
                         f"{talk.ruleset.item_label(*prompt.items[0])} was ...")
        )  # fmt: skip
        return None, ""
    words = rest.strip(" ,.:?")
    for lead in ("it was ", "it is ", "it were ", "the answer was ", "i said "):
        if words.lower().startswith(lead):
            words = words[len(lead) :]
    if not prompt.items:
        talk.say(Line("text", "Say which answer, for example: what if tread depth was 1.5"))
        return None, ""
    return prompt.items[0], words


def card(talk: Talk) -> bool:
    """Takes what stands on the card until an empty line; the walk then asks what follows."""
    prompts = numbered_prompts(talk.ruleset, talk.journal)
    talk.say(Line("text", "Type a number from the card and its answer, such as '7 about 3 mm', or "
                          "paste the line of the phone. An empty line ends it."))  # fmt: skip
    while True:
        words = clean(talk.ask("card > "))
        if not words or words.lower() in ("stop", "back", "done", "end"):
            return True
        code, rows = _card_rows(words)
        if code not in ("", card_code(prompts)):
            talk.say(Line("text", f"That line is of card {code}. What is known of this car now "
                                  f"gives card {card_code(prompts)}, and its numbers mean other "
                                  "things. Nothing was taken."))  # fmt: skip
            continue
        for number, answer in rows:
            _card_row(talk, prompts, number, answer)


def _card_row(talk: Talk, prompts: Sequence[Prompt], number: str, answer: str) -> None:
    """Takes what was ticked at one number, or at one part of it: "20", "20.3"."""
    whole, _, part = number.partition(".")
    prompt = prompts[number_of(whole) - 1] if 1 <= number_of(whole) <= len(prompts) else None
    if prompt and part:
        items = prompt.items if prompt.group and number_of(part) else ()
        prompt = next((alone(talk, *i) for i in items[number_of(part) - 1 :][:1]), None)
    if prompt is None:
        talk.say(
            Line("text", f"The card has the numbers 1 to {len(prompts)}. "
                         "Type one of them, then the answer.")
        )  # fmt: skip
    elif not answer:
        talk.say(*ask_lines(talk.now, prompt))
    else:
        talk.say(Line("aside", f"{number}. {card_title(talk, prompt)}"))
        numbers = talk.ruleset.questions[prompt.items[0][0]].kind in ("quantity", "count")
        signs = {"?": "can't look"} | ({} if numbers else {"0": "none"})
        take_answer(talk, prompt, signs.get(answer, answer))


def _card_rows(words: str) -> tuple[str, list[tuple[str, str]]]:
    """The card's code, if the line of the phone was pasted, and each number with its answer.

    There each tick is a piece of its own: "20 1; 20 3" is 20 with 1 and 3. What is ticked as wrong
    counts before "none" and "not seen".
    """
    pasted = re.fullmatch(r"card ([0-9a-f]{4})\b(.*)", words.lower())
    if pasted is None:
        return "", [_numbered(words)]
    rows: dict[str, list[str]] = {}
    for number, answer in map(_numbered, filter(None, map(str.strip, pasted[2].split(";")))):
        rows.setdefault(number, []).append(answer)
    told = {n: [a for a in some if a not in ("0", "?")] or some[-1:] for n, some in rows.items()}
    return pasted[1], [(number, ", ".join(some)) for number, some in told.items()]


def _numbered(words: str) -> tuple[str, str]:
    """ "24 3.8", "24: 3.8" and "24. 3.8" are the number 24 and its answer 3.8."""
    found = re.fullmatch(r"([0-9]+(?:\.[0-9]+)?)(?:[:.)](?![0-9])|(?=\s)|$)\s*(.*)", words)
    return (found[1], found[2]) if found else ("", "")


def card_title(talk: Talk, prompt: Prompt) -> str:
    if prompt.group:
        return prompt.words(talk.ruleset)
    return talk.ruleset.item_label(str(prompt.question), prompt.at)
