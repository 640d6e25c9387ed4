"""What the pictures of one consultation show, and the words that say the same.

Reads the places from the ruleset and the figures from the answers, and hands plain data to the
drawing functions of pictures.py.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from assistant.reasoning.consultation import Consultation
from assistant.reasoning.findings import Finding
from assistant.reasoning.trail import answers_under, trail_of
from assistant.report.pictures import (
    Depth,
    LimitLine,
    Mark,
    Screen,
    Stop,
    Tread,
    damage_sides,
    screen_rows,
    tread_rows,
)
from assistant.ruleset.condition import leaves
from assistant.ruleset.grammar import upper
from assistant.ruleset.models import Basis
from assistant.ruleset.pictures_file import Picture
from assistant.ruleset.truth import evaluate
from assistant.ruleset.words import answer_words, number_words, range_words

Span = tuple[float, float]


@dataclass(frozen=True)
class Car:
    """The car from above: the places of the walk, the findings, and both in words."""

    stops: tuple[Stop, ...]
    marks: tuple[Mark, ...]
    places: str
    found: tuple[tuple[int, str, str], ...]

    @property
    def words(self) -> str:
        """All that the picture shows, as sentences."""
        found = "; ".join(f"{number} {where}" for number, where, _ in self.found)
        return f"The car from above, its front at the top. {self.places} Found: {found}."


Shown = TypeVar("Shown", Screen, Tread)


@dataclass(frozen=True)
class Drawn(Generic[Shown]):
    """A picture made from answers."""

    title: str
    words: tuple[str, ...]
    shows: Shown


# the car --------------------------------------------------------------------------------


def car_of(
    consultation: Consultation, numbered: Sequence[tuple[int, Sequence[Finding]]]
) -> Car | None:
    """The car with its findings, numbered as they are listed; None where there is no picture.

    A number may stand for one rule at several parts: then it is marked at each of them.
    """
    rs = consultation.ruleset
    walk = [(p.spot, p.say) for p in rs.about.walk if p.stage == "walk" and p.spot is not None]
    lettered = [(chr(ord("A") + i), *place) for i, place in enumerate(walk[:26])]
    marks: list[Mark] = []
    found: list[tuple[int, str, str]] = []
    for number, findings in numbered:
        fails = any(
            f.urgency.is_danger or (f.category and rs.about.scale[f.category].fails)
            for f in findings
        )
        wheres: dict[str, None] = {}
        spots: dict[tuple[float, float] | None, None] = {}
        for finding in findings:
            key = where_found(consultation, finding)
            wheres[finding.at_words or (rs.places[rs.place_of(*key)].say if key else "")] = None
            spots[spot_of(consultation, finding)] = None
        marks += [Mark(number, spot, fails) for spot in spots if spot is not None]
        found.append((number, ", ".join(w for w in wheres if w), findings[0].rule.say))
    if not marks:
        return None
    letters = "; ".join(f"{letter} {say}" for letter, _, say in lettered)
    stops = tuple(Stop(letter, spot) for letter, spot, _ in lettered)
    return Car(stops, tuple(marks), f"Places: {letters}." if letters else "", tuple(found))


def where_found(consultation: Consultation, finding: Finding) -> tuple[str, str] | None:
    """The answer that says where a finding is: the first that was given on the walk, if any."""
    rs = consultation.ruleset
    answers = answers_under(trail_of(consultation, finding.rule.rule, finding.at))
    keys = [(s.question, s.at) for s in answers if s.question in rs.questions]
    walked = [k for k in keys if rs.places[rs.place_of(*k)].stage == "walk"]
    own = [k for k in walked if finding.at and k[1] == finding.at]
    return next(iter(own or walked or keys), None)


def spot_of(consultation: Consultation, finding: Finding) -> tuple[float, float] | None:
    """Where a finding is on the car: at its part, else at the part or the place of its answer."""
    rs = consultation.ruleset
    axis = rs.names[finding.rule.rule].axis
    spot = rs.member(axis, finding.at).spot if axis and finding.at else None
    key = where_found(consultation, finding)
    if spot is None and key is not None:
        axis = rs.questions[key[0]].each
        spot = rs.member(axis, key[1]).spot if axis and key[1] else None
        place = rs.places[rs.place_of(*key)]
        spot = spot or (place.spot if place.stage == "walk" else None)
    return spot


# sketches and drawings with "how" -----------------------------------------------------------


def sketch(consultation: Consultation, name: str, at: str = "") -> tuple[str, list[str]]:
    """A picture of pictures.yaml for the terminal: the words beside it, and its rows."""
    picture = consultation.ruleset.pictures[name]
    if picture.ascii is not None:
        return picture.words, picture.ascii.rstrip("\n").split("\n")
    if picture.draw == "windscreen":
        drawn = screen_of(consultation, picture)
        key = ["X is the damage."] if damage_sides(drawn.shows) else []
        return " ".join([picture.words, *drawn.words, *key]), screen_rows(drawn.shows)
    return picture.words, tread_rows(tread_of(consultation, picture, at).shows)


def screen_of(consultation: Consultation, picture: Picture) -> Drawn[Screen]:
    """The windscreen, with the damage as far as it was measured."""
    rs, of = consultation.ruleset, picture.of
    offset, size, zone, half = (str(of[k]) for k in ("offset", "size", "zone", "half"))
    limits = _limits(consultation, of["limits"], "")
    band, title = rs.limits[half], upper(rs.questions[size].label)
    wide = _span(consultation, size, "")
    screen = Screen(
        centre=_number(of["centre"]),
        across=_number(of["across"]),
        half=_number(band.value),
        half_words=f"{number_words(_number(band.value))} {band.unit}",
        offset=_span(consultation, offset, ""),
        size=wide,
        size_words=f"{title}: {range_words(*wide, rs.questions[size].unit or '')}" if wide else "",
        limits=tuple(line for line, _ in limits),
    )
    words = [f"{screen.half_words} each side: {band.say}."]
    for name, span in ((size, wide), (offset, screen.offset)):
        words += [f"{_said(consultation, name, '')}."] if span is not None else []
    if len(damage_sides(screen)) > 1:
        words.append("Whether to the left or to the right was not asked, so both are shown.")
    word = consultation.readings.reading(zone, "").word
    if word:
        derived = rs.derived[zone]
        words.append(f"{upper(derived.say)}: {derived.choices.get(word, word)}.")
    words += [text for _, text in limits] if wide else []
    return Drawn(title, tuple(words), screen)


def tread_of(consultation: Consultation, picture: Picture, at: str) -> Drawn[Tread]:
    """The tread of one tyre, with the limits that concern this car.

    Where it was measured across its width those readings are drawn, else the one there is.
    """
    rs, of = consultation.ruleset, picture.of
    depth, central = str(of["depth"]), _number(of["central"])
    across, ends = of["across"], of["ends"]
    assert isinstance(across, list) and isinstance(ends, list)
    limits = _limits(consultation, of["limits"], at)
    spans = [(name, _span(consultation, name, at)) for name in (depth, *across)]
    words = [f"{_said(consultation, name, at)}." for name, span in spans if span]
    step = central / (len(across) - 1) if len(across) > 1 else 0
    first = (100 - central) / 2 if step else 50
    depths = [
        Depth(first + step * index, span, "-".join(map(number_words, dict.fromkeys(span))))
        for index, (_, span) in enumerate(spans[1:])
        if span
    ]
    lowest, whole = None, spans[0][1]
    if whole:
        single = Depth(50, whole, range_words(*whole, rs.questions[depth].unit or ""))
        if depths and whole[0] < min(d.span[0] for d in depths):
            lowest = LimitLine(whole[0], single.words)
        depths = depths or [single]
    tread = Tread(
        central, tuple(depths), lowest, (ends[0], ends[-1]), tuple(line for line, _ in limits)
    )
    words += [text for _, text in limits]
    title = upper(rs.item_label(depth, at))
    return Drawn(title, tuple(words), tread)


def _span(consultation: Consultation, question: str, at: str) -> Span | None:
    reading = consultation.readings.reading(question, at)
    return None if reading.lo is None or reading.hi is None else (reading.lo, reading.hi)


def _said(consultation: Consultation, name: str, at: str) -> str:
    """ "Front left depth: 3 mm"."""
    rs = consultation.ruleset
    words = answer_words(rs.questions[name], consultation.state.answers[(name, at)].answer)
    return f"{upper(rs.item_label(name, at))}: {words}"


def _limits(consultation: Consultation, names: object, at: str) -> list[tuple[LimitLine, str]]:
    """The limits that concern this car, as lines and in words."""
    found: list[tuple[LimitLine, str]] = []
    for name in names if isinstance(names, list) else []:
        limit = consultation.ruleset.limits[name]
        advice = limit.basis is Basis.PRACTICE
        if _concerns(consultation, name, at, judged=not advice):
            value = _number(limit.value)
            words = f"{number_words(value)} {limit.unit}"
            found.append((LimitLine(value, words, advice), f"{words}: {limit.say}."))
    return found


def _concerns(consultation: Consultation, limit: str, at: str, judged: bool) -> bool:
    """Whether a rule that reads the limit may apply to this car.

    judged: only rules that judge an item of the standard count, where there are any. A rule that
    gives way to others draws no line of its own.
    """
    rules = [
        i for i in consultation.ruleset.rules
        if any(getattr(leaf, "limit", "") == limit for leaf in leaves(i.condition))
    ]  # fmt: skip
    judging = [i for i in rules if i.rule and i.rule.finds and not i.rule.gives_way_to]
    chosen = judging if judged and judging else rules
    view = consultation.view()
    return not chosen or any(
        i.applies is None or evaluate(i.applies, view, at) is not False for i in chosen
    )


def _number(value: object) -> float:
    return float(value) if isinstance(value, int | float) else 0.0
