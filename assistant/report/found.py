"""What was found, one line each, as it stands on the sheet: where, what, how much, how known;
and what was not seen, in the order in which it matters."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from assistant.journal.entries import Said
from assistant.reasoning.consultation import Consultation
from assistant.reasoning.findings import Finding
from assistant.reasoning.hazards import ToldDanger
from assistant.reasoning.routes import supports_of
from assistant.reasoning.too_close import TooCloseToTell
from assistant.reasoning.trail import missing_under
from assistant.reasoning.why_not import nearly_found
from assistant.report.drawn import where_found
from assistant.report.drive import condition_words, mending
from assistant.ruleset.grammar import upper
from assistant.ruleset.models import SHORT_MOST, Question, Rule, Urgency
from assistant.ruleset.ruleset import Key, Ruleset
from assistant.ruleset.words import URGENCY_WORDS, number_words

NO_ITEM = "no item"
NONE_WANTED, NOT_MEASURED = "no figure", "not measured"
"""What stands in the place of a reading: nothing is to be measured, or nobody measured it."""
UNSEEN = "not seen"
TRUST = ("measured", "judged", "seen", "remembered", "told", UNSEEN)
"""How a thing is known, the surest way first."""


@dataclass(frozen=True)
class Found:
    """One line of what was found: equal findings, or what cannot be told, under one number.

    seen: what was seen as a note of one line; says: the same as the sentence said to the owner.
    fails: it would fail the inspection; grave: the car must not be driven with it.
    """

    place: str
    seen: str
    says: str
    reading: str
    item: str
    trust: str
    why: str
    do: str
    fails: bool = False
    grave: bool = False
    findings: tuple[Finding, ...] = ()
    group: str = ""
    number: int = 0


def found_of(now: Consultation) -> list[Found]:
    """All that was found, the gravest first; each rule once, with all its places."""
    groups: dict[str, list[Finding]] = {}
    for finding in now.findings:
        groups.setdefault(finding.rule.rule, []).append(finding)
    rows = [(alike[0].urgency, _of_rule(now, alike)) for alike in groups.values()]
    for one in now.told_alone:
        rows.append((one.urgency, _told(now, one)))
    rows.sort(key=lambda row: (row[1].trust == UNSEEN, row[0].rank))
    found = [
        replace(one, group=_group(now, urgency, one.trust), grave=urgency.is_danger)
        for urgency, one in rows
    ]
    close = {(one.reading, one.at): one for one in reversed(now.too_close)}
    found += [_too_close(now, one) for one in reversed(close.values())]
    return [replace(one, number=number) for number, one in enumerate(found, start=1)]


def _of_rule(now: Consultation, alike: list[Finding]) -> Found:
    rule, category = alike[0].rule, alike[0].category
    scale = now.ruleset.about.scale[category] if category else None
    close = any(one.close_to_limit for one in alike)
    spans = dict.fromkeys(filter(None, (_reading(now, one) for one in alike)))
    reading, trust = "; ".join(spans), _trust(now, rule, _supports(now, alike))
    return Found(
        place=_place(now, alike),
        seen=seen_line(rule, len(reading)),
        says=rule.say,
        reading=reading or _no_reading(now.ruleset, alike[0], trust),
        item=f"{alike[0].item} {scale.say}" if scale else NO_ITEM,
        trust=trust,
        why=rule.why + (" Close to the limit: a tester may read it otherwise." if close else ""),
        do=f"{condition_words(rule.condition)} {mending(now, alike[0])}".strip(),
        fails=bool(scale and scale.fails),
        findings=tuple(alike),
    )


def _supports(now: Consultation, alike: Sequence[Finding]) -> list[Said]:
    return [said for one in alike for said in supports_of(now, one)]


def _told(now: Consultation, one: ToldDanger) -> Found:
    """A danger in the owner's own words, under the name that the rules have for it."""
    rs, danger = now.ruleset, one.danger
    return Found(
        place=_where_asked(rs, danger.ask[0]) if danger.ask else "As told",
        seen=danger.short,
        says=f"Told: {one.worry.words}",
        reading=_UNSEEN["told"],
        item=NO_ITEM,
        trust="told",
        why=danger.first,
        do=one.do,
    )


