"""What has been found and what may be behind it, as lines of plain words."""

from __future__ import annotations

from assistant.choosing.next_check import LEAST_SHARE, SETTLED
from assistant.reasoning.consultation import CauseFound, Consultation, SymptomFound
from assistant.reasoning.deadlines import deadlines_of
from assistant.reasoning.findings import Finding
from assistant.reasoning.routes import contradicted
from assistant.report.drawn import car_of
from assistant.report.drive import IF_IT_CHANGES, LIMITS, drive_of, more_words, one_advice
from assistant.report.findings import (
    WHO_WORDS,
    answers_line,
    box,
    caution_lines,
    finding_lines,
    lifted_line,
    stood_down_line,
    together,
    withdrawn_line,
)
from assistant.report.lines import Line, texts, titled
from assistant.report.pictures import car_rows
from assistant.ruleset.grammar import and_words, placed, plural, upper
from assistant.ruleset.models import Who
from assistant.ruleset.words import URGENCY_WORDS

_MOST_LISTED = 12
IF_NO_HELP = "If that does not help, a garage must measure."
MUST_MEASURE = "A garage must measure it before anything is changed."
_MOST_CAUSES = 4
_TONIGHT = 3
"""So many things are offered to be put right at once."""


def car_lines(consultation: Consultation, groups: list[list[Finding]]) -> list[Line]:
    """The car from above with the findings, numbered as they are listed after it."""
    car = car_of(consultation, list(enumerate(groups, start=1)))
    if car is None:
        return []
    rows = car_rows(car.stops, car.marks)
    return [Line("text", car.words), Line("picture", "\n".join(rows)), Line("blank")]


def symptom_lines(consultation: Consultation, found: SymptomFound) -> list[Line]:
    """What may be behind a symptom, the evidence, who mends it, and what to say to a garage."""
    symptom, likely, alone = found.symptom, found.likely, not one_advice(consultation)
    rows = [
        cause_words(consultation, cause)
        for index, cause in enumerate(found.causes)
        if index < _MOST_CAUSES or is_grave(cause)
    ]
    if likely is None:
        rows.append(f"Which of them it is stays open. {MUST_MEASURE}")
    elif alone:
        rows += [f"What to do: {likely.cause.do}", WHO_WORDS[likely.cause.who]]
    if likely is not None and likely.share < SETTLED:
        garage = likely.cause.who is Who.GARAGE
        rows.append(f"That is not certain. {MUST_MEASURE if garage else IF_NO_HELP}")
    lines = titled(f"What may be behind it: {symptom.say}", rows)
    if alone:
        lines += caution_lines(consultation.ruleset, symptom.cautions, 2)
    if symptom.tell_garage:
        lines += texts([f"Tell the garage: {symptom.tell_garage}"], 2)
    if symptom.not_sold:
        lines += texts([f"Before you pay: {symptom.not_sold}"], 2)
    return lines


def cause_words(consultation: Consultation, cause: CauseFound) -> str:
    """A cause, how likely it is, what speaks for and against it, and what to do if it is so."""
    because = f", because {and_words(cause.speaks_for)}" if cause.speaks_for else ""
    against = f"; against it: {and_words(cause.speaks_against)}" if cause.speaks_against else ""
    words = f"{upper(cause.word)}: {cause.cause.say}{because}{against}."
    return words + if_so(consultation, cause)


def left_out_line(consultation: Consultation, count: int) -> Line:
    """What the standing dangers forbid, in one line, with the reason and what ends it."""
    says = dict.fromkeys(one.hazard.say for one in consultation.hazards.standing)
    reason = and_words(list(says))
    return Line("aside", f"{plural(count, 'check')} left out, because of: {reason}.")


def if_so(consultation: Consultation, cause: CauseFound) -> str:
    """What to do if it is this cause, where it is not ruled out and the car must not be driven.

    Nothing where the car must not be driven as it is, for as grave a reason or a graver one.
    """
    urgency = cause.cause.urgency
    if urgency is None or not is_grave(cause):
        return ""
    if urgency.rank >= consultation.headline.urgency.rank:
        return ""
    return f" If it is this: {URGENCY_WORDS[urgency].lower()}."


