"""The page itself: head, register, plans in order, rules, foot; the same bytes every time."""

from __future__ import annotations

import re
from base64 import b64encode
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from hashlib import sha256
from typing import Any, NamedTuple

from jinja2 import Environment
from markupsafe import Markup

from underfoot.checking.numbers import written
from underfoot.checking.report import CAUTION, Report, ReportedFinding
from underfoot.checking.rule import Rule
from underfoot.checking.settings import Settings
from underfoot.reporting import phrases
from underfoot.reporting.drawing import LAYERS, USUAL_LAYERS
from underfoot.reporting.drawing.finding_signs import HALF, draw_balloon_sign
from underfoot.reporting.drawing.lettering import FAMILY
from underfoot.reporting.drawing.marks import number, tag
from underfoot.reporting.html.drawn_plan import DrawnPlan
from underfoot.reporting.html.drawn_room import PREFIX, DrawnRoom
from underfoot.reporting.html.markdown import render_line
from underfoot.reporting.html.rules_explained import (
    SettingsInForce,
    explain_rules,
    list_in_force,
)
from underfoot.reporting.layout import count_of
from underfoot.reporting.templates import read_part, set_up_templates

_SCRIPTS = ("start.js", "drawing.js", "findings.js", "sifting.js", "register.js", "printing.js")
_STYLES = ("colours.css", "page.css", "plan.css", "drawing.css", "narrow.css", "print.css")
# Only where an id is defined or pointed at: lettering may say what it likes.
_PLACEHOLDER = re.compile(rf'( id="|"url\(#){re.escape(PREFIX)}')


@cache
def _environment() -> Environment:
    return set_up_templates(
        __package__,
        "templates",
        say_basis=phrases.say_basis,
        say_change=phrases.say_change,
        say_checked=phrases.say_checked,
        say_counts=phrases.say_counts,
        say_earlier=phrases.say_earlier,
        say_held=phrases.say_held,
        say_path=phrases.say_path,
        say_review=phrases.say_review,
        say_verdict=phrases.say_verdict,
        points_not_judged=phrases.points_not_judged,
        crashed=phrases.CRASHED,
        coded=render_line,
        measure=_measure,
        sign=_sign,
    )


def write_html(report: Report, drawn: Sequence[DrawnPlan], rules: Sequence[Rule]) -> Iterator[str]:
    """Write the page piece by piece.

    `drawn` are the plans of the report, in its order; `rules` those installed.
    """
    environment = _environment()
    style, script = _style(), _script()
    in_force = _in_force(drawn)
    numbers = {path: listed.number for listed in in_force for path in listed.plans}
    page = {
        "report": report,
        "plans": drawn,
        "title": _title(drawn),
        "caution": _caution(report.caution),
        "is_single": len(drawn) == 1,
        "in_force": in_force,
    }
    found = Counter(finding.rule for each in drawn for finding in each.report.findings)
    yield environment.get_template("head.html").render(
        page,
        style=Markup(style),
        policy=_policy(style, script),
        verdicts=[
            (verdict, sum(each.report.verdict == verdict for each in drawn))
            for verdict in phrases.VERDICTS
        ],
        severities=_severity_counts(drawn),
        found_rules=sorted(found.items()),
        layers=_layers(drawn),
        layers_off=[layer for layer in LAYERS if layer not in USUAL_LAYERS],
    )
    template = environment.get_template("plan.html")
    for place, each in enumerate(drawn, 1):
        yield template.render(page, **_plan_parts(place, each, numbers))
    active = {row.rule for each in drawn for row in each.report.checks} | set(found)
    yield environment.get_template("foot.html").render(
        page,
        rules=explain_rules(
            (rule for rule in rules if rule.id in active), [row.settings for row in _groups(drawn)]
        ),
        script=Markup(script),
    )


def _title(drawn: Sequence[DrawnPlan]) -> str:
    if len(drawn) != 1:
        return f"Review of {count_of(len(drawn), 'plan')}"
    report = drawn[0].report
    return f"Review of {report.title or phrases.say_path(report.path)}"


def _caution(text: str) -> tuple[str, str, str]:
    """Take the caution apart: its first sentence, the middle, the last.

    Where a page is narrow the first and the last stand at its foot, and the whole at its head.
    """
    sentences = re.findall(r"[^.]+\.\s*", text)
    return sentences[0].strip(), "".join(sentences[1:-1]).strip(), sentences[-1].strip()


class _Group(NamedTuple):
    settings: Settings
    plans: tuple[DrawnPlan, ...]


def _groups(drawn: Sequence[DrawnPlan]) -> list[_Group]:
    """Gather plans that the same settings are in force for."""
    groups: list[tuple[Settings, list[DrawnPlan]]] = []
    for each in drawn:
        if each.settings is None:
            continue
        for settings, members in groups:
            if settings is each.settings or settings == each.settings:
                members.append(each)
                break
        else:
            groups.append((each.settings, [each]))
    return [_Group(settings, tuple(members)) for settings, members in groups]


