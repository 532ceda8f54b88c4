"""A plan's text as the editor has it -> what is told of it, by the settings beside the plan."""

import os
import time
from collections import OrderedDict
from collections.abc import Iterator, Sequence
from datetime import date
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from underfoot.checking.check import Checker, check_reading, make_checker
from underfoot.checking.doubt import hold_back
from underfoot.checking.engine import Outcome, run
from underfoot.checking.facts import Facts
from underfoot.checking.facts.circuit import element_power_w
from underfoot.checking.page import place_of_page
from underfoot.checking.report import UNREADABLE, PlanReport
from underfoot.checking.report_builder import build_report, position
from underfoot.checking.rule import RuleSet
from underfoot.checking.settings import Settings
from underfoot.checking.unwaivable import list_unwaivable
from underfoot.editor.judgement import Judgement, RowSum, Unjudged
from underfoot.editor.mends import Mending, Offered
from underfoot.mending.offering import Place, gather_menders
from underfoot.mending.search import Menders
from underfoot.plan import Element
from underfoot.reading import Reading, read_plan
from underfoot.reading.half_read import HalfRead, read_half
from underfoot.reading.problem import Problem
from underfoot.running.finding_settings import SettingsError, settings_finder
from underfoot.running.links import where_it_lies
from underfoot.running.plan_files import display_path
from underfoot.running.reviews import add_review

# Settings that changed on disk count after so long at the latest, whether or not we are told.
_LOOK_AGAIN_SECONDS = 1.0
_MOST_KEPT = 8


class Judged(Struct, frozen=True, kw_only=True):
    """A text with all that came of it; `facts` are None where nothing of it could be read."""

    source: bytes
    told: Judgement
    reading: Reading | None = None
    outcome: Outcome | None = None
    bench: Checker | None = None

    @property
    def facts(self) -> Facts | None:
        """The facts of the plan."""
        return None if self.outcome is None else self.outcome.facts


