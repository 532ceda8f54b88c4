"""The pages: one a submission, to hand out, and one of the class, for the trainer."""

import re
from collections.abc import Mapping, Sequence
from functools import cache
from hashlib import sha256
from typing import Any
from unicodedata import normalize

from jinja2 import Environment
from markupsafe import Markup
from msgspec import Struct

from underfoot.checking.caution import CAUTION
from underfoot.checking.page import PageError, page_of
from underfoot.checking.report import ReportedFinding
from underfoot.checking.rule import AnyRule
from underfoot.drawing.finding_signs import HALF, draw_balloon_sign
from underfoot.drawing.lettering import FAMILY
from underfoot.drawing.svg import number, tag
from underfoot.marking.awarding import Row, sum_by_topic
from underfoot.marking.copies import Likeness
from underfoot.marking.figures import measure_rows, measure_spread, say_spread
from underfoot.marking.judging import Attempt
from underfoot.marking.marks import written_marks
from underfoot.marking.marks_json import Moved
from underfoot.marking.moderation import TO_AGREE, find_overruled, say_changes
from underfoot.marking.results import (
    ABSENT,
    FAILED,
    NOT_PASSED,
    PASSED,
    UNREAD,
    ApprenticeMarks,
    ClassMarks,
    by_name,
    list_broken,
    list_lost,
    list_pairs,
    spread,
)
from underfoot.page.markdown import render_line, render_markdown
from underfoot.reporting.layout import count_of
from underfoot.reporting.templates import read_part, set_up_templates

_SAFE_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,80}")
_DRAWING_ID = re.compile(r'( id="|url\(#)r([0-9]+)-')
_MOST_TAUGHT = 3
# A hundred copies of one file are thousands of pairs: so many are drawn, the others named.
MOST_DRAWN = 24


@cache
def set_up_sheets() -> Environment:
    """Set up the templates of what is handed out and of the class's page."""
    return set_up_templates(
        __package__,
        "templates",
        caution=CAUTION,
        coded=render_line,
        find_overruled=find_overruled,
        say_changes=say_changes,
        marks_of=written_marks,
        number_of=lambda value: f"{value:g}",
        sign=_sign,
        spoken=_spoken,
        style=Markup(read_part(__package__, "styles", "sheet.css")),
    )


def fill_page(template: str, **values: Any) -> str:
    """Write a page of what is handed out, or the class's, by its template."""
    return set_up_sheets().get_template(template).render(**values)


def _spoken(name: str) -> str:
    """Say a rule's name as people do: ``wall clearance``, ``RCD``; what is `code` stays."""
    parts = name.split("`")
    parts[::2] = [
        re.sub(r"\brcd\b", "RCD", part.replace("-", " ").replace("_", " ")) for part in parts[::2]
    ]
    return "`".join(parts)


@cache
def _sign(severity: str, text: str) -> Markup:
    half = max(HALF.values()) + 0.3
    drawn = draw_balloon_sign(severity, text, (half, half), waived=False)
    view = f"0 0 {number(2 * half)} {number(2 * half)}"
    return Markup(
        tag("svg", drawn, viewBox=view, font_family=FAMILY, class_="sign", aria_hidden="true")
    )


def page_names(marks: ClassMarks) -> dict[str, str]:
    """Give each apprentice's page a file name that every system can hold."""
    return name_pages([sheet.name for sheet in marks.sheets])


def name_pages(names: Sequence[str]) -> dict[str, str]:
    """Give the page of each name a file name of its own that every system can hold.

    It follows from the name alone, so that it stays whoever else hands in, unless two would be one.
    """
    pages: dict[str, str] = {}
    taken: set[str] = {"class.html"}
    for name in names:
        stem = _stem_of(name)
        page, number = f"{stem}.html", 1
        while page.lower() in taken:
            number += 1
            page = f"{stem}-{number}.html"
        taken.add(page.lower())
        pages[name] = page
    return pages


def _stem_of(name: str) -> str:
    if _SAFE_NAME.fullmatch(name):
        return name
    plain = normalize("NFKD", name).encode("ascii", "ignore").decode()
    kept = re.sub(r"[^A-Za-z0-9]+", "-", plain).strip("-")[:60]
    # What is lost of a name is told by its fingerprint.
    is_whole = sum(mark.isalnum() for mark in name) == sum(mark.isalnum() for mark in kept)
    if kept and is_whole and len(name) <= 60:
        return kept
    return f"{kept or 'submission'}-{sha256(name.encode('utf-8', 'replace')).hexdigest()[:8]}"


class Fault(Struct, frozen=True, kw_only=True):
    """One rule that was broken: why it matters, how to put it right, and every finding."""

    rule: str
    why: Markup
    remedy: Markup
    findings: tuple[ReportedFinding, ...]
    lost: str | None


class TopicMarks(Struct, frozen=True, kw_only=True):
    """A topic of a sheet: what was earned of what, and its rows."""

    name: str
    earned: str
    marks: str
    percent: int
    rows: tuple[Row, ...]


def write_sheet(marks: ClassMarks, sheet: ApprenticeMarks, rules: Mapping[str, AnyRule]) -> str:
    """Write the page of one submission: nothing of any other's stands in it."""
    counted = sheet.counted
    counting = [one for one in counted.report.findings if one.severity in marks.scheme.counts]
    return fill_page(
        "sheet.html",
        scheme=marks.scheme,
        sheet=sheet,
        counted=counted,
        total=marks.scheme.marks,
        percent=_percent(sheet.final, marks.scheme.marks),
        topics=_topics(counted),
        faults=_faults(counted, counting, rules),
        notes=[one for one in counted.report.findings if one.severity not in marks.scheme.counts],
        right=[row for row in counted.rows if row.is_full],
        drawings=[(room, Markup(svg)) for room, svg in counted.drawings],
    )


