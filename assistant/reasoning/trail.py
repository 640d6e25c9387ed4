"""The trail: from a conclusion back to the words the person said.

A trail is a tree of small nodes. The screen, the sheet and the JSON print the same nodes.
"""

from __future__ import annotations

from dataclasses import dataclass

from assistant.journal.entries import Said
from assistant.reasoning.consultation import Consultation
from assistant.reasoning.facts import Fact
from assistant.ruleset.condition_words import choice_words, label_of
from assistant.ruleset.models import Rule, Source
from assistant.ruleset.words import answer_words, range_words

MET, NOT_MET, UNKNOWN = "met", "not met", "unknown"


@dataclass(frozen=True)
class Node:
    """One step of a trail.

    kind: "rule", "answer", "worked", "parts" or "condition". text: what it says, in plain words.
    For an answer: said holds the journal entry with the person's own words. For a rule: rule and
    source; holds is False where the rule is known not to apply. state: for what is looked into
    because it was not found, "met", "not met" or "unknown"; ask: for a condition that is unknown,
    the question, and the part, whose answer would tell.
    """

    kind: str
    name: str
    at: str
    at_words: str
    text: str
    holds: bool = True
    rule: Rule | None = None
    source: Source | None = None
    said: Said | None = None
    children: tuple[Node, ...] = ()
    state: str = ""
    ask: tuple[str, str] | None = None


def trail_of(consultation: Consultation, rule: str, at: str = "") -> Node:
    """The trail of one rule that the engine has decided. Raises KeyError if it has not."""
    rs = consultation.ruleset
    firing = consultation.result.firings[(rule, at)]
    model = rs.inferences[rule].rule
    support = firing.supports[0]
    return Node(
        "rule",
        rule,
        at,
        rs.at_words(rule, at),
        model.say if model else rule,
        holds=firing.truth,
        rule=model,
        source=rs.sources[model.source] if model else None,
        children=tuple(of_fact(consultation, fact) for fact in support),
    )


def of_fact(consultation: Consultation, fact: Fact) -> Node:
    """The trail of one fact that a rule rests on."""
    if fact.kind == "concluded":
        return trail_of(consultation, fact.name, fact.at)
    if fact.kind == "somewhere":
        return _of_parts(consultation, fact)
    if fact.kind == "answer":
        return _of_answer(consultation, fact.name, fact.at)
    return _of_worked(consultation, fact.name, fact.at)


def _of_answer(consultation: Consultation, name: str, at: str) -> Node:
    rs = consultation.ruleset
    said = consultation.state.answers[(name, at)]
    question = rs.questions[name]
    text = f"{question.label}: {answer_words(question, said.answer)}"
    return Node("answer", name, at, rs.at_words(name, at), text, said=said)


def _of_worked(consultation: Consultation, name: str, at: str) -> Node:
    """A worked-out number or word, with the answers it came from."""
    rs = consultation.ruleset
    reading = consultation.readings.reading(name, at)
    label = label_of(rs, name)
    if reading.lo is not None and reading.hi is not None:
        kind = rs.names[name]
        value = "today" if name == "today" else range_words(reading.lo, reading.hi, kind.unit)
    else:
        value = choice_words(rs, name, reading.word) if reading.word else "not known"
    children: list[Node] = []
    for behind, part in rs.graph.made_from_at(name, at):
        if (behind, part) in consultation.state.answers:
            children.append(_of_answer(consultation, behind, part))
        elif behind in rs.derived or behind in rs.sums:
            children.append(_of_worked(consultation, behind, part))
    return Node(
        "worked", name, at, rs.at_words(name, at), f"{label}: {value}", children=tuple(children)
    )


def _of_parts(consultation: Consultation, fact: Fact) -> Node:
    rs = consultation.ruleset
    inference = rs.inferences[fact.name]
    wanted = fact.word == "yes"
    children: list[Node] = []
    for at in rs.members(inference.axis):
        firing = consultation.result.firings.get((fact.name, at))
        if firing is not None and firing.truth == wanted:
            children += [of_fact(consultation, f) for f in firing.supports[0]]
            if wanted:
                break
    axis = rs.axes[str(inference.axis)].say
    text = f"at one of the {axis}" if wanted else f"at none of the {axis}"
    return Node("parts", fact.name, "", "", text, holds=wanted, children=tuple(children))


def basis_of(consultation: Consultation, name: str, at: str) -> Node | None:
    """The answer, or what is worked out, under a name; None where nothing was said of it."""
    rs = consultation.ruleset
    at = at if rs.names[name].axis else ""
    if name in rs.questions:
        known = (name, at) in consultation.state.answers
        return _of_answer(consultation, name, at) if known else None
    if name in rs.inferences:
        decided = (name, at) in consultation.result.firings
        return trail_of(consultation, name, at) if decided else None
    return _of_worked(consultation, name, at)


def missing_under(node: Node) -> list[tuple[str, str]]:
    """The questions, and parts, whose answers would tell, in order and once each."""
    found: dict[tuple[str, str], None] = {}
    if node.ask is not None:
        found[node.ask] = None
    for child in node.children:
        found.update(dict.fromkeys(missing_under(child)))
    return list(found)


def answers_under(node: Node) -> list[Said]:
    """Every answer a trail ends in, once each."""
    found: dict[tuple[str, str], Said] = {}
    stack = [node]
    while stack:
        current = stack.pop()
        if current.said is not None:
            found[(current.said.question, current.said.at)] = current.said
        stack.extend(reversed(current.children))
    return list(found.values())