def is_grave(cause: CauseFound) -> bool:
    """Whether the car must not be driven if it is this, and it may well be."""
    urgency = cause.cause.urgency
    grave = urgency is not None and urgency.is_danger
    return grave and cause.share >= LEAST_SHARE


def worry_lines(consultation: Consultation) -> list[Line]:
    """What the person said that is none of the symptoms known here."""
    state = consultation.state
    left = [w for w in state.worries if w.turn in state.picked and not state.picked[w.turn].symptom]
    return titled("In your own words, for the garage", [f"'{worry.words}'." for worry in left])


def contradicted_lines(consultation: Consultation) -> list[Line]:
    """What was told, and what an answer says otherwise. Both stand."""
    lines = [answers_line(consultation, one, 2) for one in contradicted(consultation)]
    return [Line("title", "Told, and answered otherwise: both stand"), *lines] if lines else []


def advice_lines(consultation: Consultation) -> list[Line]:
    """Whether the car may be driven: always the first thing said."""
    drive = drive_of(consultation)
    if consultation.headline.kind == "danger":
        lines = [box(drive.words), *texts(drive.because, 2)]
        lines += texts([f"What to do: {text}" for text in _what_to_do(consultation)], 4)
    else:
        parts = [drive.words]
        if drive.look:
            parts.append(f"Look yourself: {'; '.join(drive.look)}.")
        if drive.have_looked:
            parts.append(f"Have looked at: {'; '.join(drive.have_looked)}.")
        if drive.more:
            parts.append(f"{upper(more_words(drive.more))}.")
        lines = [Line("text", " ".join(parts))]
        lines += texts([f"You said {words}. {IF_IT_CHANGES}" for words in drive.worries], 2)
    lines += map(withdrawn_line, consultation.withdrawn)
    for rule, _ in consultation.faults:
        fault = f"A fault of this program: {rule or 'the rules'} could not be worked out."
        lines.append(Line("danger", f" {fault} Have this looked at. "))
    return [*lines, Line("aside", LIMITS)]


def _what_to_do(consultation: Consultation) -> list[str]:
    """What to do about the gravest of what was told or seen, each once."""
    urgency = consultation.headline.urgency
    told = [t.do for t in consultation.told_alone if t.urgency is urgency]
    seen = [f.rule.do for f in consultation.findings if f.urgency is urgency and f.rule.do]
    return list(dict.fromkeys([*told, *seen]))


def summary_lines(consultation: Consultation, complete: bool, pictured: bool = False) -> list[Line]:
    """What has been found so far, the drive advice first.

    pictured: with the car from above, where its places are known, and the findings numbered.
    """
    lines = [Line("title", "What we have found" if complete else "What we have found so far")]
    lines += [*advice_lines(consultation), Line("blank"), *_found(consultation, pictured)]
    if not consultation.findings and not consultation.told:
        lines.append(Line("text", "No defect in what you have looked at so far."))
    for found in consultation.symptoms:
        lines += symptom_lines(consultation, found)
    lines += worry_lines(consultation)
    lines += contradicted_lines(consultation)
    lines += map(stood_down_line, consultation.stood_down)
    lines += map(lifted_line, consultation.lifted)
    lines += tonight_lines(consultation) if complete else []
    return lines + _left_open(consultation, complete)


def gravest_first(consultation: Consultation) -> list[Finding]:
    """The findings by how soon they want doing, those that would fail first among equals."""
    failing = consultation.would_fail()
    return sorted(consultation.findings, key=lambda f: (f.urgency.rank, f not in failing))


