"""Marks for what the brief asks for beyond rules: heated share, output, circuits, method."""

from __future__ import annotations

from fractions import Fraction

from underfoot.checking.facts import Facts, element_power_w
from underfoot.checking.facts.laying import measure_coverage
from underfoot.checking.finding import above, below
from underfoot.checking.numbers import written
from underfoot.marking.awarding import Row
from underfoot.marking.marks import NOTHING, round_marks, say_product
from underfoot.marking.scheme import UNITS, AskedRow


def award_asked(topic: str, row: AskedRow, facts: Facts, round_to: Fraction) -> Row:
    """Give the marks of one row: all or nothing for a figure, in proportion for stated steps."""
    if row.what == "method statement":
        return _award_method(topic, row, facts, round_to)
    unit = UNITS[row.what]
    found = _measure(row, facts)
    where = "" if row.room is None else f" of {row.room}"
    if found is None:
        said = f"{_begin(row.what)}{where}: nothing in the plan shows it."
        return Row(topic, row.what, row.marks, NOTHING, (said,))
    misses = (row.least is not None and below(found, row.least)) or (
        row.most is not None and above(found, row.most)
    )
    apart = row.least if row.least is not None and below(found, row.least) else row.most
    shown = written(found, unit, apart) if unit else f"{found:g}"
    said = f"{_begin(row.what)}{where}: {shown}; asked for {_asked_for(row, unit)}."
    return Row(topic, row.what, row.marks, NOTHING if misses else row.marks, (said,))


def _asked_for(row: AskedRow, unit: str) -> str:
    def say(value: float) -> str:
        return written(value, unit) if unit else f"{value:g}"

    if row.least == row.most and row.least is not None:
        return say(row.least)
    parts = [
        f"{word} {say(value)}"
        for word, value in (("at least", row.least), ("at most", row.most))
        if value is not None
    ]
    return ", ".join(parts)


def _begin(what: str) -> str:
    return what[:1].upper() + what[1:]


def _measure(row: AskedRow, facts: Facts) -> float | None:
    """Give the figure, None where the plan has nothing to measure."""
    rooms = [room for name, room in facts.rooms.items() if row.room is None or name == row.room]
    if row.room is not None and not rooms and len(facts.rooms) == 1:
        rooms = list(facts.rooms.values())  # the one room, whatever it is called
    elements = [element for room in rooms for element in room.room.elements]
    if not elements:
        return None
    if row.what == "strips":
        return float(len(elements))
    if row.what == "circuits":
        return float(len({one.circuit for one in elements if one.circuit in facts.circuits}))
    if row.what == "output":
        return sum(element_power_w(one) for one in elements)
    reachable = heated = 0.0
    for room in rooms:
        limits = facts.limits
        coverage = measure_coverage(
            room,
            limits.get("wall-clearance", {}).get("minimum", 50.0),
            limits.get("fixture-clearance", {}).get("minimum", 50.0),
            limits.get("covered-floor", {}).get("clear", 60.0),
        )
        reachable += coverage.reachable_m2
        heated += coverage.share / 100 * coverage.reachable_m2
    return 100 * heated / reachable if reachable else None


def _award_method(topic: str, row: AskedRow, facts: Facts, round_to: Fraction) -> Row:
    statement = facts.plan.method_statement
    stated = 0 if statement is None else len(statement.steps)
    counted = min(stated, row.of)
    earned = round_marks(row.marks * Fraction(counted, row.of), round_to, row.marks)
    said = [f"Method statement: {counted} of {row.of} steps stated."]
    if not stated:
        said = ["No method statement: nothing shown."]
    elif NOTHING < earned < row.marks:
        exact = row.marks * Fraction(counted, row.of)
        said.append(say_product(f"{counted}/{row.of}", row.marks, exact, earned))
    return Row(topic, row.what, row.marks, earned, tuple(said), None, row.of, counted)
