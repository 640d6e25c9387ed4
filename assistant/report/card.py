"""The card to take outside: the walk for one car, a box for each thing that can be ticked.

What is typed at the card prompt (talk/sidesteps.py) is the number of a check and what was ticked:
"3 1, 4", "9.2 3.5" for the second part of a group, 0 for none of them, ? for not seen.
"""

from __future__ import annotations

import hashlib
import itertools
import re
import textwrap
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from assistant.choosing.agenda import Prompt
from assistant.choosing.order import in_time, numbered_prompts
from assistant.choosing.plan import time_for
from assistant.choosing.why import with_answer
from assistant.journal.entries import Answer, Context, Entry, Said, active_entries
from assistant.reasoning.consultation import Consultation, consult
from assistant.reasoning.supposed import suppose
from assistant.report.lines import printable
from assistant.report.pages import page
from assistant.ruleset.condition import Number, leaves
from assistant.ruleset.grammar import upper
from assistant.ruleset.models import Question
from assistant.ruleset.ruleset import Ruleset
from assistant.ruleset.words import URGENCY_WORDS

FORMATS = ("text", "md", "html")
_WIDTH = 78
_NUMBERS = ("quantity", "count")
_WHICH = re.compile(r":? [Ww]hich (?:of these (?:do you \w+|is so)|are not right)\?$")
"""What the boxes ask by themselves."""
HOW = (
    "Tick what is not right, or what fits. 0: none of these. ?: could not be seen. What is left "
    "empty counts as not looked at. At the keyboard type card, then one line a number, as 3 1, 4 "
    "or 9.2 3.5 (the second part of 9)."
)


def card(
    ruleset: Ruleset,
    journal: Sequence[Entry],
    form: str,
    minutes: float | None = None,
    short: bool = False,
) -> str:
    """The card. form: "text", "md" or "html". minutes: the time there is. short: one round only."""
    data = card_data(ruleset, journal, minutes, short)
    if form == "text":
        return _text(data)
    dangers = _dangers(ruleset, journal, data) if form == "html" else {}
    return page("card", form, c=data, how=HOW, dangers=dangers)


def card_code(prompts: Sequence[Prompt]) -> str:
    """Four letters that tell cards apart whose numbers mean other things."""
    text = repr([(prompt.key, prompt.items) for prompt in prompts])
    return hashlib.blake2b(text.encode(), digest_size=2).hexdigest()


def card_data(
    ruleset: Ruleset, journal: Sequence[Entry], minutes: float | None, short: bool = False
) -> dict[str, Any]:
    """The stops in walking order, each with its numbered checks.

    What is left out is named; the numbers stay what they are.
    """
    prompts = numbered_prompts(ruleset, journal)
    keys = in_time(ruleset, journal, prompts, minutes)
    context = consult(ruleset, list(journal)).state.context
    numbered = list(enumerate(prompts, start=1))
    kept = [(n, p) for n, p in numbered if p.key in keys and not (short and p.round == 2)]
    shown = {p.key for _, p in kept}
    items = [item for p in prompts if p.key not in shown for item in p.items]
    needed = time_for(ruleset, [p for _, p in kept], None)
    stops = _stops(ruleset, kept)
    return {
        "car": context.car,
        "today": context.today.isoformat(),
        "code": card_code(prompts),
        "minutes": round(needed),
        "count": len(kept),
        "over_time": _over_time(needed, minutes),
        "left_out": list(dict.fromkeys(ruleset.questions[q].label for q, _ in items)),
        "cautions": _cautions(ruleset, kept),
        "stops": stops,
        "taps": [tap for stop in stops for check in stop["checks"] for tap in _taps(check)],
        "notices": [*ruleset.about.notices, *ruleset.about.attributions],
    }


def _over_time(needed: float, minutes: float | None) -> str:
    """A sentence where what is always asked takes longer than the time there is."""
    if minutes is None or round(needed) <= minutes:
        return ""
    there = f"That is more than the {minutes:g} minutes there are"
    return f"{there}, but these are always asked, for safety."


def _cautions(ruleset: Ruleset, kept: Iterable[tuple[int, Prompt]]) -> list[tuple[str, str]]:
    """Each caution once, with the numbers that it is about; a place's own is about all of them."""
    numbers: dict[str, list[int]] = {}
    for number, prompt in kept:
        numbers |= {name: [] for name in ruleset.places[prompt.place].cautions}
        for name in prompt.asks(ruleset).cautions:
            numbers.setdefault(name, []).append(number)
    of = {name: f" ({', '.join(map(str, some))})" if some else "" for name, some in numbers.items()}
    return [(ruleset.cautions[name], some) for name, some in of.items()]


