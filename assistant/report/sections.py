"""What the sheet for the garage says: one list of sections, printed as HTML and as Markdown.

Page one stands alone: the car, the headline, every finding in a line, causes, what is not known,
what was mended, what is wanted. Whole sentences come after it; how it all came about only in full.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from assistant.journal.entries import Entry, Mended, Said
from assistant.reasoning.consultation import (
    MOST_LIKELY,
    POSSIBLE,
    CauseFound,
    Consultation,
    SymptomFound,
)
from assistant.reasoning.deadlines import deadlines_of
from assistant.reasoning.routes import contradicted, supports_of
from assistant.reasoning.trail import trail_of
from assistant.reasoning.why_not import nearly_found
from assistant.report.drive import drive_of, more_words
from assistant.report.explaining import garage_lines, nearly_sentence
from assistant.report.findings import answers_line, lifted_line, stood_down_line
from assistant.report.found import UNSEEN, Found, as_it_should_be, cut, not_seen, weight
from assistant.report.lines import Line
from assistant.report.summary import is_grave
from assistant.ruleset.grammar import and_words, placed, plural, upper
from assistant.ruleset.models import Urgency
from assistant.ruleset.ruleset import Key, Ruleset
from assistant.ruleset.words import (
    URGENCY_WORDS,
    answer_words,
    date_words,
    share_words,
)

FIRST, LATER, FULL = 1, 2, 3
MANY, TOO_MANY = 14, 20
"""Over so many rows only three causes stand on page one; over so many none."""
_NAMED, _FEW_ROWS, _FEW_OPEN, _CAUSES, _REASONS, _SAID_MOST = 5, 8, 30, 5, 3, 220
_MOST_LISTED, _VERY_FEW, _LIKELY = 60, 2, 3
_KEYBOARD = re.compile(
    r"\banswer\b|\btype it\b|\b(?:this|the) list\b|\basked (?:on the walk|about here|whether)\b",
    re.I,
)
_SENTENCES = re.compile(r"(?<=[.?]) ")
_WANTED = {"mend": "Please mend it.", "price": "Look, and tell me the price first."}


@dataclass(frozen=True)
class Row:
    """One row. strong: what would fail or must not be driven, by weight and shape. group: the
    heading it begins."""

    cells: tuple[str, ...]
    strong: bool = False
    group: str = ""


@dataclass(frozen=True)
class Section:
    """A part of the sheet. page: FIRST, LATER, or FULL for what only the full sheet has.

    With heads it is a table; rows of two or three cells are a thing and what is said of it; rows
    of one cell are sentences. note: a quiet line under the title.
    """

    page: int
    name: str
    title: str
    rows: tuple[Row, ...]
    heads: tuple[str, ...] = ()
    note: str = ""


def sections(
    consultation: Consultation,
    journal: Sequence[Entry],
    found: Sequence[Found],
    full: bool,
    changes: Sequence[str] = (),
) -> list[Section]:
    """All sections in the order in which they are read; empty ones are left out."""
    made = [
        _facts(consultation),
        _headline(consultation, found),
        _wanted(consultation),
        _words(consultation),
        _found_table(found),
        *_causes(consultation, found),
        *_not_known(consultation, found),
        _mended(consultation, journal),
        _ready(consultation, found),
        _trust_legend(),
        _sentences(found),
        *_more(consultation),
        _answered(consultation, found),
        _station(consultation),
        _dates(consultation),
        *(_in_full(consultation, changes) if full else ()),
        _about(consultation),
    ]
    return sorted((one for one in made if one.rows), key=lambda one: one.page)


def _lines(page: int, name: str, title: str, rows: Iterable[str], note: str = "") -> Section:
    return Section(page, name, title, tuple(Row((row,)) for row in rows), note=note)


# the car, the headline, what is wanted -----------------------------------------------------


def _facts(now: Consultation) -> Section:
    rs, noted = now.ruleset, now.state.noted
    about = {q: s for (q, _), s in now.state.answers.items() if q in rs.of_the_car}
    kit = about.pop(rs.about.kit or "", None)
    known = [
        f"{rs.questions[q].label} {words}" if rs.questions[q].kind == "date" else words
        for q, s in about.items()
        if s.answer.state == "value" and rs.questions[q].kind in ("one_of", "date")
        for words in [answer_words(rs.questions[q], s.answer)]
    ]
    parts = [one for one in rs.about.get_ready if one.size]
    sizes = [(f"{upper(part.say)} size", _value_words(now, str(part.size))) for part in parts]
    begun, today = now.state.begun, now.state.context.today
    days = date_words(today) + (f" (begun on {date_words(begun)})" if begun != today else "")
    tools = f", with {_answer(now, kit)}" if kit and kit.answer.words else ""
    owner = [noted.get("name", "name not given"), noted.get("phone", "telephone not given")]
    date = next((d.text for d in deadlines_of(now) if d.kind in _CERTIFICATE), "")
    pairs = [
        ("Car", "; ".join([noted.get("model", "make not given"), *known])),
        ("Miles", noted.get("miles", "not given")),
        *sizes,
        ("Certificate", _SENTENCES.split(date)[0]),
        ("Looked at", f"{days}, by the owner{tools}"),
        ("Owner", "; ".join(owner)),
    ]
    return Section(FIRST, "facts", "", tuple(Row(pair) for pair in pairs if pair[1]))


_CERTIFICATE = ("overdue", "due", "first", "expired", "unknown")


def _value_words(now: Consultation, question: str) -> str:
    """What was answered, and where; the parts that are alike together."""
    by_words: dict[str, list[str]] = {}
    for (name, at), said in now.state.answers.items():
        if name == question and said.answer.state == "value":
            by_words.setdefault(_answer(now, said), []).append(at)
    rs = now.ruleset
    rows = (f"{words} {_parts(rs, question, ats)}".strip() for words, ats in by_words.items())
    return "; ".join(rows)


def _answer(now: Consultation, said: Said) -> str:
    return answer_words(now.ruleset.questions[said.question], said.answer)


def _parts(ruleset: Ruleset, question: str, ats: Sequence[str]) -> str:
    """The parts in words, in brackets; "all" where it is every one."""
    if not any(ats):
        return ""
    if len(ats) > 1 and len(ats) == len(ruleset.members(ruleset.questions[question].each)):
        return "(all)"
    return f"({', '.join(ruleset.at_words(question, at) for at in ats)})"


def _headline(now: Consultation, found: Sequence[Found]) -> Section:
    drive = drive_of(now)
    unknown = plural(sum(not_seen(now, s) for s in now.state.answers.values()), "check")
    rows_of = {f.findings[0].rule.say: placed(f.place, f.seen) for f in found if f.findings}
    reasons = dict.fromkeys(
        next((row for say, row in rows_of.items() if line.endswith(say)), line)
        for line in drive.because
    )
    more = len(reasons) - _REASONS
    because = " ".join(map(_stop, list(reasons)[:_REASONS]))
    rows = [drive.words, because + (f" And {more} more, below." if more > 0 else "")]
    if now.headline.kind == "cannot_say" and now.headline.urgency is Urgency.HAVE_LOOKED_AT:
        rows.append(_stop(URGENCY_WORDS[Urgency.HAVE_LOOKED_AT]))
    if drive.reasons:
        others = f"; {more_words(drive.more)}" if drive.more else ""
        rows.append(f"Not known: {'; '.join(drive.reasons)}{others}.")
    rows += [f"A fault of the program: {rule} could not be worked out." for rule, _ in now.faults]
    rows += [
        f"{_counted(found)} {unknown} tried and not known, {len(now.not_asked)} not made.",
        "This rests only on what was looked at. It does not say that the car is safe.",
    ]
    return _lines(FIRST, f"say {now.headline.kind}", "", filter(None, rows))


def _counted(found: Sequence[Found]) -> str:
    """How many things were found, and how many of them weigh: "8 found: 3 would fail." """
    seen = [f for f in found if f.trust != UNSEEN]
    if not seen:
        return "Nothing found among what was seen."
    grave, both = sum(f.grave for f in seen), sum(f.grave and f.fails for f in seen)
    more = f", {grave} must not be driven with" if grave else ""
    more += f" ({both} of them both)" if both else ""
    return f"{len(seen)} found: {sum(f.fails for f in seen)} would fail{more}."


def _wanted(now: Consultation) -> Section:
    wanted = now.state.noted.get("wanted", "")
    rows = [_WANTED.get(wanted, wanted) or "Not said. Please ask before you mend."]
    return _lines(FIRST, "wanted", "What the owner wants", rows)


def _words(now: Consultation) -> Section:
    said = dict.fromkeys(f"\u201c{cut(w.words, _SAID_MOST)}\u201d" for w in now.state.worries)
    return _lines(FIRST, "words", "In the owner's words", said or ["Nothing was told."])


# what was found, and its causes ------------------------------------------------------------


def _found_table(found: Sequence[Found]) -> Section:
    rows, group = [], ""
    for one in found:
        cells = (str(one.number), one.place, one.seen, one.reading, one.item, one.trust)
        strong = one.fails or one.grave
        rows.append(Row(cells, strong, one.group if one.group != group else ""))
        group = one.group
    note = "Square and bold: would fail, or must not be driven with."
    title = "Found, the gravest first"
    if not rows:
        return _lines(FIRST, "found", title, ["Nothing among what was looked at."])
    heads = ("No.", "Where", "What was seen", "Reading", "Item, category", "How known")
    return Section(FIRST, "found", title, tuple(rows), heads, note)


def _sentences(found: Sequence[Found]) -> Section:
    few = len(found) <= MANY
    rows = [
        Row(
            (
                str(f.number),
                _stop(placed(f.place, f.says)),
                _for_garage(f.why if few or f.fails or f.grave else "", f.do, few),
            ),
            f.fails or f.grave,
        )
        for f in found
    ]
    note = "These sentences were said to the owner."
    return Section(LATER, "sentences", "What was found, in whole", tuple(rows), note=note)


def _for_garage(why: str, do: str, whole: bool) -> str:
    """The reason and what is to be done, without what is said to whoever sits at the keyboard."""
    parts = [_SENTENCES.split(text) for text in (why, do) if text]
    kept = [[p for p in part if not _KEYBOARD.search(p)][: None if whole else 1] for part in parts]
    return " ".join(p for part in kept for p in part)


def _stop(words: str) -> str:
    return words if words.endswith((".", "?")) else f"{words}."


# causes ------------------------------------------------------------------------------------


def _causes(now: Consultation, found: Sequence[Found]) -> list[Section]:
    """The causes for page one, and the likelier of those that have no room there.

    The first of each symptom has room before the second of any, and a grave one before all.
    """
    if not now.symptoms:
        return [_lines(FIRST, "causes none", "Likely causes", [_no_causes(now)])]
    rows = [
        (symptom, index, cause)
        for symptom in sorted(now.symptoms, key=lambda s: _numbers_of(now, s, found)[:1] or [99])
        for index, cause in enumerate(symptom.causes)
    ]
    most = _CAUSES if len(found) <= MANY else 3 if len(found) <= TOO_MANY else 0
    wanted = sorted(rows, key=lambda row: (not is_grave(row[2]), row[1] > 0, -row[2].share))
    least = POSSIBLE if len(found) <= MANY else MOST_LIKELY
    more = [
        row
        for row in wanted[most:]
        if row[2].share >= least and (row[2].speaks_for or len(found) <= MANY)
    ]

    def table(page: int, name: str, title: str, some: list[_CauseRow], note: str) -> Section:
        made, last = [], None
        for symptom, _, cause in (row for row in rows if row in some):
            numbers = _numbers_words(_numbers_of(now, symptom, found))
            if len(found) > MANY:
                rest = f" (of {len(symptom.causes)} weighed)"
                made.append(_cause_row(cause, f"{numbers}: ", rest))
                continue
            shown = sum(row[0] is symptom for row in some)
            words = upper(placed(symptom.at_words, symptom.symptom.say))
            head = f"{words} ({numbers}; {shown} of {len(symptom.causes)} causes)"
            made.append(_cause_row(cause, group="" if symptom is last else head))
            last = symptom
        heads = ("Cause", "Share", "For it", "Against it")
        return Section(page, name, title, tuple(made), heads, note)

    note = "Shares by the rules from the answers, not measured: 100% for each thing noticed."
    sections = [
        table(FIRST, "causes", "Likely causes", wanted[:most], note),
        table(LATER, "causes more", "More causes", more[:_CAUSES], ""),
    ]
    if not most:
        elsewhere = f"More than {TOO_MANY} things were found, so the causes stand further on."
        sections.append(_lines(FIRST, "causes none", "Likely causes", [elsewhere]))
    return sections


_CauseRow = tuple[SymptomFound, int, CauseFound]


def _no_causes(now: Consultation) -> str:
    """Why no cause was weighed."""
    if now.state.worries:
        return "What was told fits no symptom that these rules know, so no cause was weighed."
    if now.findings:
        return "Nothing was told as noticed in driving, and what was seen says what it is."
    return "Nothing was told as noticed in driving, and nothing was found."


def _cause_row(cause: CauseFound, lead: str = "", rest: str = "", group: str = "") -> Row:
    """A cause, its share, and what speaks for it and against it, or what the share rests on."""
    none = "nothing" if cause.speaks_against else "how common it is; no answer bears on it yet"
    cells = (
        f"{upper(lead)}{cause.cause.say if lead else upper(cause.cause.say)}{rest}",
        share_words(cause.share),
        "; ".join(cause.speaks_for) or none,
        "; ".join(cause.speaks_against) or "nothing",
    )
    return Row(cells, group=group)


def _numbers_words(numbers: Sequence[int]) -> str:
    """ "no. 2, 3 and 7"; "told" where it belongs to nothing that was found."""
    return f"no. {and_words(list(map(str, numbers)))}" if numbers else "told"


def _numbers_of(now: Consultation, symptom: SymptomFound, found: Sequence[Found]) -> list[int]:
    """The findings that rest on what tells of a symptom, or that one of its causes is behind."""
    behind = set(
        now.ruleset.graph.items_behind(Key("symptom", symptom.symptom.symptom).text, symptom.at)
    )
    items = {item for cause in symptom.causes for item in cause.cause.items}
    return [
        one.number
        for one in found
        if any(
            behind & {(s.question, s.at) for s in supports_of(now, f)}
            or any(str(f.item or "").startswith(item) for item in items)
            for f in one.findings
        )
    ]


# what is not known, what was mended, what to get ready -----------------------------------------


def _not_known(now: Consultation, found: Sequence[Found]) -> list[Section]:
    """What matters most by name on page one, all of it further on."""
    rs = now.ruleset
    unknown = [(s.question, s.at) for s in now.state.answers.values() if not_seen(now, s)]
    left = sorted([*unknown, *now.not_asked], key=weight(now))
    every = by_label(rs, left)
    few = len(found) < _FEW_ROWS and len(every) <= _FEW_OPEN
    named = every if few else every[:_NAMED]
    total = len(now.state.answers) + len(now.not_asked)
    count = f"Of {total} checks {len(unknown)} were not known, {len(now.not_asked)} not made."
    wide = " wide" if len(named) > _NAMED else ""
    whole = [("Not known", _listed(rs, unknown)), ("Not looked at", _listed(rs, now.not_asked))]
    head = "All of it: " if few else "Matter most: "
    rows = [count, f"{head}{'; '.join(named)}."] if left else ["Everything asked was answered."]
    return [
        _lines(FIRST, f"unknown{wide}", "Not known", rows),
        Section(
            LATER,
            "open",
            "Not known, and not looked at",
            tuple(Row(w) for w in whole if w[1] and not few),
        ),
    ]


def _listed(ruleset: Ruleset, keys: Sequence[tuple[str, str]]) -> str:
    """Questions by their labels; where they are very many, how many there are at each place."""
    labels = by_label(ruleset, keys)
    if len(labels) <= _MOST_LISTED:
        return "; ".join(labels)
    places = Counter(ruleset.place_words(ruleset.place_of(*key)) for key in keys)
    return "; ".join(f"{place} ({count})" for place, count in places.items())


def by_label(ruleset: Ruleset, keys: Iterable[tuple[str, str]]) -> list[str]:
    """Questions by their labels, each once with all its parts."""
    parts: dict[str, list[str]] = {}
    for question, at in keys:
        parts.setdefault(question, []).append(at)
    labelled = [(ruleset.questions[q].label, _parts(ruleset, q, ats)) for q, ats in parts.items()]
    return [f"{label} {where}".strip() for label, where in labelled]


def _mended(now: Consultation, journal: Sequence[Entry]) -> Section:
    """What was said to be mended, with both readings, and what else is to be confirmed."""
    rs, rows = now.ruleset, []
    for (question, at), mended in now.state.mended.items():
        if question in rs.questions:
            after = now.state.answers.get((question, at))
            words = _answer(now, after) if after else "not looked at again"
            was = _before(now, journal, mended)
            rows.append(f"{upper(rs.item_label(question, at))}: first {was}, now {words}.")
    for gone in now.withdrawn:
        words = ", then ".join(f"'{w}'" for w in (gone.words_before, gone.words_now) if w)
        says = placed(upper(gone.at_words), gone.rule.say)
        rows.append(f"Have it confirmed: {says} {upper(gone.how)}: {words}.")
    rows += [f"{rule.say} Mended by a garage, the owner says." for rule in now.hazards.ended]
    return _lines(FIRST, "mended", "Mended since, please confirm", rows or ["Nothing was mended."])


def _before(now: Consultation, journal: Sequence[Entry], mended: Mended) -> str:
    """What was answered last before something was said to be mended."""
    key = (mended.question, mended.at)
    earlier = [e for e in journal if isinstance(e, Said) and e.turn <= mended.turn]
    said = [e for e in earlier if (e.question, e.at) == key]
    return _answer(now, said[-1]) if said else "not told"


def _ready(now: Consultation, found: Sequence[Found]) -> Section:
    """The parts that what was found asks for, and those for the likeliest cause of each thing."""
    wear = Urgency.KEEP_AN_EYE.rank
    due = (f for one in found for f in one.findings if f.urgency.rank < wear)
    rows = _parts_for(now, [f.item or "" for f in due])
    likely: dict[str, str] = {}
    for symptom in sorted(now.symptoms, key=lambda one: -one.causes[0].share):
        first = symptom.causes[0]
        parts = _parts_for(now, first.cause.items)
        if first.share >= POSSIBLE and not set(parts) & set(rows):
            word = "Likely" if symptom.likely else "Perhaps"
            lead = f"{word} ({share_words(first.share)})"
            likely |= {part: f"{lead}: {part}" for part in parts if part not in likely}
    words = [_stop(upper(row)) for row in [*rows, *list(likely.values())[:_LIKELY]]]
    return _lines(FIRST, "ready", "Get ready", words or ["No part is known to be needed."])


def _parts_for(now: Consultation, items: Sequence[str]) -> list[str]:
    """The parts for these items of the standard, each with its size where one is asked."""
    rows = []
    for part in now.ruleset.about.get_ready:
        if any(item.startswith(start) for item in items for start in part.items):
            size = _value_words(now, part.size) if part.size else ""
            rows.append(f"{part.say} {size or 'of a size not known' if part.size else ''}".strip())
    return rows


def _trust_legend() -> Section:
    text = (
        "Measured with a tool, judged by eye, seen, remembered, told: by the owner. No figure: "
        "none is wanted. No item: not in the test."
    )
    return _lines(FIRST, "trust", "", [text])


# further on ----------------------------------------------------------------------------------


def _more(now: Consultation) -> list[Section]:
    """What was measured, what was told and answered otherwise, and what was ruled out."""
    rs = now.ruleset
    figures = [q for q, one in rs.questions.items() if one.kind in ("quantity", "count")]
    readings = [(upper(rs.questions[q].label), _value_words(now, q)) for q in figures]
    whole = [f"\u201c{w.words}\u201d" for w in now.state.worries if len(w.words) > _SAID_MOST]
    return [
        _lines(LATER, "whole", "In the owner's words, in whole", whole),
        Section(LATER, "readings", "Readings", tuple(Row(r) for r in readings if r[1])),
        _lines(
            LATER, "otherwise", "Told, and answered otherwise: both stand",
            _plain(answers_line(now, one) for one in contradicted(now)),
        ),
        _lines(
            LATER, "out", "Ruled out by the owner's answers",
            _plain([*map(stood_down_line, now.stood_down), *map(lifted_line, now.lifted)]),
        ),
    ]  # fmt: skip


def _answered(now: Consultation, found: Sequence[Found]) -> Section:
    """What was seen place by place, where little was found and there is room for it."""
    rs = now.ruleset
    picked = {
        q
        for (q, _), s in now.state.answers.items()
        if q in rs.questions and not as_it_should_be(rs, s)
    }
    by_place: dict[str, list[str]] = {}
    for name in dict.fromkeys(name for name, _ in now.state.answers if len(found) <= _VERY_FEW):
        question = rs.questions.get(name)
        words = _value_words(now, name)
        if question and words and question.kind not in _NOT_LISTED:
            place = rs.places[question.place]
            words = f"{question.label}: {words}" if name in picked else question.label
            by_place.setdefault(place.say if place.stage == "walk" else "", []).append(words)
    rows = [Row((upper(place), f"{'; '.join(w)}.")) for place, w in by_place.items() if place]
    note = "A name alone: as it should be, or none of the signs asked about was seen."
    return Section(LATER, "answered", "What the owner looked at", tuple(rows), note=note)


_NOT_LISTED = ("quantity", "count", "note", "date")


def _plain(lines: Iterable[Line]) -> list[str]:
    return [line.text for line in lines]


def _station(now: Consultation) -> Section:
    """What only the station can measure: three lines, the systems with most of it first."""
    rs, by_system = now.ruleset, {}
    for file in rs.systems.values():
        some = [t for t in now.tester_only if t in file.tester_only]
        if some:
            by_system[file.title] = some
    order = sorted(by_system, key=lambda title: -len(by_system[title]))
    rows = [f"{t} ({len(by_system[t])}): {by_system[t][0].what}" for t in order[:2]]
    rest = [f"{title} ({len(by_system[title])})" for title in order[2:]]
    rows += [f"Also: {'; '.join(rest)}."] if rest else []
    return _lines(LATER, "station", f"Only {rs.about.station} can measure, among others", rows)


def _dates(now: Consultation) -> Section:
    told = [d.text for d in deadlines_of(now) if d.told == "talk"]
    return _lines(LATER, "dates", "Dates, and what a result means", told)


def _about(now: Consultation) -> Section:
    rs = now.ruleset
    used = dict.fromkeys(f.rule.source for f in now.findings)
    sources = "; ".join(f"{rs.sources[s].title}, {rs.sources[s].edition}" for s in used)
    rows = [
        " ".join(rs.about.notices),
        " ".join(rs.about.attributions),
        f"Rules: {rs.about.title} ({rs.about.name}, version {rs.digest[:12]})."
        + (f" From: {sources}." if sources else "")
        + " This sheet shows that the conclusions follow from the answers, not that the answers "
        "are true.",
    ]
    return _lines(LATER, "about", "About this sheet", filter(None, rows))


# in full -------------------------------------------------------------------------------------


def _in_full(now: Consultation, changes: Sequence[str]) -> list[Section]:
    """How each thing came about, all answers, what only the station can measure, and the dates."""
    rs = now.ruleset
    trail = [
        Row((upper(first.text), " ".join(_plain(rest))))
        for f in now.findings
        for first, *rest in [garage_lines(now, trail_of(now, f.rule.rule, f.at))]
    ]
    answers = [
        Row((upper(rs.item_label(q, at)), _answer(now, s), s.words, s.when or ""))
        for (q, at), s in now.state.answers.items()
        if q in rs.questions
    ]
    station = [Row((t.item, t.what, t.tester, t.early_sign or "")) for t in now.tester_only]
    dates = [
        f"{d.text} {rs.sources[d.source].title}, {rs.sources[d.source].edition}"
        f"{f', {d.clause}' if d.clause else ''}. Basis: {d.basis.value}. {d.note or ''}".strip()
        for d in deadlines_of(now)
    ]
    heads = ("What", "Understood as", "In the owner's words", "When")
    tester = ("Item", "What", "What the tester does", "An early sign")
    tell = [
        f"{upper(one.symptom.say)}: {words}"
        for one in now.symptoms
        for words in (one.symptom.tell_garage, one.symptom.not_sold)
        if words
    ]
    nearly = [nearly_sentence(now, nodes) for nodes in nearly_found(now)]
    return [
        Section(FULL, "trail", "How each conclusion came about", tuple(trail)),
        _lines(FULL, "tell", "What the owner was told to say, and before paying", tell),
        _lines(FULL, "change", "What would change it", changes),
        _lines(FULL, "nearly", "Nearly found, one thing not known", nearly),
        Section(FULL, "answers", "Everything that was answered", tuple(answers), heads),
        Section(FULL, "tester", f"All only for {rs.about.station}", tuple(station), tester),
        _lines(FULL, "sources", "Dates, with where they stand", dates),
    ]  # fmt: skip