def _too_close(now: Consultation, one: TooCloseToTell) -> Found:
    """What one reading leaves open, by the first rule that it can neither show nor rule out."""
    rs, question = now.ruleset, now.ruleset.questions.get(one.reading)
    place = _where_asked(rs, one.reading, one.at) if question else "About the car"
    figure = _span(question, one.lo, one.hi) if question else ""
    return Found(
        place=upper(one.at_words) or place,
        seen=seen_line(one.rule, len(figure)),
        says=f"Perhaps: {one.rule.say}",
        reading=figure or NOT_MEASURED,
        item=f"{one.rule.finds.item} open" if one.rule.finds else NO_ITEM,
        trust="judged",
        why=upper(one.text),
        do=one.rule.do or "",
        group="Perhaps, too close to tell: please measure",
    )


def _group(now: Consultation, urgency: Urgency, trust: str) -> str:
    """What to do, and when; beside a danger all that is milder is only to be mended as well."""
    if trust == UNSEEN:
        return "Could not be seen, and matters"
    if urgency is not Urgency.NOTHING:
        worst = now.headline.urgency
        if worst.is_danger and urgency.rank > worst.rank:
            return "Also to be mended"
    return URGENCY_WORDS[urgency]


def _place(now: Consultation, alike: list[Finding]) -> str:
    """Where it was found: the parts, all of them in a word, or the place of the walk."""
    rs, parts = now.ruleset, [f.at_words for f in alike if f.at_words]
    axis = rs.names[alike[0].rule.rule].axis
    if axis and len(parts) > 1 and len(parts) == len(rs.axes[axis].members):
        return f"All {rs.axes[axis].say}"
    key = where_found(now, alike[0])
    return upper(", ".join(parts)) or (_where_asked(rs, *key) if key else "")


def _where_asked(ruleset: Ruleset, question: str, at: str = "") -> str:
    """The place of the walk, for what is said of no part: "As told" for what is remembered."""
    place = ruleset.places[ruleset.place_of(question, at)]
    return upper(place.found or ruleset.place_words(place.place).removeprefix("the "))


def _reading(now: Consultation, finding: Finding) -> str:
    """The figure that a finding rests on before all else, in short: "1.2 mm", "1 to 2 mm"."""
    rs = now.ruleset
    for said in supports_of(now, finding):
        question, answer = rs.questions[said.question], said.answer
        if said.question in rs.of_the_car or question.kind == "note":
            continue
        return _span(question, answer.lo, answer.hi)
    return ""


def _span(question: Question, lo: float | None, hi: float | None) -> str:
    """A figure or a range with its unit; nothing for what is no figure."""
    if question.kind not in _FIGURES or lo is None or hi is None:
        return ""
    unit = question.unit if question.unit not in (None, "count") else ""
    return f"{' to '.join(dict.fromkeys(map(number_words, (lo, hi))))} {unit}".strip()


_FIGURES = ("quantity", "count")


def _no_reading(ruleset: Ruleset, finding: Finding, trust: str) -> str:
    """Why there is no figure: none belongs to what was seen, or nobody took it."""
    if any(q.kind in _FIGURES for q in _read_by(ruleset, finding.rule.rule, finding.at)):
        return NOT_MEASURED
    return _UNSEEN.get(trust, NONE_WANTED)


_UNSEEN = {"remembered": "only told", "told": "only told", "not seen": "not seen"}


def _read_by(ruleset: Ruleset, rule: str, at: str = "") -> list[Question]:
    """The questions that a rule rests on, by whatever is worked out between; none of the car."""
    items = ruleset.graph.items_behind(Key("rule", rule).text, at)
    return [
        ruleset.questions[name]
        for name, _ in items
        if name not in ruleset.of_the_car and ruleset.questions[name].kind != "note"
    ]