def _stops(ruleset: Ruleset, kept: Iterable[tuple[int, Prompt]]) -> list[dict[str, Any]]:
    stops: list[dict[str, Any]] = []
    ids = itertools.count(1)
    first: dict[str, int] = {}
    for _, checks in itertools.groupby(kept, lambda one: (one[1].place, one[1].stop)):
        some = list(checks)
        here, arrive = some[0][1].place, some[0][1].arrive(ruleset)
        made = [_check(ruleset, number, prompt, ids, first) for number, prompt in some]
        stops.append({"say": upper(ruleset.places[here].say), "arrive": arrive, "checks": made})
    return stops


def _check(
    ruleset: Ruleset, number: int, prompt: Prompt, ids: Iterator[int], first: dict[str, int]
) -> dict[str, Any]:
    """One check. first: at which number a group or question stands first, to be referred to."""
    asked = prompt.asks(ruleset)
    before = first.setdefault(prompt.group or str(prompt.question), number)
    name = prompt.items[0][0]
    many = prompt.group is not None or ruleset.questions[name].kind == "some_of"
    if prompt.group:
        ticks = [_part(ruleset, number, n, prompt, ids) for n in range(1, len(prompt.items) + 1)]
    else:
        ticks = _ticks(ruleset, str(number), name, prompt.one(ruleset), ids)
    note = ruleset.questions[name].kind == "note"
    whole = [] if note else [_tick(ids, f"{number} ?", "not seen", "?")]
    if many and ruleset.questions[name].kind not in _NUMBERS:
        whole.insert(0, _tick(ids, f"{number} 0", "none", "0"))
    check = {
        "number": number,
        "ask": prompt.words(ruleset),
        "brief": asked.brief,
        "again": before < number and not prompt.group,
        "paper": _on_paper(ruleset, prompt, before if before < number else 0),
        "cautions": [ruleset.cautions[c] for c in asked.cautions],
        "safety": prompt.why == "safety",
        "ticks": ticks,
        "blank": "" if prompt.group else _blank(ruleset.questions[name]),
        "whole": whole,
    }
    return {**check, "boxes": list(_boxes(check))}


def _on_paper(ruleset: Ruleset, prompt: Prompt, before: int) -> str:
    """What is looked at and how it should be, as short as the boxes behind it allow."""
    if before:
        return prompt.words(ruleset, f"As {before}.")
    said = _WHICH.sub(".", prompt.words(ruleset)).replace("..", ".")
    return f"{said} {prompt.asks(ruleset).brief or ''}".strip()


def _part(
    ruleset: Ruleset, number: int, n: int, prompt: Prompt, ids: Iterator[int]
) -> dict[str, Any]:
    """One part of a group, with what may be wrong with it; a number is written, not ticked.

    Like parts that follow each other are named once, in the lead of the first.
    """
    name, at = prompt.items[n - 1]
    question = ruleset.questions[name]
    like = [item for item in prompt.items if item[0] == name]
    say = ruleset.at_words(name, at) if len(like) > 1 else ruleset.item_label(name, at)
    line = f"{number} {n}" if question.kind not in _NUMBERS else ""
    tick = {**_tick(ids, line, say, n), "blank": _blank(question)}
    tick["lead"] = question.label if len(like) > 1 and like[0][1] == at else ""
    if question.when_named is None:
        inner = _ticks(ruleset, f"{number}.{n}", name, question, ids)
        tick["inner"] = [*inner, _tick(ids, f"{number}.{n} ?", "not seen", "?")]
    else:
        tick["asks"] = (name, Answer(word=question.when_named))
    return tick


def _ticks(
    ruleset: Ruleset, number: str, name: str, question: Question, ids: Iterator[int]
) -> list[dict[str, Any]]:
    """What can be ticked for one question; what it is compared with cuts a number into bands."""
    some = question.kind == "some_of"
    rows: list[tuple[str, str, Answer]] = []
    if question.kind == "yes_no":
        rows = [(word, word, Answer(word=word)) for word in question.words()]
    elif question.kind in _NUMBERS:
        rows = [(say, say, answer) for say, answer in _bands(ruleset, name)]
    else:
        rows = [
            (str(n), choice.say, Answer(words=(word,)) if some else Answer(word=word))
            for n, (word, choice) in enumerate(question.choices.items(), start=1)
        ]
    return [
        {**_tick(ids, f"{number} {typed}", say, typed), "asks": (name, answer)}
        for typed, say, answer in rows
    ]


def _tick(ids: Iterator[int], line: str, say: str, n: int | str = "") -> dict[str, Any]:
    return {"id": f"t{next(ids)}", "line": line, "say": say, "n": n}


def _blank(question: Question) -> str:
    """The unit of what is written down, a space where it has none, or nothing."""
    return (question.unit or " ") if question.kind in (*_NUMBERS, "note", "date") else ""


