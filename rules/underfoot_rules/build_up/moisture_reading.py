"""A subfloor that is too damp for what is laid on it."""

from collections.abc import Mapping

from msgspec import Struct
from msgspec.structs import replace

from underfoot.api.facts import Facts, RoomFacts
from underfoot.api.plan import Subfloor
from underfoot.api.rules import (
    Basis,
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    above,
    at_most,
    format_quantity,
)
from underfoot_rules.build_up.covering_kinds import tell_covering
from underfoot_rules.coverings import coverings_over

# How layers of calcium sulphate are called.
_SULPHATE = ("sulphate", "sulfate", "anhydrite", "gypsum")
_METHODS: Mapping[str, tuple[str, ...]] = {
    "cement": ("CM", "by weight"),
    "calcium sulphate": ("CM", "by weight"),
    "timber": ("by weight",),
}
# What to write where the limit hangs on it and the plan leaves it open.
_ASK = {
    "base": "what the moisture was measured in (`screed: cement` or `screed: calcium sulphate`)",
    "method": "how the moisture was measured (`method: CM` or `method: by weight`)",
    "covering": "of what kind every covering is (`kind`)",
}


class Case(Struct, frozen=True, kw_only=True):
    """What a reading may be judged as: the base, the method, what lies over it, and its limit."""

    base: str
    method: str
    covering: str
    key: str
    limit: float


def subjects(facts: Facts) -> tuple[Subject[RoomFacts], ...]:
    """Every room with strips on a subfloor whose moisture was measured, or that has a screed."""
    return tuple(
        replace(
            subject,
            path=subfloor.path
            if subfloor.moisture_percent is None
            else f"{subfloor.path}.moisture",
        )
        for subject in facts.room_subjects
        if (subfloor := subject.payload.drawn.subfloor) is not None
        and (subfloor.moisture_percent is not None or subfloor.screed is not None)
    )


def check(subject: Subject[RoomFacts], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Compare the reading with the limits of all that it may be the reading of."""
    room = subject.payload
    subfloor = room.drawn.subfloor
    assert subfloor is not None
    reading = subfloor.moisture_percent
    if reading is None:
        if subfloor.barrier is not None:
            return None
        return CannotTell(
            why=f"how damp the {subfloor.screed} screed is, is not given (`subfloor.moisture`)",
            write="Measure the screed's `moisture` and write it with its `method`.",
        )
    cases = _list_cases(room, subfloor, limits)
    if not cases:
        return CannotTell(
            why="a CM reading says nothing of timber",
            write="Write what the timber's `moisture` is by weight (`method: by weight`).",
        )
    strictest, laxest = min(cases, key=_limit_of), max(cases, key=_limit_of)
    if not above(reading, strictest.limit):
        return None
    if not above(reading, laxest.limit):
        return _ask(reading, cases)
    how = f" ({laxest.method})" if all(case.method == laxest.method for case in cases) else ""
    return Finding(
        message=f"{_name(subfloor, cases)} of room {subject.room} holds {{measured}} of "
        f"moisture{how}; at most {{limit}} may be in it when the floor is laid.",
        remedy="Let it dry and measure again before anything is laid; a sheet or a barrier over it "
        "only shuts the damp in.",
        measured=reading,
        most=laxest.limit,
        limit_key=laxest.key,
    )


def _name(subfloor: Subfloor, cases: tuple[Case, ...]) -> str:
    if subfloor.screed is not None:
        return f"The {subfloor.screed} screed"
    return "The timber subfloor" if cases[0].base == "timber" else "The subfloor"


def _limit_of(case: Case) -> float:
    return case.limit


def _list_cases(room: RoomFacts, subfloor: Subfloor, limits: Limits) -> tuple[Case, ...]:
    """List all that the reading may be judged as, as far as the plan leaves it open."""
    given = subfloor.moisture_method
    return tuple(
        Case(base=base, method=method, covering=covering, key=key, limit=limits[key])
        for base in _list_bases(subfloor)
        for method in _METHODS[base]
        if given in (None, method)
        for covering in _list_coverings(room)
        for key in (_key(base, method, covering),)
    )


def _list_bases(subfloor: Subfloor) -> tuple[str, ...]:
    if subfloor.screed is not None:
        return (subfloor.screed,)
    materials = " ".join(layer.material or "" for layer in subfloor.layers[:1]).lower()
    if any(word in materials for word in _SULPHATE):
        return ("calcium sulphate",)
    known = {"concrete": "cement", "timber": "timber"}.get(subfloor.kind or "")
    return (known,) if known is not None else tuple(_METHODS)


def _list_coverings(room: RoomFacts) -> tuple[str, ...]:
    """Tell tile and stone from all else; what is not given may be either."""
    kinds = [area.covering.kind for area in coverings_over(room)]
    if any(kind is not None and tell_covering(kind) != "mineral" for kind in kinds):
        return ("other",)
    return ("mineral",) if kinds and None not in kinds else ("other", "mineral")


def _key(base: str, method: str, covering: str) -> str:
    if base == "timber":
        return "timber"
    name = base.replace(" ", "_")
    if base == "cement" and covering == "mineral":
        name += "_under_tile"
    return name if method == "CM" else f"{name}_by_weight"


def _ask(reading: float, cases: tuple[Case, ...]) -> CannotTell:
    """Ask for what the plan leaves open and the verdict hangs on."""
    low, high = min(map(_limit_of, cases)), max(map(_limit_of, cases))
    open_parts = [part for part in _ASK if len({getattr(case, part) for case in cases}) > 1]
    return CannotTell(
        why=f"{format_quantity(reading, '%')} may be too damp: the limit is "
        f"{format_quantity(low, '%')} to "
        f"{format_quantity(high, '%')}, by what was measured, how, and what is laid on it",
        write=f"Write {', and '.join(_ASK[part] for part in open_parts)}.",
    )


RULE = Rule(
    finds="a slab, screed or timber that is too damp for the floor that is laid on it",
    why="Heat drives damp up into the floor: wood swells, glue lets go, joints lie in the wet.",
    unit="%",
    basis=Basis(
        kind="common practice",
        text="common practice in the trade: 2.0 % CM for cement screeds, 1.8 % where heated, as "
        "trade pages print it; all other numbers from memory; the covering's maker decides",
    ),
    subjects=subjects,
    check=check,
    limits=(
        at_most("cement", 1.8, "%", "most moisture of a cement screed or concrete, CM"),
        at_most("cement_under_tile", 2.0, "%", "the same below tile or stone, CM"),
        at_most("cement_by_weight", 3.3, "%", "cement or concrete by weight, from memory"),
        at_most("cement_under_tile_by_weight", 3.5, "%", "the same below tile, from memory"),
        at_most("calcium_sulphate", 0.3, "%", "calcium sulphate screed, CM, from memory"),
        at_most("calcium_sulphate_by_weight", 0.3, "%", "the same by weight, from memory"),
        at_most("timber", 12.0, "%", "most moisture of timber by weight, from memory"),
    ),
)