def reading_most(ruleset: Ruleset, rule: Rule) -> int:
    """How many letters the reading beside a rule's line may have: the longest single figure."""
    axis = ruleset.names[rule.rule].axis
    first = next(iter(_read_by(ruleset, rule.rule, next(iter(ruleset.members(axis)), ""))), None)
    return max(len(_span(first, end, end)) for end in first.range) if first and first.range else 0


def _trust(now: Consultation, rule: Rule, said: Sequence[Said]) -> str:
    """The best of the ways in which what it rests on is known."""
    if rule.unseen:
        return "not seen"
    ways = {_way(now, one) for one in said if one.question not in now.ruleset.of_the_car}
    return next((way for way in TRUST if way in ways), "told")


def _way(now: Consultation, said: Said) -> str:
    rs, question = now.ruleset, now.ruleset.questions[said.question]
    stage = rs.places[rs.place_of(said.question, said.at)].stage
    if said.answer.state != "value" or _hides(question, said):
        return "not seen"
    if question.asked == "told" or stage == "end":
        return "told"
    if stage == "triage":
        return "remembered"
    if question.kind == "quantity":
        plain = said.answer.lo == said.answer.hi
        return (
            "measured" if plain and question.needs and not now.lacks(question.needs) else "judged"
        )
    return "seen"


def seen_line(rule: Rule, reading: int = 0) -> str:
    """What was seen as a note: the rule's own, or its sentence, of which words that say little go
    one sort after another as far as it is too long beside a reading of so many letters."""
    if rule.short:
        return rule.short
    plain = _LEAD.sub("", rule.say.rstrip("."))
    for little in _SAY_LITTLE:
        plain = plain if len(plain) <= SHORT_MOST - reading else little.sub("", plain)
    return upper(plain.replace(" this ", " the "))


_LEAD = re.compile(
    r"^(?:You (?:have (?:noticed|told of)|said)(?: that)? )?"
    r"(?:There (?:is|are|was|were) )?(?:The |An? |This )?",
    re.IGNORECASE,
)
_SAY_LITTLE = (
    re.compile(r"(?<= )(?:the|a|an|this|its|your) "),
    re.compile(r"(?<= )(?:you can see|of car) "),
    re.compile(r"(?<= )(?:is|are|was|were) "),
)


def cut(words: str, most: int) -> str:
    """Words up to so many letters; an ellipsis stands for what is left out."""
    if len(words) <= most:
        return words
    whole = words[: most - 1]
    return f"{whole.rpartition(' ')[0] or whole}".rstrip(" ,;:") + "\u2026"


# what is not known ---------------------------------------------------------------------------


def not_seen(now: Consultation, said: Said) -> bool:
    """Whether an answer about the car says that it is not known, or that it could not be seen."""
    rs = now.ruleset
    if said.question not in rs.questions or said.question in rs.for_dates:
        return False
    question = rs.questions[said.question]
    hidden = question.safety and _hides(question, said)
    return hidden or said.answer.state in ("dont_know", "cant_look")


def as_it_should_be(ruleset: Ruleset, said: Said) -> bool:
    """Whether an answer says that it is as it should be, and not that it could not be seen."""
    question, answer = ruleset.questions[said.question], said.answer
    fine = answer.word is not None and answer.word == question.fine
    return answer.words == () or (fine and not _hides(question, said))


def _hides(question: Question, said: Said) -> bool:
    choice = question.choices.get(said.answer.word or "")
    return choice is not None and choice.hides


def weight(now: Consultation) -> Callable[[tuple[str, str]], tuple[bool, ...]]:
    """The order of what is not known: what a danger itself hangs on leads, then what is looked at
    for safety, then what would tell of something that is nearly found."""
    rs = now.ruleset
    own = {name for one in now.hazards.standing for name in one.hazard.settles}
    own |= {
        s.question
        for f in now.findings
        if f.urgency.is_danger or f.rule.unseen
        for s in supports_of(now, f)
    }
    nearly = {key for nodes in nearly_found(now) for n in nodes for key in missing_under(n)}
    return lambda key: (key[0] not in own, not rs.questions[key[0]].safety, key not in nearly)
