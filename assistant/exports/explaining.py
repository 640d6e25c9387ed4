"""Explanations as rows of text: the same nodes for a novice, a trainer and a garage.

A node is a trail (how something was found) or a look into why it was not. The novice is told one
sentence and one thing to do; the trainer the rules, the facts and the order in which they fired;
the garage the readings with their units, who saw what when, and what was not checked.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import NamedTuple

from assistant.exports.drive import mending
from assistant.knowledge.condition_words import words_of
from assistant.knowledge.conditions import And, Condition, Or, Somewhere
from assistant.knowledge.journal import Said
from assistant.knowledge.models import Rule
from assistant.knowledge.ruleset import Ruleset
from assistant.knowledge.wording import URGENCY_WORDS, answer_words, number_words
from assistant.reasoning.agenda import agenda
from assistant.reasoning.change import Change, ChangeSet, WhatChanges
from assistant.reasoning.consultation import Consultation
from assistant.reasoning.replay import asked_words
from assistant.reasoning.trail import (
    MET,
    NOT_MET,
    UNKNOWN,
    Node,
    answers_under,
    missing_under,
    of_fact,
)
from assistant.reasoning.why_not import nearly_found

MOST_SCORES = 10
MOST_NEARLY = 8
MOST_WAYS = 3
STATES = {MET: "met", NOT_MET: "not met", UNKNOWN: "not known"}


class Row(NamedTuple):
    """One paragraph. indent is in steps; aside for what may be passed over."""

    text: str
    indent: int = 0
    aside: bool = False


# the novice -----------------------------------------------------------------------------


def novice_rows(consultation: Consultation, node: Node) -> list[Row]:
    """One sentence and one thing to do, with the source beside it."""
    rule = node.rule
    assert rule is not None
    where = f"{_upper(node.at_words)}: " if node.at_words else ""
    say = f"{where}{rule.say}"
    missing = missing_under(node)
    if node.state in ("", MET):
        words = [_short(consultation, said) for said in answers_under(node)]
        first = f"{say} It rests on {_and(words)}." if words else say
        found = [f for f in consultation.findings if f.rule is rule and f.at == node.at]
        do = mending(consultation, found[0]) if found else rule.do
        act = f"What to do: {do}" if do else ""
        if node.state == MET and not found:
            instead = [c.text for c in node.children if c.rule is not None]
            first = f"This holds, but something else is said in its place: {say}"
            act = f"What is said: {_and(instead)}"
    elif node.state == NOT_MET:
        first = f"Not found: {say} {_against(node)}"
        act = "What to do: nothing for this, if those answers are right."
    else:
        first = f"Not known yet: {say} It hangs on {_and(_hanging(node)[:3])}."
        act = (
            f"What to do: look at {_and([_label(consultation.ruleset, *i) for i in missing[:3]])}."
            if missing
            else "What to do: ask a garage to look, if it worries you."
        )
    return [Row(first), *([Row(act)] if act else []), Row(_source(node), aside=True)]


def _against(node: Node) -> str:
    """The first tests that are not met, with what was said."""
    tests = [n for n in _tests(node) if n.state == NOT_MET]
    first = tests[0] if tests else node
    but = f", and what stands is '{_and([_plain(c) for c in first.children])}'"
    return f"It would need '{_plain(first)}'{but if first.children else ''}."


def _hanging(node: Node) -> list[str]:
    return list(dict.fromkeys(f"'{_plain(n)}'" for n in _tests(node) if n.state == UNKNOWN))


def _tests(node: Node) -> Iterator[Node]:
    """The tests of answers under a node that was looked into."""
    inner = [c for c in node.children if c.state]
    if not inner and node.state:
        yield node
    for child in inner:
        yield from _tests(child)


def nearly_sentence(consultation: Consultation, nodes: list[Node]) -> str:
    """A rule that one thing not known keeps from being certain, at one or several parts."""
    rule = nodes[0].rule
    assert rule is not None
    parts = _and([n.at_words for n in nodes if n.at_words])
    where = f"{_upper(parts)}: " if parts else ""
    look = dict.fromkeys(_label(consultation.ruleset, *i) for n in nodes for i in missing_under(n))
    return f"{where}{rule.say} Not known: {_and(list(look))}."


def nearly_words(ruleset: Ruleset, nearly: list[list[Node]]) -> list[str]:
    """Each rule that almost fired: what is missing, and what would tell; like parts in one."""
    rows: dict[tuple[str, str], list[Node]] = {}
    for node in (node for nodes in nearly for node in nodes):
        rows.setdefault((node.name, _missing(node)), []).append(node)
    found = []
    for (_, missing), nodes in rows.items():
        places = ", ".join(n.at_words for n in nodes if n.at_words)
        where = f"{_upper(places)}: " if places else ""
        ask = _label(ruleset, *missing_under(nodes[0])[0])
        found.append(f"{where}Missing: {missing}. To tell, ask: {ask}. For: {nodes[0].text}")
    return found


def _missing(node: Node) -> str:
    """The tests that are not known, in words."""
    return "; ".join(_plain(n) for n in _tests(node) if n.state == UNKNOWN)


# the trainer ----------------------------------------------------------------------------


def trainer_rows(consultation: Consultation, node: Node, depth: int = 0) -> list[Row]:
    """Rules with when they fired and on what facts, and the state of every test."""
    rs = consultation.ruleset
    mark = f"[{STATES[node.state]}] " if node.state else ""
    where = f"{node.at_words}: " if node.at_words else ""
    if node.rule is None:
        said = f" - typed '{node.said.words}'" if node.said is not None and node.said.words else ""
        ask = f" - ask: {_label(rs, *node.ask)}" if node.ask else ""
        kind = " (worked out)" if node.kind == "worked" else ""
        rows = [Row(f"{mark}{where}{node.text}{said}{kind}{ask}", depth)]
    else:
        firing = consultation.result.firings.get((node.name, node.at))
        supports = firing.supports if firing else ()
        inference = rs.inferences[node.name]
        order = f"order {inference.order + 1} of {len(rs.inferences)}"
        if firing is None:
            fired = f"did not fire, {order}"
        else:
            fired = f"fired {'true' if firing.truth else 'false'} in round {firing.round}, {order}"
        rows = [
            Row(f"{mark}Rule: {where}{node.text}", depth),
            Row(f"{fired}. When: {_test(rs, inference.when)}", depth + 1),
            Row(_source(node), depth + 1, aside=True),
        ]
        if inference.applies is not None:
            rows.insert(2, Row(f"For cars with: {_test(rs, inference.applies)}", depth + 1))
        for number, support in enumerate(supports, start=1):
            facts = "; ".join(_plain(of_fact(consultation, fact)) for fact in support)
            rows.append(Row(f"facts {number} of {len(supports)}: {facts}", depth + 1))
    for child in node.children:
        rows += trainer_rows(consultation, child, depth + 1)
    return rows


def trainer_more(consultation: Consultation) -> list[Row]:
    """What would be asked next and with what score, and the rules that almost fired."""
    rs = consultation.ruleset
    rows = [Row("What is asked next, with what it is worth a minute:")]
    prompts = agenda(consultation).prompts
    rows += [
        Row(f"{asked_words(rs, p)} ({p.why}, {p.value:.4f}, {number_words(p.minutes)} min)", 1)
        for p in prompts[:MOST_SCORES]
    ]
    if not prompts:
        rows.append(Row("Nothing is left to ask.", 1))
    rows.append(Row("Rules that almost fired, with the test that is missing:"))
    nearly = [node for nodes in nearly_found(consultation)[:MOST_NEARLY] for node in nodes]
    for node in nearly:
        asks = ", ".join(_label(rs, *item) for item in missing_under(node))
        rows.append(Row(f"{_plain(node)} {_upper(_missing(node))} - ask: {asks}", 1))
    if not nearly:
        rows.append(Row("None.", 1))
    return rows


def _test(ruleset: Ruleset, condition: Condition | None) -> str:
    """A condition in words, with brackets where parts of parts are joined."""
    if condition is None:
        return ""
    if isinstance(condition, And | Or):
        inner = [(part, _test(ruleset, part)) for part in condition.parts]
        joint = " and " if isinstance(condition, And) else " or "
        return joint.join(f"({w})" if isinstance(part, And | Or) else w for part, w in inner)
    if isinstance(condition, Somewhere):
        return f"{words_of(ruleset, condition)}: {_test(ruleset, condition.part)}"
    return words_of(ruleset, condition)


# the garage -----------------------------------------------------------------------------


def garage_rows(consultation: Consultation, node: Node) -> list[Row]:
    """The item, the readings with who saw what when, and what was not checked."""
    rule = node.rule
    assert rule is not None
    rs = consultation.ruleset
    where = f"{_upper(node.at_words)}: " if node.at_words else ""
    state = {NOT_MET: "Not found. ", UNKNOWN: "Not known. "}.get(node.state, "")
    item = "no item of the inspection"
    if rule.finds:
        item = f"item {rule.finds.item}, {rs.about.scale[rule.finds.category].say}"
    rows = [Row(f"{state}{where}{rule.say} ({item})"), Row(_source(node), aside=True)]
    given = answers_under(node)
    rows += [Row(_seen(consultation, said), 1) for said in given]
    rows += [Row(f"Worked out: {_plain(n)}", 1) for n in _worked(node)]
    tests = [n for n in _tests(node) if n.state not in ("", MET)] if node.state else []
    rows += [Row(f"{_upper(STATES[n.state])}: {_plain(n)}", 1) for n in tests if n is not node]
    left = [_label(consultation.ruleset, *key) for key in missing_under(node)]
    left += [
        _label(consultation.ruleset, *key)
        for key in rs.graph.items_behind(node.name, node.at)
        if rs.questions[key[0]].asked != "told"
        and consultation.applies(key[0]) is not False
        and consultation.readings.reading(*key).state in ("unasked", "dont_know", "cant_look")
    ]
    rows.append(
        Row(f"Not checked: {'; '.join(dict.fromkeys(left)) or 'nothing that it hangs on'}.", 1)
    )
    return rows


def _seen(consultation: Consultation, said: Said) -> str:
    """One reading: what, how much, in whose words, when, and how it was given."""
    question = consultation.ruleset.questions[said.question]
    words = answer_words(question, said.answer)
    typed = f", typed '{said.words}'" if said.words and said.words != words else ""
    group = ", answered for a whole group" if said.group else ""
    mended = consultation.state.mended
    after = ", after a repair" if (said.question, said.at) in mended else ""
    when = f", {said.when}" if said.when else ", time not kept"
    label = _upper(_label(consultation.ruleset, said.question, said.at))
    return f"{label}: {words} (seen by the owner{when}{typed}{group}{after})"


def _worked(node: Node) -> Iterator[Node]:
    if node.kind == "worked" and node.children:
        yield node
    for child in node.children:
        yield from _worked(child)


# what would change it -------------------------------------------------------------------


def change_sentence(consultation: Consultation, what: WhatChanges, one: ChangeSet) -> str:
    """One set of answers that would change a conclusion, as a sentence."""
    verb = "It would go if" if what.held else "It would be found if"
    words = [_changed(consultation, change) for change in one.changes]
    but = "; but then something as grave, or graver, would be found" if one.graver else ""
    return f"{verb} {_and(words)}{but}."


def change_rows(consultation: Consultation, what: WhatChanges) -> list[Row]:
    """What would make a conclusion go, or come, and what the advice would then be."""
    rule = consultation.ruleset.inferences[what.rule].rule
    assert rule is not None
    words = consultation.ruleset.at_words(what.rule, what.at)
    where = f"{_upper(words)}: " if words else ""
    rows = [Row(f"{where}{rule.say}")]
    for one in what.sets[:MOST_WAYS]:
        rows.append(Row(change_sentence(consultation, what, one), 1))
        if one.urgency is not None and one.urgency != consultation.urgency:
            now, then = URGENCY_WORDS[consultation.urgency], URGENCY_WORDS[one.urgency]
            rows.append(Row(f"The advice is now: {now}. It would be: {then}.", 2))
    if not what.sets:
        rows.append(Row(none_sentence(what), 1))
    elif what.size > 1:
        rows.append(Row("No single answer would do it.", 1, aside=True))
    return rows


def none_sentence(what: WhatChanges) -> str:
    """Says that no small set of answers changes it, and whether all were tried."""
    do = "go" if what.held else "be found"
    tried = "" if what.whole else " Not every pair was tried."
    return f"No change of one or two answers would make it {do}.{tried}"


def _changed(consultation: Consultation, change: Change) -> str:
    question = consultation.ruleset.questions[change.question]
    label = _label(consultation.ruleset, change.question, change.at)
    new = answer_words(question, change.answer)
    if change.was is None:
        return f"'{label}' was '{new}'"
    if change.was.answer.state != "value":
        return f"'{label}' was known, and was for example '{new}'"
    return f"'{label}' was '{new}' and not '{answer_words(question, change.was.answer)}'"


# words ----------------------------------------------------------------------------------


def _source(node: Node) -> str:
    rule: Rule | None = node.rule
    source = node.source
    assert rule is not None and source is not None
    clause = rule.clause or (rule.finds.item if rule.finds else "")
    tail = f", {clause}" if clause else ""
    return f"Source: {source.title}, {source.edition}{tail}. Basis: {rule.basis.value}."


def _short(consultation: Consultation, said: Said) -> str:
    question = consultation.ruleset.questions[said.question]
    label = _label(consultation.ruleset, said.question, said.at)
    return f"'{label}: {answer_words(question, said.answer)}'"


def _plain(node: Node) -> str:
    return f"{node.at_words} {node.text}".strip()


def _label(ruleset: Ruleset, question: str, at: str) -> str:
    return f"{ruleset.at_words(question, at)} {ruleset.questions[question].label}".strip()


def _upper(text: str) -> str:
    return text[:1].upper() + text[1:]


def _and(words: list[str]) -> str:
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


MANNERS: dict[str, Callable[[Consultation, Node], list[Row]]] = {
    "novice": novice_rows,
    "trainer": trainer_rows,
    "garage": garage_rows,
}
"""How an explanation may be given, by for whom."""
