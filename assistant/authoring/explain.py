"""One rule or symptom in plain words, for those who did not write it."""

from __future__ import annotations

from collections.abc import Mapping

from assistant.authoring.check.cases import case_key, typed_answer
from assistant.errors import InputError, near_name
from assistant.ruleset.condition import And, Condition, Or
from assistant.ruleset.condition_words import label_of, words_of
from assistant.ruleset.models import Asks, CaseAnswer, Rule, Symptom
from assistant.ruleset.ruleset import Inference, Key, Ruleset
from assistant.ruleset.words import URGENCY_WORDS, answer_words


def explain(ruleset: Ruleset, name: str) -> str:
    """What fires a rule or a symptom, and what follows. Raises InputError for an unknown name."""
    for wanted in (Key("rule", name), Key("symptom", name)):
        inference = ruleset.inferences.get(wanted.text)
        if inference is not None and inference.rule is not None:
            return "\n".join(_rule(ruleset, inference, inference.rule)) + "\n"
        if inference is not None and inference.role == "symptom" and inference.symptom is not None:
            return "\n".join(_symptom(ruleset, inference, inference.symptom)) + "\n"
    known = [i.name for i in ruleset.rules] + list(ruleset.symptoms)
    raise InputError(f"There is no rule or symptom {name!r}.{near_name(name, known)}")


def _rule(ruleset: Ruleset, inference: Inference, rule: Rule) -> list[str]:
    rows = [f"{rule.rule}  ({ruleset.where(inference)})", f"  {rule.say}", f"  {rule.why}", ""]
    each = (
        f" at each of the {ruleset.axes[inference.axis].say} for itself," if inference.axis else ""
    )
    rows += _indented(f"It fires{each} when", _condition_rows(ruleset, inference.condition))
    rows += ["", "What it concludes"]
    if rule.finds:
        scale = ruleset.about.scale[rule.finds.category]
        ends = "would fail" if scale.fails else "would not fail"
        rows.append(f"  Item {rule.finds.item}: {scale.say}. {scale.means} ({ends})")
    else:
        rows.append("  No item of the standard.")
    if rule.urgency:
        rows.append(f"  How urgent: {URGENCY_WORDS[rule.urgency]}")
    if rule.do:
        rows.append(f"  What to do: {rule.do} ({rule.who})")
    rows += [f"  Caution: {ruleset.cautions[caution]}" for caution in rule.cautions]
    if rule.asks:
        rows += _opened(ruleset, rule.asks)
    rows += _company(ruleset, rule)
    rows += ["", "What it rests on", f"  {_source(ruleset, rule.source, rule.clause)}"]
    rows.append(f"  How far to trust it: {rule.basis.value}")
    rows += [f"  Note: {rule.note}"] if rule.note else []
    rows += ["", "Worked cases"]
    for number, case in enumerate(rule.cases, 1):
        rows.append(f"  {number}. It fires with")
        rows += [f"       {row}" for row in _answers_words(ruleset, case.fires)]
        rows += [f"       on {case.today.isoformat()}"] if case.today else []
        for near in case.near:
            rows.append(f"     and not with {'; '.join(_answers_words(ruleset, near))}")
    return rows


def _opened(ruleset: Ruleset, asks: Asks) -> list[str]:
    when = "at once" if asks.now else "when the walk comes there"
    rows = ["", f"What it opens, {when}: {asks.because}"]
    return rows + [f"  {ruleset.questions[name].ask}" for name in asks.questions]


def _company(ruleset: Ruleset, rule: Rule) -> list[str]:
    """The rules that it gives way to, lowers, or is read by, and the other way round."""
    others = [i.rule for i in ruleset.rules if i.rule is not None]
    groups = {
        "It is not shown beside": [o for o in others if o.rule in rule.gives_way_to],
        "It is shown in place of": [o for o in others if rule.rule in o.gives_way_to],
        "It rules out the danger of": [o for o in others if o.rule in rule.lowers],
        "Its danger is ruled out by": [o for o in others if rule.rule in o.lowers],
        "It is read by": [
            o for o in others if o.rule in ruleset.graph.read_by.get(rule.rule, ())
        ],
    }  # fmt: skip
    rows: list[str] = []
    for head, found in groups.items():
        if found:
            rows += ["", head, *(f"  {other.rule}: {other.say}" for other in found)]
    return rows