def _bands(ruleset: Ruleset, name: str) -> list[tuple[str, Answer]]:
    """A number in words and as an answer, on each side of each limit that a rule has for it."""
    question = ruleset.questions[name]
    assert question.range is not None
    low, high = question.range
    starts = sorted({
        leaf.value if leaf.op in ("<", ">=") else leaf.value + question.step
        for inference in ruleset.graph.hanging_on(name)
        for leaf in leaves(inference.condition)
        if isinstance(leaf, Number) and leaf.name == name and low < leaf.value < high
    })  # fmt: skip
    ends = [round(start - question.step, 6) for start in starts]
    says = [f"{a:g} to {b:g}" for a, b in zip(starts, ends[1:], strict=False)]
    says = [f"{ends[0]:g} or less", *says, f"{starts[-1]:g} or more"] if starts else []
    edges = zip([low, *starts], [*ends, high], strict=True)
    return [(say, Answer(lo=a, hi=b)) for say, (a, b) in zip(says, edges, strict=False)]


def _dangers(ruleset: Ruleset, journal: Sequence[Entry], data: dict[str, Any]) -> dict[str, str]:
    """The first line of a danger, by the ticks that alone mean that the car must not be driven."""
    car: list[Entry] = [
        e
        for e in active_entries(journal)
        if isinstance(e, Context) or (isinstance(e, Said) and e.question in ruleset.of_the_car)
    ]
    now = consult(ruleset, car)
    asked = {tick["id"]: tick["asks"] for tick, _ in data["taps"] if "asks" in tick}
    known = {asks: _danger(now, car, *asks) for asks in set(asked.values())}
    return {name: known[asks] for name, asks in asked.items() if known[asks]}


def _danger(now: Consultation, car: list[Entry], name: str, answer: Answer) -> str:
    """The gravest danger of one answer alone, or nothing: read plainly, then by the engine."""
    rs = now.ruleset
    at = rs.members(rs.questions[name].each)[0]
    view = suppose(now, {(name, at): answer})
    if not any(view.concluded(rule, at) for rule in rs.dangers_on(name)):
        return ""
    found = consult(rs, with_answer(car, name, at, answer)).findings
    first = next((f for f in found if f.rule.urgency and f.rule.urgency.is_danger), None)
    return f"{URGENCY_WORDS[first.urgency]}. {first.rule.say}" if first else ""


def _text(data: dict[str, Any]) -> str:
    rows = _wrap(f"Walk-round card for {data['car'] or 'the car'}, {data['today']}")
    rows += _wrap(f"Card {data['code']}: {data['count']} checks, about {data['minutes']} minutes. "
                  f"S: for safety. {data['over_time']}".strip())  # fmt: skip
    rows += _wrap(HOW)
    rows += ["", "TAKE CARE", *_wraps(map("".join, data["cautions"]), 2)]
    for stop in data["stops"]:
        rows += ["", *_wrap(f"{stop['say'].upper()}. {stop['arrive'] or ''}".strip())]
        for check in stop["checks"]:
            safety = " S" if check["safety"] else ""
            rows += _wrap(f"{check['number']:>2}. {check['paper']}{safety}", 4)
            rows += _wrap("  ".join(check["boxes"]), 4, 4)
    if data["left_out"]:
        rows += ["", *_wrap(f"Not on this card: {'; '.join(data['left_out'])}.")]
    rows += ["", *_wraps(data["notices"])]
    return "\n".join(map(printable, rows)).replace("\xa0", " ") + "\n"


def _taps(check: dict[str, Any]) -> Iterator[tuple[dict[str, Any], str]]:
    """What can be tapped, as it comes in the line, each with what else must hold for it (CSS).

    What is wrong with a part counts while the part is ticked; "none" while nothing else is.
    """
    for tick in check["ticks"]:
        if tick["line"]:
            yield tick, ""
        parent = f":has(#{tick['id']}:checked)" if tick["line"] else ""
        yield from ((inner, parent) for inner in tick.get("inner", ()))
    yield from ((tick, f":not(:has(#g{check['number']} .d:checked))") for tick in check["whole"])


def _boxes(check: dict[str, Any]) -> Iterator[str]:
    """What can be ticked or filled in on paper; a box is not parted from its words."""
    if check["blank"]:
        yield f"______ {check['blank']}".strip()
    for tick in [*([] if check["blank"] else check["ticks"]), *check["whole"]]:
        lead = f"{tick['lead']}: " if tick.get("lead") else ""
        say = "" if check["again"] and tick not in check["whole"] else tick["say"]
        words = [str(tick["n"]), say] if tick["n"] != say else [say]
        blank = f"{tick['say']} ______ {tick['blank']}" if tick.get("blank") else ""
        yield lead + (blank or "\xa0".join(filter(None, ["[\xa0]", *words])))


def _wrap(text: str, hang: int = 0, indent: int = 0) -> list[str]:
    return textwrap.wrap(
        text, _WIDTH, initial_indent=" " * indent, subsequent_indent=" " * max(hang, indent)
    )


def _wraps(rows: Iterable[str], hang: int = 0) -> list[str]:
    return [row for text in rows for row in _wrap(text, hang)]
