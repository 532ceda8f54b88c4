"""What is declared is what is read: every key has its field, in the unit that the field names."""

import inspect
from typing import Any

import pytest

from underfoot import plan
from underfoot.plan_format import DECLARED
from underfoot.plan_format.declaration import Key, Quantity, Thing, list_kinds
from underfoot.plan_format.fields import fields_made, fields_of
from underfoot.plan_format.kinds import FARTHEST, LENGTH, LENGTH_FROM_ZERO
from underfoot.reading.building.problem_log import ProblemLog
from underfoot.reading.building.thing_reader import NOTHING_KNOWN, reader_of, value_reader

THINGS = [kind for kind in list_kinds(DECLARED["plan"]) if isinstance(kind, Thing)]
# What is worked into other fields: a fixture's outline, a layer of pieces, an opening's line, the
# strips of a row.
WORKED_IN = {
    "fixture": {"at", "size"},
    "layer": {"pieces"},
    "opening": {"from", "to"},
    "plan": {"plan_format"},
    "room": {"covering"},
    "row": {key.name for thing in THINGS if thing.name == "row" for key in thing.keys},
}
QUANTITIES = [
    pytest.param(thing, key, id=f"{thing.name}.{key.name}")
    for thing in THINGS
    for key in thing.keys
    if isinstance(key.of, Quantity)
]


def parameters_of(made: Any) -> dict[str, Any]:
    return {
        name: parameter.default for name, parameter in inspect.signature(made).parameters.items()
    }


@pytest.mark.parametrize("thing", [thing for thing in THINGS if thing.makes], ids=lambda t: t.name)
def test_each_key_has_its_field_and_its_default(thing: Thing) -> None:
    there = parameters_of(thing.makes)
    for key in thing.keys:
        if key.name in WORKED_IN.get(thing.name, ()):
            continue
        for field in fields_of(key, thing.inside):
            assert field.partition(".")[0] in there, (thing.name, key.name, field)
            if key.default is not None and there[field] is not inspect.Parameter.empty:
                assert there[field] == key.default, (thing.name, key.name)


def test_each_number_of_a_plan_is_declared_with_its_unit() -> None:
    bare = []
    for name in plan.__all__:
        made = getattr(plan, name)
        if not isinstance(made, type) or name in ("Stop", "Difference", "OwnEntry"):
            continue
        for field, kind in made.__annotations__.items():
            declared = fields_made(made).get(field)
            number = "float" in str(kind) and "tuple" not in str(kind)
            if number and not (declared and declared.unit):
                bare.append(f"{name}.{field}")
    # Steps are of several kinds; each is declared by itself.
    assert bare == ["MethodStatement.steps"]
    assert fields_made(plan.MethodStatement)["steps.bare_conductor"].unit == "mm"


@pytest.mark.parametrize(("thing", "key"), QUANTITIES)
def test_a_number_is_kept_in_the_unit_declared(thing: Thing, key: Key) -> None:
    assert isinstance(key.of, Quantity)
    read = reader_of(Thing("thing", "a thing", "A thing.", (key,)))
    for unit, field in zip((key.of.unit, *key.of.also), fields_of(key), strict=True):
        assert read_one(read, key, f"2.5 {unit}") == ({field: 2.5}, [])
    for number in (-2.5, 0):
        low = {"more than 0": number <= 0, "0 or more": number < 0, "any": False}[key.of.bound]
        fields, said = read_one(read, key, f"{number} {key.of.unit}")
        assert (len(said), bool(fields)) == ((1, False) if low else (0, True)), (number, said)


def read_one(read: Any, key: Key, value: Any) -> tuple[dict[str, Any], list[str]]:
    """The fields beside defaults, and what was said."""
    log = ProblemLog(positions={})
    fields = read(log, {key.name: value}, "here", NOTHING_KNOWN)
    said = [problem.message for problem in log.problems]
    return ({} if said and key.default is not None else fields), said


@pytest.mark.parametrize("kind", [LENGTH, LENGTH_FROM_ZERO])
def test_no_length_is_more_than_a_kilometre(kind: Quantity) -> None:
    for value in (FARTHEST + 1, "1000.001 m"):
        log = ProblemLog(positions={})
        assert value_reader(kind)(log, value, "here.width", "width", NOTHING_KNOWN) is None
        (problem,) = log.problems
        assert problem.message.endswith("is longer than 1 km: check the unit")
    assert (
        value_reader(kind)(ProblemLog(positions={}), "1 km", "here", "width", NOTHING_KNOWN)
        == FARTHEST
    )