def _symptom(ruleset: Ruleset, inference: Inference, symptom: Symptom) -> list[str]:
    rows = [f"{symptom.symptom}  ({ruleset.where(inference)})", f"  {symptom.say}", ""]
    rows += _indented("It is noticed when", _condition_rows(ruleset, inference.condition))
    rows += ["", "What it can come from, and in how many of 100 such cars"]
    for cause in symptom.causes:
        why = f"{cause.reason} ({cause.basis.value})"
        rows.append(f"  {cause.say}: {cause.of_100:g} of 100, {why}")
        urgent = f" {URGENCY_WORDS[cause.urgency]}." if cause.urgency else ""
        rows.append(f"    What to do: {cause.do} ({cause.who}){urgent}")
        rows += [f"    Item {item}" for item in cause.items]
        for tree in ruleset.evidence_of(symptom.symptom, cause.cause):
            evidence = tree.evidence
            assert evidence is not None
            way = "for it" if evidence.factor > 1 else "against it"
            when = words_of(ruleset, tree.condition, author=True)
            rows.append(f"    {way}, times {evidence.factor:g}: {evidence.because}, when {when}")
    rows += [
        "",
        "What it rests on",
        f"  {_source(ruleset, symptom.source, None)}",
        "",
        "Worked cases",
    ]
    says = {cause.cause: cause.say for cause in symptom.causes}
    for number, case in enumerate(symptom.cases, 1):
        rows.append(f"  {number}. With")
        rows += [f"       {row}" for row in _answers_words(ruleset, case.given)]
        end = says.get(case.likely, "nothing is likely yet, and it stays open")
        rows.append(f"     it ends with: {end}")
    return rows


def _indented(head: str, rows: list[str]) -> list[str]:
    """A heading with the condition after it: on the same line where it is one row."""
    if len(rows) == 1:
        return [f"{head} {rows[0]}."]
    return [f"{head} {rows[0]}", *(f"  {row}" for row in rows[1:])]


def _source(ruleset: Ruleset, name: str, clause: str | None) -> str:
    source = ruleset.sources[name]
    where = f", {clause}" if clause else ""
    return f"{source.title} ({source.edition}, {source.publisher}){where}"


def _condition_rows(ruleset: Ruleset, node: Condition, depth: int = 0) -> list[str]:
    """A condition as rows: what must hold together, or the ways in which it can hold."""
    pad = "  " * depth
    if isinstance(node, And | Or):
        head = "all of these hold:" if isinstance(node, And) else "one of these holds:"
        rows = [f"{pad}{head}"]
        for part in node.parts:
            inner = _condition_rows(ruleset, part, depth + 1)
            rows += [f"{pad}  - {inner[0].strip()}", *(f"  {row}" for row in inner[1:])]
        return rows
    return [pad + words_of(ruleset, node, author=True)]


def _answers_words(ruleset: Ruleset, answers: Mapping[str, CaseAnswer]) -> list[str]:
    """The answers of a worked case, one phrase each. Raises CaseError where one does not fit."""
    rows: list[str] = []
    for text, value in answers.items():
        earlier, name, at = case_key(text)
        answer = typed_answer(ruleset, name, value)
        question = ruleset.questions[name]
        where = ruleset.at_words(name, at) if at else ""
        tail = "".join([f", {where}" if where else "", ", a year before" if earlier else ""])
        rows.append(
            f"{label_of(ruleset, name, author=True)}{tail}: {answer_words(question, answer)}"
        )
    return rows
