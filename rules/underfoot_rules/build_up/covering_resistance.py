"""A covering with what lies below it that lets too little heat through."""

from __future__ import annotations

from collections.abc import Iterator

from underfoot.api import (
    CannotTell,
    CoveredArea,
    Facts,
    Finding,
    Layer,
    Limit,
    Limits,
    RoomFacts,
    Rule,
    Subject,
    above,
    listed,
    resist_covering,
    resist_overlay,
    resist_underlay,
    written,
    written_down,
)
from underfoot_rules.basis import standard
from underfoot_rules.covered import coverings_over, lacks_covering


def subjects(facts: Facts) -> tuple[Subject, ...]:
    """Every room with strips."""
    return facts.room_subjects


def check(subject: Subject, facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Compare covering and underlay together with the limit, the worst covering of the room."""
    room: RoomFacts = subject.thing
    rows: list[tuple[str, str]] = []
    beneath = 0.0
    unknown: CannotTell | None = None
    for below in _list_beneath(room):
        if isinstance(below, CannotTell):
            unknown = unknown or below
        else:
            own = below.resistance_m2k_w
            beneath += own
            rows.append((below.name, f"{written(own, 'm2 K/W')}, {below.said}"))
    worst: tuple[float, CoveredArea, tuple[str, str]] | None = None
    for area in coverings_over(room):
        layer = resist_covering(area.covering)
        if isinstance(layer, CannotTell):
            unknown = unknown or layer
            continue
        if worst is None or layer.resistance_m2k_w > worst[0]:
            row = (layer.name, f"{written(layer.resistance_m2k_w, 'm2 K/W')}, {layer.said}")
            worst = (layer.resistance_m2k_w, area, row)
    most = limits["maximum"]
    if worst is not None and above(worst[0] + beneath, most):
        return _finding(worst, beneath, most, (worst[2], *rows))
    return unknown or lacks_covering(room)


def _list_beneath(room: RoomFacts) -> Iterator[Layer | CannotTell]:
    if room.room.overlay is not None:
        yield resist_overlay(room.room.overlay)
    if room.room.underlay is not None:
        yield resist_underlay(room.room.underlay)


def _finding(
    worst: tuple[float, CoveredArea, tuple[str, str]],
    beneath: float,
    most: float,
    rows: tuple[tuple[str, str], ...],
) -> Finding:
    own, area, _ = worst
    name = area.covering.id
    names = [layer for layer, _ in rows[1:]] if beneath else []
    with_underlay = listed([f"Covering {name}", *names])
    resist = "resist" if beneath else "resists"
    left = most - own
    room_left = written_down(max(0.0, most - beneath), "m2 K/W")
    if not beneath or left <= 0:
        remedy = f"Choose a covering of at most {room_left}."
    else:
        least = {"the underlay": "an underlay", "the overlay": "an overlay"}
        remedy = (
            f"Choose {listed([least[each] for each in names])} of at most "
            f"{written_down(left, 'm2 K/W')} below {name}, or a covering of at most {room_left} "
            "above this one."
        )
    return Finding(
        message=f"{with_underlay} {resist} the heat with {{measured}}; at most {{limit}} should.",
        remedy=remedy,
        measured=own + beneath,
        most=most,
        limit_key="maximum",
        path=area.path,
        details=rows,
    )


RULE = Rule(
    id="covering-resistance",
    topic="build_up",
    severities=("warning",),
    finds="a covering that with its underlay lets too little heat through",
    why="Heat that cannot get up goes down, and the film below gets hotter.",
    unit="m2 K/W",
    basis=standard(
        "EN 1264-4, a standard for water systems, from memory; the maker's manual decides"
    ),
    subjects=subjects,
    check=check,
    module=__name__,
    limits=(
        Limit("maximum", 0.15, "m2 K/W", "greatest resistance of covering and underlay", "lower"),
    ),
)
