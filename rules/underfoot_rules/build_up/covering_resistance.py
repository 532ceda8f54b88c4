"""A covering with what lies below it that lets too little heat through."""

from collections.abc import Iterator

from underfoot.api.facts import (
    Facts,
    Layer,
    RoomFacts,
    each_room,
    resist_covering,
    resist_overlay,
    resist_underlay,
)
from underfoot.api.plan import CoveredArea
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    above,
    at_most,
    below,
    format_at_most,
    format_quantity,
    join_names,
)
from underfoot_rules.basis import standard
from underfoot_rules.coverings import coverings_over, lacks_covering

# Nothing that is laid resists less, m2 K/W: 2 mm of a dense underlay or 10 mm of tile have so much.
THINNEST = 0.008


def check(subject: Subject[RoomFacts], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Compare covering and underlay together with the limit, the worst covering of the room."""
    room = subject.payload
    rows: list[tuple[str, str]] = []
    beneath = 0.0
    unknown: CannotTell | None = None
    for lower in _list_beneath(room):
        if isinstance(lower, CannotTell):
            unknown = unknown or lower
        else:
            own = lower.resistance_m2k_w
            beneath += own
            rows.append((lower.name, f"{format_quantity(own, 'm2 K/W')}, {lower.said}"))
    worst: tuple[float, CoveredArea, tuple[str, str]] | None = None
    for area in coverings_over(room):
        layer = resist_covering(area.covering)
        if isinstance(layer, CannotTell):
            unknown = unknown or layer
            continue
        if worst is None or layer.resistance_m2k_w > worst[0]:
            row = (layer.name, f"{format_quantity(layer.resistance_m2k_w, 'm2 K/W')}, {layer.said}")
            worst = (layer.resistance_m2k_w, area, row)
    most = limits["maximum"]
    if worst is not None and above(worst[0] + beneath, most):
        return _finding(worst, beneath, most, (worst[2], *rows))
    return unknown or lacks_covering(room)


def _list_beneath(room: RoomFacts) -> Iterator[Layer | CannotTell]:
    if room.drawn.overlay is not None:
        yield resist_overlay(room.drawn.overlay)
    if room.drawn.underlay is not None:
        yield resist_underlay(room.drawn.underlay)


def _finding(
    worst: tuple[float, CoveredArea, tuple[str, str]],
    beneath: float,
    most: float,
    rows: tuple[tuple[str, str], ...],
) -> Finding:
    own, area, _ = worst
    name = area.covering.id
    names = [layer for layer, _ in rows[1:]] if beneath else []
    with_underlay = join_names([f"Covering {name}", *names])
    resist = "resist" if beneath else "resists"
    if not beneath:
        remedy = f"Choose a covering of at most {format_at_most(most, 'm2 K/W')}."
    else:
        remedy = _advise_layers(names, name, most - own, most - beneath, most)
    return Finding(
        message=f"{with_underlay} {resist} the heat with {{measured}}; at most {{limit}} should.",
        remedy=remedy,
        measured=own + beneath,
        most=most,
        limit_key="maximum",
        path=area.path,
        details=rows,
    )


def _advise_layers(
    names: list[str], covering: str, left_below: float, left_above: float, most: float
) -> str:
    """Say what may lie below the covering, and above what lies there, where anything may."""
    least = {"the underlay": "an underlay", "the overlay": "an overlay"}
    layers = join_names([least[each] for each in names])
    other = []
    if not below(left_below, THINNEST):
        other.append(f"{layers} of at most {format_at_most(left_below, 'm2 K/W')} below {covering}")
    if not below(left_above, THINNEST):
        this = "this one" if len(names) == 1 else "these"
        other.append(f"a covering of at most {format_at_most(left_above, 'm2 K/W')} above {this}")
    if other:
        return f"Choose {', or '.join(other)}."
    return f"Choose a covering and {layers} of at most {format_at_most(most, 'm2 K/W')} together."


RULE = Rule(
    severities=("warning",),
    finds="a covering that with its underlay lets too little heat through",
    why="Heat that cannot get up goes down, and the film below gets hotter.",
    unit="m2 K/W",
    basis=standard(
        "EN 1264-4, a standard for water systems, from memory; the maker's manual decides"
    ),
    subjects=each_room,
    check=check,
    limits=(
        at_most(
            "maximum",
            0.15,
            "m2 K/W",
            "greatest resistance of covering and underlay",
            serves="resistance over the film",
        ),
    ),
)