class Judge:
    """Judges texts; keeps what it last made of each, and the settings for a while."""

    def __init__(self, sets: Sequence[RuleSet], today: date | None = None) -> None:
        self.sets = sets
        self._today = today
        self._kept: OrderedDict[str, Judged] = OrderedDict()
        self._facts: dict[str, Facts] = {}
        self._benches: list[Checker] = []
        self._menders: Menders | None = None
        self.forget()

    def forget(self) -> None:
        """Look at all files anew: something changed on disk."""
        self._find = settings_finder(self.sets, None)
        self._looked = time.monotonic()
        self._kept.clear()
        self._mending: tuple[tuple[str, bytes], Mending] | None = None

    def judge(self, place: str, source: bytes) -> Judged:
        """Read and check a text as that of the plan at a place."""
        if time.monotonic() - self._looked > _LOOK_AGAIN_SECONDS:
            self._find = settings_finder(self.sets, None)
            self._looked = time.monotonic()
        try:
            judged = self._judge(place, source)
        except SettingsError as error:
            judged = Judged(source=source, told=_tell_settings(error.problems))
        self._kept[place] = judged
        self._kept.move_to_end(place)
        if judged.facts is not None:
            # Rooms that the next text has the same are not worked out again.
            self._facts[place] = judged.facts
        while len(self._kept) > _MOST_KEPT:
            oldest, _ = self._kept.popitem(last=False)
            self._facts.pop(oldest, None)
        return judged

    def recall(self, place: str, source: bytes) -> Judged:
        """What was made of a text, where it is still the last one; else it is judged now."""
        kept = self._kept.get(place)
        return kept if kept is not None and kept.source == source else self.judge(place, source)

    def offer_mends(self, place: str, source: bytes, number: int) -> tuple[Offered, ...]:
        """Look for mends of a finding, by its number; none where the text cannot be read whole."""
        judged = self.recall(place, source)
        if judged.bench is None or judged.told.verdict == UNREADABLE:
            return ()
        key = (place, source)
        if self._mending is None or self._mending[0] != key:
            lies = Place(path=_name(place), folder=_folder(where_it_lies(place)))
            if self._menders is None:
                self._menders = gather_menders(self.sets)
            self._mending = key, Mending(source, judged.bench, lies, self._menders)
        return self._mending[1].offer(number)

    def list_rules(self) -> tuple[tuple[str, str], ...]:
        """The rules by id, and what each finds."""
        return tuple((rule.id, rule.finds) for each in self.sets for rule in each.rules)

    def _judge(self, place: str, source: bytes) -> Judged:
        lies = where_it_lies(place)
        bench = self._bench_for(self._find(lies))
        path, folder = _name(place), _folder(lies)
        before = self._facts.get(place)
        reading = read_plan(source, path=path, folder=folder)
        checked, outcome = check_reading(reading, bench, source, before)
        checked = add_review(checked, source, lies, path)
        report = checked.report
        if outcome is None:
            half = read_half(source, path=path, folder=folder)
            if half is None:
                told = Judgement(verdict=UNREADABLE, problems=report.problems)
                return Judged(source=source, told=told, reading=reading, bench=bench)
            return self._judge_half(source, half, reading.problems, bench, before)
        told = self._tell(report, reading, outcome, bench)
        return Judged(source=source, told=told, reading=reading, outcome=outcome, bench=bench)

    def _judge_half(
        self,
        source: bytes,
        half: HalfRead,
        problems: tuple[Problem, ...],
        bench: Checker,
        before: Facts | None,
    ) -> Judged:
        """Judge what could be read; what may hang on the rest is not told."""
        reading, plan = half.reading, half.reading.plan
        assert plan is not None
        outcome = run(
            plan,
            bench.program,
            bench.settings,
            today=bench.today,
            paths=reading.positions,
            before=before,
        )
        trusted = hold_back(outcome, plan, half.doubtful, bench)
        report = build_report(
            reading.path, plan, trusted.outcome, reading.positions, bench.settings, bench.today
        )
        told = Judgement(
            verdict=UNREADABLE,
            problems=problems,
            findings=report.findings,
            held_back=trusted.held_back,
            faults=report.faults,
            rows=dict(_sum_rows(outcome.facts)),
        )
        told = replace(told, pages=_list_pages(bench, told))
        return Judged(source=source, told=told, reading=reading, outcome=outcome, bench=bench)

    def _tell(
        self, report: PlanReport, reading: Reading, outcome: Outcome, bench: Checker
    ) -> Judgement:
        forbidden = list_unwaivable(bench.program, bench.settings)
        told = Judgement(
            verdict=report.verdict,
            findings=report.findings,
            unjudged=tuple(_list_unjudged(outcome, reading)),
            faults=report.faults,
            remarks=tuple(_say_review(report)),
            waivable=frozenset(rule.id for rule in bench.program.rules if rule.id not in forbidden),
            rows=dict(_sum_rows(outcome.facts)),
        )
        return replace(told, pages=_list_pages(bench, told))

    def _bench_for(self, settings: Settings) -> Checker:
        """Rules and settings made ready, once for equal ones on a day."""
        today = self._today or date.today()
        for bench in self._benches:
            if bench.today == today and (bench.settings is settings or bench.settings == settings):
                return bench
        bench = make_checker(self.sets, settings, today)
        self._benches = [bench, *self._benches[: _MOST_KEPT - 1]]
        return bench


def _name(place: str) -> str:
    return display_path(os.path.basename(place))


def _folder(place: str) -> Path:
    return Path(os.path.dirname(place) or os.curdir)


def _list_unjudged(outcome: Outcome, reading: Reading) -> Iterator[Unjudged]:
    for tally in outcome.tallies:
        for each in tally.undecided:
            line, column = position(each.subject.path, reading.positions)
            yield Unjudged(
                rule=tally.rule,
                path=each.subject.path,
                line=line,
                column=column,
                why=each.why,
                write=each.write,
                worst=each.worst,
            )


def _say_review(report: PlanReport) -> Iterator[str]:
    if report.review is not None:
        for problem in report.review.problems:
            yield f"{report.review.file}:{problem.line}: {problem.message}"


def _list_pages(bench: Checker, told: Judgement) -> dict[str, str]:
    wanted = {found.rule for found in told.findings} | {point.rule for point in told.unjudged}
    pages = ((rule.id, place_of_page(rule)) for rule in bench.program.rules if rule.id in wanted)
    return {rule: page.as_uri() for rule, page in pages if page is not None}


def _sum_rows(facts: Facts) -> Iterator[tuple[str, RowSum]]:
    for room in facts.plan.rooms.values():
        of_row: dict[str, list[Element]] = {}
        for element in room.elements:
            if element.row is not None:
                of_row.setdefault(element.row, []).append(element)
        for row in room.rows:
            strips = of_row.get(row.id, [])
            yield (
                row.path,
                RowSum(
                    strips=len(strips),
                    length=sum(each.length for each in strips),
                    power_w=sum(map(element_power_w, strips)),
                ),
            )


def _tell_settings(problems: Sequence[Problem]) -> Judgement:
    said = tuple(f"{each.file}:{each.line}:{each.column}: {each.message}" for each in problems)
    return Judgement(verdict=UNREADABLE, remarks=said)