def _in_force(drawn: Sequence[DrawnPlan]) -> list[SettingsInForce]:
    return [
        list_in_force(
            place,
            group.settings,
            [each.report.path for each in group.plans],
            next((each.report.changed for each in group.plans if each.report.changed), ()),
        )
        for place, group in enumerate(_groups(drawn), 1)
    ]


def _severity_counts(drawn: Sequence[DrawnPlan]) -> list[tuple[str, int]]:
    counts = [each.report.counts for each in drawn]
    return [
        ("error", sum(one.error for one in counts)),
        ("warning", sum(one.warning for one in counts)),
        ("note", sum(one.note for one in counts)),
        ("waived", sum(one.waived for one in counts)),
    ]


def _layers(drawn: Sequence[DrawnPlan]) -> list[str]:
    used = {layer for each in drawn for room in each.rooms for layer in room.layers}
    return [layer for layer in LAYERS if layer in used]


class _Row(NamedTuple):
    """A finding on its way to the list, and the room in whose drawing it is shown.

    It has its place there or, with no place of its own, names `circuits` whose strips lie there.
    """

    finding: ReportedFinding
    room: int | None
    circuits: tuple[str, ...] = ()


def _rows(each: DrawnPlan) -> list[_Row]:
    room_of = {found: at for at, room in enumerate(each.rooms, 1) for found in room.numbers}
    first_of: dict[str, int] = {}
    for at, room in enumerate(each.rooms, 1):
        for circuit in room.circuits:
            first_of.setdefault(circuit.name, at)
    rows = []
    for finding in each.report.findings:
        shown_in = room_of.get(finding.number)
        circuits: tuple[str, ...] = ()
        if shown_in is None and finding.room is None:
            circuits = tuple(item for item in finding.items if item in first_of)
            shown_in = min((first_of[circuit] for circuit in circuits), default=None)
        rows.append(_Row(finding, shown_in, circuits))
    return rows


def _plan_parts(place: int, each: DrawnPlan, numbers: Mapping[str, int]) -> dict[str, Any]:
    return {
        "plan": each.report,
        "drawn": each,
        "id": f"plan-{place}",
        "rooms": [(at, room, _svg_of(room, place, at)) for at, room in enumerate(each.rooms, 1)],
        "rows": _rows(each),
        "limits_number": numbers.get(each.report.path),
    }


class _RoomSvg(NamedTuple):
    body: Markup
    legend: Markup
    section: Markup
    swatches: tuple[Markup, ...]


def _svg_of(room: DrawnRoom, plan: int, at: int) -> _RoomSvg:
    """Give a room's SVG with ids that no other drawing on the page has."""

    def own(svg: str) -> Markup:
        return Markup(_PLACEHOLDER.sub(rf"\1p{plan}r{at}-", svg))

    swatches = tuple(own(circuit.swatch) for circuit in room.circuits)
    return _RoomSvg(own(room.svg), own(room.legend), own(room.section), swatches)


def _measure(finding: ReportedFinding) -> str:
    """Write what was measured beside its limit: ``42 mm, at least 50 mm``."""
    measured, limit = finding.measured, finding.limit
    if measured is None:
        return ""
    bounds = []
    if limit is not None:
        bounds = [
            f"{word} {written(bound, limit.unit, measured.value)}"
            for word, bound in (("at least", limit.least), ("at most", limit.most))
            if bound is not None
        ]
    nearest = None
    if limit is not None:
        nearest = limit.least if limit.least is not None else limit.most
    return ", ".join([written(measured.value, measured.unit, nearest), *bounds])


@cache
def _sign(severity: str, text: str, waived: bool) -> Markup:
    """Draw the sign that the drawing uses: square an error, diamond a warning, circle a note."""
    half = max(HALF.values()) + 0.3
    # Whatever number stands in it, the sign is no larger than on the drawing.
    drawn = draw_balloon_sign(severity, text, (half, half), waived=waived)
    return Markup(
        tag(
            "svg",
            drawn,
            viewBox=f"0 0 {number(2 * half)} {number(2 * half)}",
            font_family=FAMILY,
            class_="sign",
            aria_hidden="true",
            focusable="false",
        )
    )


@cache
def _style() -> str:
    text = "\n".join(read_part(__package__, "styles", name) for name in _STYLES)
    off = "\n".join(
        f'[data-layers-off~="{layer}"] :is([data-layer="{layer}"], [data-shows="{layer}"]) '
        "{ display: none; }"
        for layer in LAYERS
    )
    words = CAUTION.replace("\\", "\\\\").replace('"', '\\"')
    return f"{text}\n{off}\n".replace("@caution@", f'"{words}"')


@cache
def _script() -> str:
    text = "\n".join(read_part(__package__, "scripts", name) for name in _SCRIPTS)
    return f'(function () {{\n"use strict";\n{text}\n}})();\n'


def _policy(style: str, script: str) -> str:
    """Say what the page may do: run its own script, use its own style, and fetch nothing."""
    return (
        f"default-src 'none'; script-src '{_hash(script)}'; style-src '{_hash(style)}'; "
        "img-src data:; base-uri 'none'; form-action 'none'"
    )


def _hash(text: str) -> str:
    return f"sha256-{b64encode(sha256(text.encode()).digest()).decode()}"
