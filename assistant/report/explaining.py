"""Explanations: the same nodes for a novice, a trainer and a garage.

A node is a trail (how something was found) or a look into why it was not. The novice is told one
sentence and one thing to do; the trainer the rules, the facts and the order in which they fired;
the garage the readings with their units, who saw what when, and what was not checked.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from typing import Any

from assistant.choosing.agenda import agenda, asked_words
from assistant.choosing.what_if import Change, ChangeSet, WhatChanges
from assistant.journal.entries import Said
from assistant.reasoning.consultation import CauseFound, Consultation
from assistant.reasoning.meant import Meant, nearest_rules
from assistant.reasoning.trail import (
    MET,
    NOT_MET,
    UNKNOWN,
    Node,
    answers_under,
    missing_under,
    of_fact,
    trail_of,
)
from assistant.reasoning.why_not import nearly_found, why_not
from assistant.report.drive import advice_change, mending
from assistant.report.findings import source_words
from assistant.report.lines import Line, texts
from assistant.report.result import trail_data
from assistant.ruleset.condition_words import whole_words
from assistant.ruleset.grammar import and_words, placed, upper
from assistant.ruleset.models import Rule
from assistant.ruleset.ruleset import Ruleset
from assistant.ruleset.words import answer_words, number_words, share_words

MOST_SCORES = 10
MOST_NEARLY = 8
MOST_WAYS = 3
STATES = {MET: "met", NOT_MET: "not met", UNKNOWN: "not known"}


# the novice -----------------------------------------------------------------------------


def novice_lines(consultation: Consultation, node: Node) -> list[Line]:
    """One sentence and one thing to do, with the source beside it."""
    rule, say = _rule(node), _headed(node)
    labels = [consultation.ruleset.item_label(*item) for item in missing_under(node)[:3]]
    if node.state in ("", MET):
        words = [_short(consultation, said) for said in answers_under(node)]
        first = f"{say} It rests on {and_words(words)}." if words else say
        found = [f for f in consultation.findings if f.rule is rule and f.at == node.at]
        do = mending(consultation, found[0]) if found else rule.do
        act = f"What to do: {do}" if do else ""
        if node.state == MET and not found:
            instead = [c.text for c in node.children if c.rule is not None]
            first = f"This holds, but something else is said in its place: {say}"
            act = f"What is said: {and_words(instead)}"
    elif node.state == NOT_MET:
        first = f"Not found: {say} {_against(node)}"
        act = "What to do: nothing for this, if those answers are right."
    else:
        hangs = list(dict.fromkeys(f"'{_plain(n)}'" for n in _tests(node, UNKNOWN)))
        first = f"Not known yet: {say} It hangs on {and_words(hangs[:3])}."
        look = f"look at {and_words(labels)}." if labels else ""
        act = f"What to do: {look or 'ask a garage to look, if it worries you.'}"
    return [*texts(text for text in (first, act) if text), _source(node)]


def _against(node: Node) -> str:
    """The first test that is not met, with what was said."""
    first = next(_tests(node, NOT_MET), node)
    but = f", and what stands is '{and_words([_plain(c) for c in first.children])}'"
    return f"It would need '{_plain(first)}'{but if first.children else ''}."


def _tests(node: Node, *states: str) -> Iterator[Node]:
    """The tests of answers under a node that was looked into, where they are in these states."""
    inner = [c for c in node.children if c.state]
    if not inner and node.state in states:
        yield node
    for child in inner:
        yield from _tests(child, *states)


def nearly_sentence(consultation: Consultation, nodes: list[Node]) -> str:
    """A rule that one thing not known keeps from being certain, at one or several parts."""
    parts = upper(and_words([n.at_words for n in nodes if n.at_words]))
    items = dict.fromkeys(item for n in nodes for item in missing_under(n))
    look = list(dict.fromkeys(consultation.ruleset.item_label(*item) for item in items))
    return f"{placed(parts, _rule(nodes[0]).say)} Not known: {and_words(look)}."


def nearly_words(ruleset: Ruleset, nearly: list[list[Node]]) -> list[str]:
    """Each rule that almost fired: what is missing, and what would tell; like parts in one."""
    rows: dict[tuple[str, str], list[Node]] = {}
    for node in (node for nodes in nearly for node in nodes):
        rows.setdefault((node.name, _missing(node)), []).append(node)
    found = []
    for (_, missing), nodes in rows.items():
        places = upper(", ".join(n.at_words for n in nodes if n.at_words))
        ask = ruleset.item_label(*missing_under(nodes[0])[0])
        rest = f"Missing: {missing}. To tell, ask: {ask}. For: {nodes[0].text}"
        found.append(placed(places, rest))
    return found


def _missing(node: Node) -> str:
    """The tests that are not known, in words."""
    return "; ".join(_plain(n) for n in _tests(node, UNKNOWN))


# the trainer ----------------------------------------------------------------------------


def trainer_lines(consultation: Consultation, node: Node, indent: int = 0) -> list[Line]:
    """Rules with when they fired and on what facts, and the state of every test."""
    mark = f"[{STATES[node.state]}] " if node.state else ""
    says = placed(node.at_words, node.text)
    if node.rule is None:
        said = f" - typed '{node.said.words}'" if node.said is not None and node.said.words else ""
        ask = f" - ask: {consultation.ruleset.item_label(*node.ask)}" if node.ask else ""
        kind = " (worked out)" if node.kind == "worked" else ""
        lines = [Line("text", f"{mark}{says}{said}{kind}{ask}", indent)]
    else:
        lines = [Line("text", f"{mark}Rule: {says}", indent)]
        lines += _fired(consultation, node, node.rule, indent + 2)
    for child in node.children:
        lines += trainer_lines(consultation, child, indent + 2)
    return lines


def _fired(consultation: Consultation, node: Node, rule: Rule, indent: int) -> list[Line]:
    """When a rule fired, for which cars, by what standard and on what facts."""
    rs = consultation.ruleset
    firing = consultation.result.firings.get((node.name, node.at))
    supports = firing.supports if firing else ()
    fired = "did not fire"
    if firing is not None:
        fired = f"fired {'true' if firing.truth else 'false'} in round {firing.round}"
    inference = rs.inferences[node.name]
    order = f"order {inference.order + 1} of {len(rs.inferences)}"
    rows = [f"{fired}, {order}. When: {whole_words(rs, inference.when)}"]
    if inference.applies is not None:
        rows.append(f"For cars with: {whole_words(rs, inference.applies)}")
    facts = [
        f"facts {number} of {len(supports)}: "
        + "; ".join(_plain(of_fact(consultation, fact)) for fact in support)
        for number, support in enumerate(supports, start=1)
    ]
    return [*texts(rows, indent), _source(node, indent), *texts(facts, indent)]


def trainer_more(consultation: Consultation) -> list[Line]:
    """What would be asked next and with what score, and the rules that almost fired."""
    rs = consultation.ruleset
    asked = [
        f"{asked_words(rs, p)} ({p.why}, {p.worth:.4f}, {number_words(round(p.minutes, 1))} min)"
        for p in agenda(consultation).prompts[:MOST_SCORES]
    ]
    nearly = [
        f"{_plain(node)} {upper(_missing(node))} - ask: "
        + ", ".join(rs.item_label(*item) for item in missing_under(node))
        for group in nearly_found(consultation)[:MOST_NEARLY]
        for node in group
    ]
    return [
        Line("text", "What is asked next, with what it is worth a minute:"),
        *texts(asked or ["Nothing is left to ask."], 2),
        Line("text", "Rules that almost fired, with the test that is missing:"),
        *texts(nearly or ["None."], 2),
    ]


# the garage -----------------------------------------------------------------------------


def garage_lines(consultation: Consultation, node: Node) -> list[Line]:
    """The item, the readings with who saw what when, and what was not checked."""
    rule, rs = _rule(node), consultation.ruleset
    state = {NOT_MET: "Not found. ", UNKNOWN: "Not known. "}.get(node.state, "")
    item = "no item of the inspection"
    if rule.finds:
        item = f"item {rule.finds.item}, {rs.about.scale[rule.finds.category].say}"
    left = missing_under(node)
    left += [
        key
        for key in rs.graph.items_behind(node.name, node.at)
        if rs.questions[key[0]].asked != "told"
        and consultation.applies(key[0]) is not False
        and consultation.readings.reading(*key).state in ("unasked", "dont_know", "cant_look")
    ]
    labels = dict.fromkeys(rs.item_label(*key) for key in left)
    tests = [n for n in _tests(node, NOT_MET, UNKNOWN) if n is not node]
    rows = [
        *(_seen(consultation, said) for said in answers_under(node)),
        *(f"Worked out: {_plain(n)}" for n in _worked(node)),
        *(f"{upper(STATES[n.state])}: {_plain(n)}" for n in tests),
        f"Not checked: {'; '.join(labels) or 'nothing that it hangs on'}.",
    ]
    first = Line("text", f"{state}{_headed(node)} ({item})")
    return [first, _source(node), *texts(rows, 2)]


def _seen(consultation: Consultation, said: Said) -> str:
    """One reading: what, how much, in whose words, when, and how it was given."""
    rs = consultation.ruleset
    words = answer_words(rs.questions[said.question], said.answer)
    typed = f", typed '{said.words}'" if said.words and said.words != words else ""
    group = ", answered for a whole group" if said.group else ""
    mended = consultation.state.mended
    after = ", after a repair" if (said.question, said.at) in mended else ""
    when = f", {said.when}" if said.when else ", time not kept"
    label = upper(rs.item_label(said.question, said.at))
    return f"{label}: {words} (seen by the owner{when}{typed}{group}{after})"


def _worked(node: Node) -> Iterator[Node]:
    if node.kind == "worked" and node.children:
        yield node
    for child in node.children:
        yield from _worked(child)


AUDIENCES: dict[str, Callable[[Consultation, Node], list[Line]]] = {
    "novice": novice_lines,
    "trainer": trainer_lines,
    "garage": garage_lines,
}
"""How an explanation may be given, by for whom."""


# what would change it -------------------------------------------------------------------


def change_sentence(consultation: Consultation, what: WhatChanges, one: ChangeSet) -> str:
    """One set of answers that would change a conclusion, as a sentence."""
    verb = "It would go if" if what.held else "It would be found if"
    words = [_changed(consultation, change) for change in one.changes]
    but = "; but then something as grave, or graver, would be found" if one.graver else ""
    return f"{verb} {and_words(words)}{but}."


def change_lines(consultation: Consultation, what: WhatChanges) -> list[Line]:
    """What would make a conclusion go, or come, and what the advice would then be."""
    rs = consultation.ruleset
    rule = rs.inferences[what.rule].rule
    assert rule is not None
    lines = [Line("text", placed(upper(rs.at_words(what.rule, what.at)), rule.say))]
    for one in what.sets[:MOST_WAYS]:
        lines.append(Line("text", change_sentence(consultation, what, one), 2))
        if one.urgency is not None and one.urgency != consultation.urgency:
            lines.append(Line("text", advice_change(consultation.urgency, one.urgency), 4))
    if not what.sets:
        lines.append(Line("text", none_sentence(what), 2))
    elif what.size > 1:
        lines.append(Line("aside", "No single answer would do it.", 2))
    return lines


def none_sentence(what: WhatChanges) -> str:
    """Says that no small set of answers changes it, and whether all were tried."""
    do = "go" if what.held else "be found"
    tried = "" if what.whole else " Not every pair was tried."
    return f"No change of one or two answers would make it {do}.{tried}"


def _changed(consultation: Consultation, change: Change) -> str:
    rs = consultation.ruleset
    question, label = rs.questions[change.question], rs.item_label(change.question, change.at)
    new = answer_words(question, change.answer)
    if change.was is None:
        return f"'{label}' was '{new}'"
    if change.was.answer.state != "value":
        return f"'{label}' was known, and was for example '{new}'"
    return f"'{label}' was '{new}' and not '{answer_words(question, change.was.answer)}'"


def cause_sentence(cause: CauseFound) -> str:
    """A cause with its share, and the evidence for and against it."""
    speaks = (("for it", cause.speaks_for), ("against it", cause.speaks_against))
    why = "".join(f"; {side}: {', '.join(words)}" for side, words in speaks if words)
    return f"{share_words(cause.share)}: {cause.cause.say}{why}."


# a judged consultation ------------------------------------------------------------------


@dataclass
class Explained:
    """What was explained: lines to print, data to add, and what could not be made out."""

    lines: list[Line] = field(default_factory=list)
    data: dict[str, Any] = field(default_factory=dict)
    faults: list[dict[str, Any]] = field(default_factory=list)

    def show(self, lines: list[Line]) -> list[str]:
        """Adds lines to what is printed, a step further in; gives them as rows for the data."""
        self.lines += [replace(line, indent=line.indent + 2) for line in lines]
        return [" " * line.indent + line.text for line in lines]


def explain_judged(consultation: Consultation, explain: str | None, asked: str | None) -> Explained:
    """Explains every finding for whom it is wanted, and why one thing was not found.

    explain: one of AUDIENCES. asked: the name of a rule, or an item; words that are neither are not
    guessed at: what is like them is named in a fault.
    """
    explained = Explained()
    if explain is not None:
        _each_finding(consultation, explain, explained)
    if asked is not None:
        meant = nearest_rules(consultation, asked)
        sure = [one for one in meant if one.sure]
        if sure:
            _not_found(consultation, explain or "novice", sure, explained)
        else:
            explained.data["why_not"] = []
            explained.faults.append({"line": None, "text": _unknown(asked, meant)})
    return explained


def _each_finding(consultation: Consultation, audience: str, explained: Explained) -> None:
    explained.lines.append(Line("title", f"How each came about, for a {audience}"))
    data: list[dict[str, Any]] = []
    for finding in consultation.findings:
        name, at = finding.rule.rule, finding.at
        rows = explained.show(AUDIENCES[audience](consultation, trail_of(consultation, name, at)))
        explained.lines.append(Line("blank"))
        data.append({"rule": name, "at": at, "rows": rows})
    if not data:
        explained.show([Line("text", "Nothing was found.")])
    for found in consultation.symptoms:
        explained.lines.append(Line("title", f"Likely causes: {found.symptom.say}"))
        explained.show(texts(map(cause_sentence, found.causes)))
    explained.data |= {"explained_for": audience, "explanations": data}
    if audience == "trainer":
        more = explained.show(trainer_more(consultation))
        explained.data["asked_next_and_nearly_fired"] = more


def _not_found(
    consultation: Consultation, audience: str, sure: list[Meant], explained: Explained
) -> None:
    explained.lines.append(Line("title", "Why not"))
    data: list[dict[str, Any]] = []
    for one in sure:
        node = why_not(consultation, one.rule.rule, one.at)
        rows = explained.show(AUDIENCES[audience](consultation, node))
        explained.lines.append(Line("blank"))
        asks = [{"question": q, "at": at} for q, at in missing_under(node)]
        data.append({**trail_data(node), "would_tell": asks, "rows": rows})
    explained.data["why_not"] = data


def _unknown(asked: str, meant: list[Meant]) -> str:
    text = f"--why-not {asked!r} is neither the name of a rule nor an item."
    like = "; ".join(f"{one.rule.rule} ({one.rule.say.rstrip('.')})" for one in meant)
    return f"{text} Did you mean: {like}?" if like else text


# words ----------------------------------------------------------------------------------


def _rule(node: Node) -> Rule:
    assert node.rule is not None
    return node.rule


def _headed(node: Node) -> str:
    """What a rule says, with a capital at the place before it."""
    return placed(upper(node.at_words), node.text)


def _source(node: Node, indent: int = 0) -> Line:
    assert node.source is not None
    return Line("aside", source_words(_rule(node), node.source), indent)


def _short(consultation: Consultation, said: Said) -> str:
    rs = consultation.ruleset
    words = answer_words(rs.questions[said.question], said.answer)
    return f"'{rs.item_label(said.question, said.at)}: {words}'"


def _plain(node: Node) -> str:
    return f"{node.at_words} {node.text}".strip()