def found_so_far(consultation: Consultation) -> list[Line]:
    """The advice for the car, and counts of what is open: above a short list of what was found."""
    known, asked = len(consultation.not_known), len(consultation.not_asked)
    rest = f"Not known: {known}. Not looked at yet: {asked}. The sheet lists them."
    any_ = consultation.findings or consultation.told
    none = [] if any_ else [Line("text", "Nothing found so far.")]
    likely = [
        f"{upper(found.symptom.say)}. {cause_words(consultation, found.causes[0])}"
        for found in consultation.symptoms
        if found.causes
    ]
    worries = [*worry_lines(consultation), *contradicted_lines(consultation)]
    return [
        *advice_lines(consultation), *none, *texts(likely), *worries, Line("aside", rest)
    ]  # fmt: skip


def tonight_lines(consultation: Consultation) -> list[Line]:
    """Up to three things that the owner can put right: what, what with, and care."""
    own = (Who.OWNER, Who.OWNER_TOOLS)
    able = [f for f, _ in together(gravest_first(consultation)) if f.rule.who in own and f.rule.do]
    if consultation.headline.kind == "danger" or not able:
        return []
    lines = []
    for finding in able[:_TONIGHT]:
        lines.append(Line("found", placed(finding.at_words, finding.rule.say), 2))
        who = WHO_WORDS[finding.rule.who] if finding.rule.who else ""
        lines += texts([f"{finding.rule.do} {who}".strip()], 4)
        lines += caution_lines(consultation.ruleset, finding.rule.cautions, 4)
    hint = Line("aside", "When it is done, type mended: I ask you to look again.")
    return [Line("title", "You could put right yourself"), *lines, hint]


def _found(consultation: Consultation, pictured: bool) -> list[Line]:
    """The findings: first what would fail, then the others."""
    failing = together(consultation.would_fail())
    would = consultation.would_fail()
    others = together(f for f in consultation.findings if f not in would)
    car: list[Line] = []
    if pictured:
        alike = [
            [f for f in consultation.findings if f.rule is one.rule]
            for one, _ in (*failing, *others)
        ]
        car = car_lines(consultation, alike)
    lines, number = [*car], 0
    inspection = consultation.ruleset.about.inspection
    for title, some in ((f"Would fail {inspection}", failing), ("Other things to know", others)):
        lines += [Line("title", title)] if some else []
        for finding, parts in some:
            number += 1
            lines += finding_lines(consultation, finding, parts, 2, number if car else 0)
    return lines


def _left_open(consultation: Consultation, complete: bool) -> list[Line]:
    """What cannot be told, is not known, was not looked at, or is for the station."""
    rs = consultation.ruleset
    close = [f"- {one.text}" for one in consultation.too_close]
    known = [s for s in consultation.not_known if s.question in rs.questions]
    labels = dict.fromkeys(rs.questions[q].label for q, _ in consultation.not_asked)
    left = "; ".join(labels)
    if len(labels) > _MOST_LISTED and not complete:
        places = dict.fromkeys(rs.places[rs.place_of(*k)].say for k in consultation.not_asked)
        left = f"{plural(len(consultation.not_asked), 'check')}, at: {'; '.join(places)}"
    station = len(consultation.tester_only) if complete else 0
    things = f"{plural(station, 'thing')}, among others. The full sheet lists them."
    return [
        *titled("Too close to tell - have these looked at", close),
        *titled(
            "Not known - ask for a look at these",
            [f"- {rs.item_label(s.question, s.at)}" for s in known],
        ),
        *titled("Not looked at yet", [f"{left}."] if left else []),
        *titled(f"Only {rs.about.station} can measure", [things] if station else []),
    ]


DUE = ("due", "earliest", "overdue", "expired")


def due_lines(consultation: Consultation) -> list[Line]:
    """How long the certificate holds, and what follows from it, which is said at once."""
    return texts(d.text for d in deadlines_of(consultation) if d.kind in DUE)


def deadline_lines(consultation: Consultation) -> list[Line]:
    """When the inspection is due and what a result means, as far as it is told in the talk."""
    told = [d.text for d in deadlines_of(consultation) if d.told == "talk"]
    lines = titled("Dates, and what a result means", told)
    more = Line("aside", "sidelight sheet --full says where each of these comes from.", 2)
    return [*lines, more] if lines else []
