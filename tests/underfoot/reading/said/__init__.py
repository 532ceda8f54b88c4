"""What reading says of the full plan with one thing in it changed, kept word for word.

Every node is met by a value that somebody well might write there: twice as much, nothing, another
word, an entry more or fewer; every third by one that nobody would write as well. Of coordinates and
notes, which are many and alike, every fourth is. Where the plan is read all the same, what is kept
is how what was read differs. Lines are told from the node's own.

    python -m tests.underfoot.reading.said      writes it anew: read the difference
"""

import json
import re
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any

from msgspec import Struct

from tests.underfoot.reading.odd_values import ODD, Way, list_ways, write
from tests.underfoot.reading.samples import FULL, SMALL, read
from tests.written_out import differences, keep, write_out
from underfoot.reading.paths import join_path
from underfoot.reading.plan_file import read_parsed
from underfoot.reading.salvage import begin_salvage
from underfoot.reading.syntax import parse

KEPT = Path(__file__).parent / "plans.txt"
SAVED = Path(__file__).parent / "saved.txt"
_QUANTITY = re.compile(r"(-?[0-9]+(?:\.[0-9]+)?) (\S.*)")
_MOST_LINES = 12


class Change(Struct, frozen=True, kw_only=True):
    """What stands at a node, as the file has it, instead of what is there."""

    way: Way
    put: str


@cache
def full_plan() -> Any:
    """Return the data of the plan that has every key."""
    return parse(FULL.encode()).data


@cache
def changes() -> dict[str, Change]:
    """Return each change by its name."""
    odd = list(ODD.items())
    ways = list(list_ways(full_plan()))
    alike = [way for way in ways if way[-1] == "note" or isinstance(_above(way), list)]
    ways = [way for way in ways if way not in alike or alike.index(way) % 4 == 0]
    found: dict[str, Change] = {}
    for number, way in enumerate(ways):
        value = value_at(full_plan(), way)
        others = [(what, each) for what, each in likely(value) if each != value]
        what, each = others[number // 3 % len(others)]
        found[f"{join_path(way)}: {what}"] = Change(
            way=way, put=json.dumps(each, ensure_ascii=False)
        )
        if number % 3 == 1:
            what, put = odd[number // 3 % len(odd)]
            found[f"{join_path(way)}: {what}"] = Change(way=way, put=put)
    return found


def _above(way: Way) -> Any:
    """Return what holds the list that a node stands in."""
    return value_at(full_plan(), way[:-2]) if len(way) > 2 else None


def value_at(data: Any, way: Way) -> Any:
    """Return what stands at the end of a way."""
    for part in way:
        data = data[part]
    return data


def likely(value: Any) -> Iterator[tuple[str, Any]]:
    """Yield values that somebody might write in the place of one, by what they are."""
    match value:
        case bool():
            yield "turned round", not value
        case int() | float():
            yield "twice as much", 2 * value
            yield "nought", 0
            yield "a thousand more", value + 1000
            yield "below nought", -1 - value
        case str():
            found = _QUANTITY.fullmatch(value)
            if found:
                number, unit = float(found.group(1)), found.group(2)
                yield "twice as much", f"{2 * number:g} {unit}"
                yield "nought", f"0 {unit}"
                yield "no unit", f"{number:g}"
                yield "another unit", f"{number:g} kg"
            else:
                yield "a letter more", f"{value}s"
                yield "in capitals", value.upper()
                yield "another word", "elsewhere"
        case list():
            yield "one fewer", value[1:]
            yield "the last again", [*value, *value[-1:]]
            yield "turned round", value[::-1]
        case Mapping():
            yield "a key less", dict(list(value.items())[1:])
            yield "another key", {**value, "colour": "red"}
            yield "the last key less", dict(list(value.items())[:-1])
        case _:
            yield "a number", 5


def said_of(change: Change) -> str:
    """Return the problems that the plan then has, or else how what is read differs."""
    text, line = write(full_plan(), change.way, change.put)
    reading = read(text)
    if reading.plan is None:
        return "\n".join(
            f"{one.line - line:+}:{one.column} {one.path}: {one.message}"
            for one in reading.problems
        )
    lines = differences(_as_it_is(), write_out(reading.plan))
    more = [f"and {len(lines) - _MOST_LINES} more"] if len(lines) > _MOST_LINES else []
    return "\n".join([*lines[:_MOST_LINES], *more])


def saved_of(change: Change) -> str | None:
    """Return how what can be saved of the plan differs; None where it is read as it is."""
    text, _ = write(full_plan(), change.way, change.put)
    if read(text).plan is not None:
        return None
    given = parse(SMALL.encode()).data
    salvage = begin_salvage(
        text.encode(), given, lambda parsed: read_parsed(parsed, path="plan.yaml")
    )
    if salvage is None:
        return "nothing can be saved"
    saved, gone = salvage.read_with({})
    if saved is None or saved.plan is None:
        return f"too little is left, without {', '.join(sorted(gone))}"
    lines = differences(_as_it_is(), write_out(saved.plan))
    more = [f"and {len(lines) - _MOST_LINES} more"] if len(lines) > _MOST_LINES else []
    blanks = [f"blank {one.path}" for one in salvage.list_blanks({})]
    return "\n".join([*lines[:_MOST_LINES], *more, *blanks, f"{len(saved.problems)} told"])


def to_be_saved() -> list[str]:
    """Return the changes of which what can be saved is kept: every fifth, and all large things."""
    return [
        name
        for number, (name, change) in enumerate(changes().items())
        if number % 5 == 0 or len(change.way) < 3
    ]


@cache
def _as_it_is() -> dict[str, str]:
    return write_out(read(write(full_plan(), ("",), "")[0]).plan)


def main() -> None:
    """Keep what is said."""
    keep(KEPT, {name: said_of(change) for name, change in changes().items()})
    saved = {name: saved_of(changes()[name]) for name in to_be_saved()}
    keep(SAVED, {name: said for name, said in saved.items() if said is not None})