def _percent(part: Any, whole: Any) -> int:
    return round(float(100 * part / whole)) if whole else 0


def _topics(attempt: Attempt) -> list[TopicMarks]:
    return [
        TopicMarks(
            name=name,
            earned=written_marks(earned),
            marks=written_marks(marks),
            percent=_percent(earned, marks),
            rows=tuple(row for row in attempt.rows if row.topic == name),
        )
        for name, (earned, marks) in sum_by_topic(attempt.rows).items()
    ]


def _faults(
    attempt: Attempt, findings: Sequence[ReportedFinding], rules: Mapping[str, AnyRule]
) -> list[Fault]:
    by_rule: dict[str, list[ReportedFinding]] = {}
    for finding in findings:
        by_rule.setdefault(finding.rule, []).append(finding)
    lost = {
        row.rule: written_marks(row.marks - row.earned)
        for row in attempt.rows
        if row.rule is not None and not row.is_full
    }
    return [
        Fault(rule=rule, why=why, remedy=remedy, findings=tuple(found), lost=lost.get(rule))
        for rule, found in by_rule.items()
        for why, remedy in (explain_rule(rules.get(rule), found[0].why),)
    ]


def explain_rule(rule: AnyRule | None, otherwise: str) -> tuple[Markup, Markup]:
    """Return why a rule matters and how to put it right, from its page."""
    if rule is not None:
        try:
            page = page_of(rule)
        except PageError:
            pass
        else:
            return render_markdown(page.why), render_markdown(page.remedy)
    return Markup("<p>{}</p>").format(otherwise), Markup()


class Lesson(Struct, frozen=True, kw_only=True):
    """What to teach next: a row of the scheme, what it cost the class, and why it matters."""

    topic: str
    what: str
    lost: str
    number: int
    why: Markup


def write_class(
    marks: ClassMarks,
    rules: Mapping[str, AnyRule],
    pages: Mapping[str, str],
    moved: Sequence[Moved] | None = None,
) -> str:
    """Write the class's page."""
    measured = measure_spread(marks)
    bands = spread(marks)
    outcomes = [sheet.final_outcome for sheet in marks.sheets]
    return fill_page(
        "class.html",
        scheme=marks.scheme,
        marks=marks,
        total=marks.scheme.marks,
        pages=pages,
        bands=bands,
        tallest=max((len(who) for _, _, who in bands), default=1) or 1,
        pass_percent=_percent(marks.scheme.pass_mark, marks.scheme.marks),
        outcomes=[
            (outcome, outcomes.count(outcome))
            for outcome in (PASSED, NOT_PASSED, FAILED, UNREAD, ABSENT, TO_AGREE)
            if outcome in outcomes or outcome not in (ABSENT, TO_AGREE)
        ],
        spread_said=None if measured is None else say_spread(measured),
        hardness=sorted(measure_rows(marks), key=lambda one: (one.percent, one.topic)),
        handed_in=_say_handed_in(marks),
        overruled=[
            (sheet, one.marker, said)
            for sheet in marks.sheets
            for one in sheet.markers
            for said in say_changes(one, sheet.counted.rows)
        ],
        talks=[sheet for sheet in marks.sheets if sheet.settled and sheet.settled.talk],
        broken=list_broken(marks),
        pairs=list_pairs(marks)[:8],
        lessons=_lessons(marks, rules),
        copies=[
            (one, *(_drawing_of(marks, name, f"c{place}{side}") for name, side in _sides(one)))
            for place, one in enumerate(marks.copies[:MOST_DRAWN], 1)
        ],
        undrawn=marks.copies[MOST_DRAWN:],
        topics=[(topic.name, written_marks(topic.marks)) for topic in marks.scheme.topics],
        sums={
            sheet.name: [
                (written_marks(earned), _percent(earned, whole))
                for earned, whole in sum_by_topic(sheet.counted.rows).values()
            ]
            for sheet in marks.sheets
        },
        marker_of={
            sheet.name: {one.marker: one for one in sheet.markers} for sheet in marks.sheets
        },
        moved=moved,
    )


def _say_handed_in(marks: ClassMarks) -> str:
    there = sum(not sheet.is_absent for sheet in marks.sheets)
    if there < len(marks.sheets):
        return f"{there} of {len(marks.sheets)} handed in"
    return count_of(there, "submission")


def _sides(likeness: Likeness) -> tuple[tuple[str, str], tuple[str, str]]:
    return (likeness.one, "a"), (likeness.other, "b")


def _drawing_of(marks: ClassMarks, name: str, prefix: str) -> Markup:
    """Return a submission's drawing with ids that no other drawing on the page has."""
    drawn = "".join(svg for _, svg in by_name(marks)[name].counted.drawings)
    return Markup(_DRAWING_ID.sub(rf"\1{prefix}r\2-", drawn))


def _lessons(marks: ClassMarks, rules: Mapping[str, AnyRule]) -> list[Lesson]:
    lessons = []
    for topic, what, lost, count in list_lost(marks)[:_MOST_TAUGHT]:
        rule = rules.get(what)
        why = explain_rule(rule, rule.why)[0] if rule else Markup()
        lessons.append(
            Lesson(topic=topic, what=what, lost=written_marks(lost), number=count, why=why)
        )
    return lessons
