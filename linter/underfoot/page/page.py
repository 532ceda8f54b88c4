"""The page itself: head, register, plans by gravity, rules, foot; the same bytes every time."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Container, Iterable, Mapping, Sequence
from functools import cache

from jinja2 import Environment
from markupsafe import Markup
from msgspec import Struct
from msgspec.structs import replace

from underfoot.checking.makers_figures import MAKERS_FIGURES
from underfoot.checking.numbers import format_quantity
from underfoot.checking.report import (
    Brief,
    Changed,
    PlanReport,
    ReportedFinding,
)
from underfoot.checking.rule import AnyRule
from underfoot.checking.settings import Settings
from underfoot.checking.summing import Summary
from underfoot.drawing import LAYERS, USUAL_LAYERS
from underfoot.page.drawn_plan import DrawnPlan
from underfoot.page.markdown import render_line
from underfoot.page.own_code import Kind, write_policy, write_script, write_style
from underfoot.page.pens_once import PensOnce
from underfoot.page.plan_parts import line_of, list_checked, plan_parts
from underfoot.page.rules_explained import (
    SettingsInForce,
    explain_rules,
    list_in_force,
)
from underfoot.page.signs import draw_sign, draw_sign_shapes
from underfoot.reading.problem import Problem
from underfoot.reporting import phrases
from underfoot.reporting.gravest import Gravest, Kept
from underfoot.reporting.host_limits import PAGE_BYTES, PAGE_PLANS_ALL_DRAWN, PAGE_PLANS_DRAWN
from underfoot.reporting.layout import count_of
from underfoot.reporting.templates import in_whole_lines, set_up_templates
from underfoot.reporting.what_first import MOST_FIRST, First, by_gravity, worst_findings


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
        say_asked=phrases.say_asked,
        say_verdict=phrases.say_verdict,
        points_not_judged=phrases.points_not_judged,
        crashed=phrases.CRASHED,
        coded=render_line,
        measure=_measure,
        checked_rules=list_checked,
        line_of=line_of,
        sign=draw_sign,
        sign_shapes=draw_sign_shapes,
    )


class HtmlWriter:
    """Writes the page, all at the end: its register stands before the plans.

    `count` is how many plans will come. Where they are many only the gravest of those that
    `is_refused` are shown whole; the register has them all. A page that is kept true while plans
    change has an `edition`, which is another one where more than plans has changed; of it only the
    plans at the places `only` may be wanted, and what is told of all.
    """

    def __init__(
        self,
        rules: Sequence[AnyRule],
        count: int,
        is_refused: Callable[[PlanReport], bool] = lambda plan: True,
        *,
        edition: int = 0,
        only: Container[int] | None = None,
    ) -> None:
        self.edition = edition
        self.only = only
        self.rules = rules
        self.count = count
        self.are_many = count > PAGE_PLANS_ALL_DRAWN
        self.is_refused = is_refused
        self.shown = Gravest(PAGE_PLANS_DRAWN if self.are_many else count)
        self.parts: list[ShownPart | None] = []
        self.groups: list[Settings] = []
        self.changed: list[tuple[Changed, ...]] = []
        self.electrical = frozenset(rule.id for rule in rules if rule.electrical)
        self.refused = 0
        # At the desk plans come and go, and the page's style stays.
        self.pens = None if edition else PensOnce()

    def begin(self, run: Summary) -> Iterable[str]:
        """Write nothing yet."""
        self.run = run
        return ()

    def add(self, plan: PlanReport, page: DrawnPlan | None = None) -> Iterable[str]:
        """Write one plan, to be given out at the end, where it is one that is shown."""
        is_refused = self.is_refused(plan)
        self.refused += is_refused
        self.parts.append(None)
        if page is not None and (is_refused or not self.are_many):
            self._draw(replace(page, report=plan))
        return ()

    def _draw(self, page: DrawnPlan) -> None:
        plan = page.report
        place = len(self.parts)
        group, firsts = self._group(page), worst_findings(plan, self.electrical)
        self.parts[-1] = ShownPart(
            found=Counter(finding.rule for finding in plan.findings),
            first=firsts[0] if firsts else None,
            problem=plan.problems[0] if plan.problems else None,
            layers=frozenset(layer for room in page.rooms for layer in room.layers),
            group=group,
            decides=page.review is not None,
        )
        is_single = self.count == 1
        if self.only is None or place in self.only:
            text = (
                _environment()
                .get_template("plan.html")
                .render(
                    report=self.run,
                    is_single=is_single,
                    firsts=firsts[:MOST_FIRST]
                    if is_single and len(plan.findings) > MOST_FIRST
                    else (),
                    **plan_parts(place, page, None if group is None else group + 1, self.pens),
                )
            )
            # So that of many plans the gravest stay.
            grave = 0 if plan.problems or plan.faults else 1_000_000
            rank = grave - min(plan.counts.error, 999_999) if grave else 0
            left_out = self.shown.add(rank if self.are_many else 0, str(place), text)
            if left_out is not None:
                self.parts[int(left_out) - 1] = None

    def _group(self, page: DrawnPlan) -> int | None:
        """Return the place of the settings that are in force for a plan, among all."""
        if page.settings is None:
            return None
        place = next(
            (
                place
                for place, settings in enumerate(self.groups)
                if settings is page.settings or settings == page.settings
            ),
            len(self.groups),
        )
        if place == len(self.groups):
            self.groups.append(page.settings)
            self.changed.append(())
        self.changed[place] = self.changed[place] or page.report.changed
        return place

    def end(self, run: Summary) -> Iterable[str]:
        """Write head, register, plans by gravity, rules, foot."""
        order = by_gravity(run.plans)
        kept = {int(each.kind) - 1: each for each in self.shown.by_gravity()}
        places = _within(PAGE_BYTES, order, kept)
        if self.edition:
            places = [place for place in order if self.parts[place] is not None]
        parts = [part for place in places if (part := self.parts[place]) is not None]
        found: Counter[str] = Counter()
        for part in parts:
            found.update(part.found)
        in_force = self._in_force(run, places)
        kind = self._kind(parts)
        style, script = write_style(kind), write_script(kind)
        if self.pens is not None:
            style = self.pens.write_style() + style
        if self.only is not None:
            style = script = ""  # what is taken into a page has them already
        page = {
            "report": run,
            "plans": run.plans,
            "title": _title(run.plans),
            "is_single": self.count == 1,
            "in_force": in_force,
            "edition": self.edition,
        }
        verdicts = Counter(plan.verdict for plan in run.plans)
        layers = {layer for part in parts for layer in part.layers}
        yield from in_whole_lines(
            _environment()
            .get_template("head.html")
            .generate(
                page,
                style=Markup(style),
                policy=write_policy(style, script, kind),
                verdicts=[(verdict, verdicts[verdict]) for verdict in phrases.VERDICTS],
                severities=_severity_counts([run.plans[place] for place in places]),
                found_rules=sorted(found.items()),
                layers=[layer for layer in LAYERS if layer in layers or self.edition],
                layers_off=[layer for layer in LAYERS if layer not in USUAL_LAYERS],
                are_shown=frozenset(place + 1 for place in places),
                are_many=self.are_many,
                refused=self.refused,
                register=[(place + 1, run.plans[place]) for place in order],
                starts=self._starts(run, places),
            )
        )
        yield from (self.shown.read(kept[place]) for place in places if place in kept)
        explained = self._explained(places)
        yield (
            _environment()
            .get_template("foot.html")
            .render(
                page,
                rules=explain_rules(
                    (rule for rule in (*self.rules, MAKERS_FIGURES) if rule.id in explained),
                    self.groups,
                ),
                explained=explained,
                script=Markup(script),
                decides=kind != "read",
            )
        )

    def _kind(self, parts: Iterable[ShownPart]) -> Kind:
        """Tell what can be done at the page."""
        if self.edition:
            return "desk"
        return "decide" if any(part.decides for part in parts) else "read"

    def _explained(self, places: Iterable[int]) -> set[str]:
        """Return the rules to be explained: those that found something in what is written."""
        written = [place for place in places if self.only is None or place + 1 in self.only]
        parts = [part for place in written if (part := self.parts[place]) is not None]
        return {rule for part in parts for rule in part.found}

    def _starts(self, run: Summary, places: Iterable[int]) -> list[Start]:
        """Return the plans to start with, if there are several: the gravest that ask for work."""
        if self.count == 1:
            return []
        starts = []
        for place in places:
            plan, part = run.plans[place], self.parts[place]
            if part is not None and (part.first or part.problem or plan.faults):
                starts.append(Start(place=place + 1, plan=plan, part=part))
        return starts[:MOST_FIRST]

    def _in_force(self, run: Summary, places: Sequence[int]) -> list[SettingsInForce]:
        """List the settings in force and for which of the plans shown."""
        listed = []
        for group, settings in enumerate(self.groups):
            members = [
                run.plans[place].path
                for place in places
                if (part := self.parts[place]) is not None and part.group == group
            ]
            if members:
                listed.append(list_in_force(group + 1, settings, members, self.changed[group]))
        return listed


class ShownPart(Struct, frozen=True, kw_only=True):
    """What the head and the foot tell of a plan that is shown: `group` is that of its settings.

    `first` is the finding to begin with, `problem` what first keeps the plan from being read;
    `decides` says whether its findings can be decided about at the page.
    """

    found: Mapping[str, int]
    first: First | None
    problem: Problem | None
    layers: frozenset[str]
    group: int | None
    decides: bool


class Start(Struct, frozen=True, kw_only=True):
    """A plan to start with, by its number on the page, and the worst that was found in it."""

    place: int
    plan: Brief
    part: ShownPart


def _within(most: int, order: Iterable[int], kept: Mapping[int, Kept]) -> list[int]:
    """Return the places of those kept that fit on a page, in order; the first is always shown."""
    places: list[int] = []
    for place in order:
        if place in kept:
            most -= kept[place].bytes
            if places and most < 0:
                break
            places.append(place)
    return places


def _title(plans: Sequence[Brief]) -> str:
    if len(plans) != 1:
        return f"Review of {count_of(len(plans), 'plan')}"
    return f"Review of {plans[0].title or phrases.say_path(plans[0].path)}"


def _severity_counts(plans: Sequence[Brief]) -> list[tuple[str, int]]:
    counts = [plan.counts for plan in plans]
    return [
        ("error", sum(one.error for one in counts)),
        ("warning", sum(one.warning for one in counts)),
        ("note", sum(one.note for one in counts)),
        ("waived", sum(one.waived for one in counts)),
    ]


def _measure(finding: ReportedFinding) -> str:
    """Write what was measured beside its limit: ``42 mm, at least 50 mm``."""
    measured, limit = finding.measured, finding.limit
    if measured is None:
        return ""
    bounds = []
    if limit is not None:
        bounds = [
            f"{word} {format_quantity(bound, limit.unit, measured.value)}"
            for word, bound in (("at least", limit.least), ("at most", limit.most))
            if bound is not None
        ]
    nearest = None
    if limit is not None:
        nearest = limit.least if limit.least is not None else limit.most
    return ", ".join([format_quantity(measured.value, measured.unit, nearest), *bounds])
