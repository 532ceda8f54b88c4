"""What another covering or voltage would change: in all figures, and in what is found."""

import json
from collections.abc import Iterator, Mapping
from copy import deepcopy
from typing import Any

from msgspec import Struct

from underfoot.checking.matching import identity_of
from underfoot.checking.report import PlanReport, ReportedFinding
from underfoot.checking.words import name_runs
from underfoot.plan import Plan
from underfoot.reading.quantities import QuantityError
from underfoot.reading.quantities import read as read_quantity
from underfoot.reading.wording import show, suggest
from underfoot.reporting.phrases import say_counts
from underfoot.schedule.document import Cell, Column, Papers, Part, Table
from underfoot.schedule.strips import word
from underfoot.schedule.table_rows import TableError


class Change(Struct, frozen=True, kw_only=True):
    """What is changed to see: the covering of all heated rooms, the supply's voltage."""

    covering: str | None = None
    voltage: str | None = None

    @property
    def said(self) -> str:
        """Say what is changed."""
        parts = []
        if self.covering is not None:
            parts.append(f"covering {self.covering} in every heated room")
        if self.voltage is not None:
            parts.append(f"a supply of {self.voltage}")
        return " and ".join(parts)


def change_plan(data: Mapping[str, Any], plan: Plan, change: Change) -> bytes:
    """Return the plan's text with a change made; TableError where that cannot be."""
    changed = deepcopy(dict(data))
    if change.covering is not None:
        known = plan.materials.coverings
        if change.covering not in known:
            raise TableError(
                f"the plan and its catalogue have no covering {show(change.covering)}"
                f"{suggest(change.covering, tuple(known))}"
            )
        for room in plan.rooms.values():
            if room.elements:
                written = changed["rooms"][room.id]
                written.pop("coverings", None)
                written["covering"] = change.covering
    if change.voltage is not None:
        try:
            volts = read_quantity(change.voltage, "V")
        except QuantityError as error:
            raise TableError(str(error)) from None
        if not volts > 0:
            raise TableError("a voltage is more than 0")
        changed["supply"]["voltage"] = change.voltage
    return json.dumps(changed, ensure_ascii=False).encode()


def compare_papers(
    change: Change, before: tuple[Papers, PlanReport], after: tuple[Papers, PlanReport]
) -> Part:
    """List every figure that differs, and every finding that is gone, new or says otherwise."""
    old, new = before[1], after[1]
    return Part(
        key="what_if",
        title=f"What if: {change.said}",
        says=(
            f"As planned: {old.verdict} ({say_counts(old.in_brief)}). Changed: {new.verdict} "
            f"({say_counts(new.in_brief)}). Nothing is written: the plan stays as it is.",
        ),
        tables=(
            Table(
                key="changed_figures",
                title="Figures that change",
                columns=(Column(key="table", title="in", spoken=True), word("row", "of"),
                         word("figure"), word("unit"),
                         Column(key="before", title="as planned", decimals=3, trims=True),
                         Column(key="after", title="changed", decimals=3, trims=True)),
                rows=tuple(_differ(before[0], after[0])),
                if_empty="No figure changes.",
            ),
            Table(
                key="changed_findings",
                title="Findings that change",
                columns=(word("became"), word("severity"), word("rule"), word("room"),
                         word("items"), word("says")),
                rows=tuple(_list_findings(old, new)),
                if_empty="The check finds the same.",
            ),
        ),
    )  # fmt: skip


def _differ(before: Papers, after: Papers) -> Iterator[tuple[Cell, ...]]:
    """List what differs, rows that change alike as one."""
    was = {table.key: table for part in before.parts for table in part.tables}
    for part in after.parts:
        for table in part.tables:
            if not table.named_by or table.key not in was:
                continue
            alike: dict[tuple[Cell, ...], list[str]] = {}
            for name, *differing in _differ_in(was[table.key], table):
                alike.setdefault(tuple(differing), []).append(str(name))
            for (figure, unit, earlier, later), names in alike.items():
                yield (table.key, name_runs(names), figure, unit, earlier, later)


def _differ_in(was: Table, table: Table) -> Iterator[tuple[Cell, ...]]:
    """List name, figure, unit, earlier and later; of a row that only one has, its figures alone."""
    old, new = _by_name(was), _by_name(table)
    for name in dict.fromkeys((*old, *new)):
        in_both = name in old and name in new
        for column in table.columns:
            earlier = old.get(name, {}).get(column.key)
            later = new.get(name, {}).get(column.key)
            if not _is_same(earlier, later) and (in_both or column.is_figure):
                decimals = column.decimals or 0
                unit = column.unit or _unit_of(new.get(name) or old[name], column)
                yield (" ".join(name), column.title, unit,
                       *(_rounded(cell, decimals) for cell in (earlier, later)))  # fmt: skip


def _unit_of(row: Mapping[str, Cell], column: Column) -> str | None:
    """Return the unit that stands in a figure's row, as in the order."""
    unit = row.get("unit") if column.is_figure and column.key != "packs" else None
    return None if unit is None else str(unit)


def _rounded(cell: Cell, decimals: int) -> Cell:
    return cell if isinstance(cell, str | None) else round(cell, decimals)


def _by_name(table: Table) -> dict[tuple[str, ...], dict[str, Cell]]:
    found: dict[tuple[str, ...], dict[str, Cell]] = {}
    for row in table.rows:
        cells = {column.key: cell for column, cell in zip(table.columns, row, strict=True)}
        found[tuple(str(cells[key]) for key in table.named_by)] = cells
    return found


def _is_same(one: Cell, other: Cell) -> bool:
    if isinstance(one, int | float) and isinstance(other, int | float):
        return abs(one - other) <= 1e-9 * max(1.0, abs(one), abs(other))
    return one == other


def _list_findings(old: PlanReport, new: PlanReport) -> Iterator[tuple[Cell, ...]]:
    was = {identity_of(finding): finding for finding in old.findings}
    now = {identity_of(finding): finding for finding in new.findings}
    for key, finding in now.items():
        if key not in was:
            yield _row("new", finding)
        elif was[key].message != finding.message or was[key].severity != finding.severity:
            yield _row("changed", finding)
    for key, finding in was.items():
        if key not in now:
            yield _row("gone", finding)


def _row(became: str, finding: ReportedFinding) -> tuple[Cell, ...]:
    return (became, finding.severity, finding.rule, finding.room,
            ", ".join(finding.items) or None, finding.message)  # fmt: skip
