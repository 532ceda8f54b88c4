"""What follows from the demo plans, and from odd rooms, before any rule judges it, in figures.

A rule looks at a fact only near its limit; these are all of them, to six digits. A fact of many
figures is kept as how many there are, their sum, their sum by place, and a number that its words
give; an empty one is left out. What stands in the plan itself is told by its name.

    python -m tests.underfoot.checking.facts_kept      writes it anew: read the difference
"""

import json
import re
import zlib
from collections.abc import Iterator, Mapping
from functools import cached_property
from pathlib import Path
from typing import Any

from tests.demo_plans import PLANS
from tests.underfoot.checking.facts_kept.asking import ask_plan, ask_room
from tests.underfoot.checking.facts_kept.odd_rooms import ROOMS, odd_plan
from tests.written_out import figure, keep, lines_of
from underfoot.checking.facts import Facts, RoomFacts
from underfoot.checking.settings import default_settings
from underfoot.reading import read_plan
from underfoot.running.checking import rule_sets_to_use

KEPT = Path(__file__).parent / "facts.txt"
ODD = {f"odd room {seed}": seed for seed in range(ROOMS)}
NAMES = [
    *sorted(file.stem for file in PLANS.glob("*.yaml") if file.stem != "catalogue"),
    *ODD,
]
LIMITS = default_settings(
    [rule for rules in rule_sets_to_use() if rules.name == "standard" for rule in rules.rules]
).numbers
_FIGURE = re.compile(r"-?[0-9]+(?:\.[0-9]+)?(?:e[-+][0-9]+)?")
_EMPTY = (": ", ": []")
_MANY = 12
_LONG = 300
AS_FIGURES = (property, cached_property)
# An index of the strips, what is listed elsewhere, and a floor's ends, which are floors again.
LEFT_OUT = {"tree", "ids", "elements", "ends"}


def facts_of(name: str) -> Facts:
    """Return the facts of a demo plan, or of an odd room."""
    if name in ODD:
        source = json.dumps(odd_plan(ODD[name])).encode()
    else:
        source = (PLANS / f"{name}.yaml").read_bytes()
    reading = read_plan(source, path=f"{name}.yaml", folder=PLANS)
    assert reading.plan is not None
    return Facts(reading.plan, LIMITS)


def said_of(name: str) -> str:
    """Write the facts of a demo plan and of its rooms."""
    facts = facts_of(name)
    lines = [*_properties(facts, "plan"), *_answers(ask_plan(facts), "plan")]
    for room in facts.rooms.values():
        lines += [*_properties(room, room.id), *_answers(ask_room(facts, room), room.id)]
    return "\n".join(line for line in lines if not line.endswith(_EMPTY))


def _properties(of: object, named: str) -> Iterator[str]:
    for name, what in vars(type(of)).items():
        if name in LEFT_OUT or name.startswith("_") or not isinstance(what, AS_FIGURES):
            continue
        if name == "deepest" and not getattr(of, "elements", True):
            continue  # there is no such place
        said = list(lines_of(_derived(getattr(of, name))))
        if said:
            yield f"{named}.{name}: {_shortened(said)}"


def _answers(asked: Iterator[tuple[str, Any]], named: str) -> Iterator[str]:
    for name, answer in asked:
        yield f"{named}, {name}: {_shortened(list(lines_of(_derived(answer))))}"


def _shortened(said: list[tuple[str, str]]) -> str:
    text = "; ".join(f"{at} {word}".strip() for at, word in said)
    figures = [float(each) for _, word in said for each in _FIGURE.findall(word)]
    if len(figures) <= _MANY and len(text) <= _LONG:
        return text
    by_place = sum(place * each for place, each in enumerate(figures, 1))
    words = zlib.crc32(_FIGURE.sub("", text).encode()) % 10_000
    return f"{len(figures)} figures, {figure(sum(figures))}, {figure(by_place)}; words {words:04}"


def _derived(value: Any) -> Any:
    """Return a value without what stands in the plan, which is told by its name, and with what its
    own properties say."""
    if isinstance(value, Facts | RoomFacts):
        return None
    if isinstance(value, Mapping):
        return {str(key): _derived(inner) for key, inner in value.items()}
    module = type(value).__module__
    if module.startswith("underfoot.plan"):
        return getattr(value, "id", None)
    if module.startswith(("underfoot.", "underfoot_rules.")):
        names = getattr(value, "__struct_fields__", None) or getattr(value, "_fields", ())
        told = (name for name, what in vars(type(value)).items() if isinstance(what, AS_FIGURES))
        return {
            name: _derived(getattr(value, name))
            for name in (*names, *(each for each in told if each not in LEFT_OUT))
        }
    if isinstance(value, list | tuple):
        return [_derived(inner) for inner in value]
    return value


def main() -> None:
    """Keep what is said."""
    keep(KEPT, {name: said_of(name) for name in NAMES})
