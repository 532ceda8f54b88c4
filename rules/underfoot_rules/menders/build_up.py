"""Chooses coverings, films, overlays, underlays and barriers of those that suit each other."""

import math
from collections.abc import Iterator, Sequence
from typing import Any

from underfoot.api.facts import resist_covering, resist_overlay
from underfoot.api.plan import Covering, Film
from underfoot.api.rules import CannotTell, Edit, Mender, Proposal, ToMend, below, format_quantity
from underfoot_rules.build_up.covering_kinds import is_yielding
from underfoot_rules.build_up.covering_resistance import THINNEST
from underfoot_rules.coverings import coverings_over
from underfoot_rules.menders.laid import is_covered, is_cut, is_handed_over, is_laid
from underfoot_rules.menders.spelled import put, spell, stands, take_out, tidy
from underfoot_rules.menders.written import Path, change, look_up

# No more coverings or films are tried in the place of one.
_MOST_OTHERS = 4
# Boards that spread loads, as they are sold: common practice in the trade, no source.
_HARDBOARD_MM, _HARDBOARD_M2K_W = 6.0, 0.05
# Other heat is planned in steps of so much, W.
_STEP_W = 10.0
_LEAST_HEATER_W = 50.0


def choose_covering(found: ToMend) -> Iterator[Proposal]:
    """Propose another of the plan's coverings, those of the same kind first."""
    room = found.room_facts
    if is_covered(found.facts, room.id):
        return
    film = found.items[0] if found.items and found.items[0] in _films(found) else None
    areas = coverings_over(room, film)
    named = [area.covering.id for area in areas if area.covering.id in found.items]
    wrong = named or [area.covering.id for area in areas]
    for name in wrong:
        for other in _others(found, name):
            edits = _recover(found.data, room.id, name, other.id)
            if edits:
                yield Proposal(
                    says=f"Choose covering {_called(other)} in place of {name} for room {room.id}.",
                    edits=edits,
                )


def _others(found: ToMend, name: str) -> list[Covering]:
    coverings = found.facts.plan.materials.coverings
    others = [each for each in coverings.values() if each.id != name]
    others.sort(key=lambda each: each.kind != coverings[name].kind)
    return others[:_MOST_OTHERS]


def _recover(data: Any, room: str, name: str, other: str) -> tuple[Edit, ...]:
    path: Path = ("rooms", room, "covering")
    paths = [path] if look_up(data, path) == name else []
    areas = look_up(data, ("rooms", room, "coverings")) or []
    paths += [
        ("rooms", room, "coverings", place, "covering")
        for place, area in enumerate(areas)
        if area.get("covering") == name
    ]
    return tuple(Edit(op="replace", path=each, value=other) for each in paths)


def choose_film(found: ToMend) -> Iterator[Proposal]:
    """Propose another of the plan's films, as wide as the one that lies and cut alike."""
    room = found.room or ""
    films = _films(found)
    if is_cut(found.facts, room) or found.items[0] not in films:
        return
    film = films[found.items[0]]
    others = [
        each
        for each in films.values()
        if each.id != film.id and (each.width, each.cut_every) == (film.width, film.cut_every)
    ]
    others.sort(key=lambda each: abs(each.rated_w_m2 - film.rated_w_m2))
    for other in others[:_MOST_OTHERS]:
        edits = _relay(found.data, room, film.id, other.id)
        if edits:
            yield Proposal(
                says=f"Lay film {other.id} in place of {film.id} in room {room}.", edits=edits
            )


def choose_stronger_film(found: ToMend) -> Iterator[Proposal]:
    """Propose a film with more output for the one that lies in a room."""
    room = found.room_facts
    if is_cut(found.facts, room.id):
        return
    for film in {element.film.id: element.film for element in room.elements}.values():
        stronger = [
            each
            for each in _films(found).values()
            if each.rated_w_m2 > film.rated_w_m2
            and (each.width, each.cut_every) == (film.width, film.cut_every)
        ]
        for other in sorted(stronger, key=lambda each: each.rated_w_m2)[:_MOST_OTHERS]:
            edits = _relay(found.data, room.id, film.id, other.id)
            if edits:
                yield Proposal(
                    says=f"Lay film {other.id} in place of {film.id} in room {room.id}.",
                    edits=edits,
                )


def _films(found: ToMend) -> dict[str, Film]:
    return dict(found.facts.plan.materials.films)


def _relay(data: Any, room: str, name: str, other: str) -> tuple[Edit, ...]:
    return tuple(
        Edit(op="replace", path=("rooms", room, kind, each, "film"), value=other)
        for kind in ("rows", "elements")
        for each, told in (look_up(data, ("rooms", room, kind)) or {}).items()
        if told.get("film") == name
    )


def add_heat(found: ToMend) -> Iterator[Proposal]:
    """Propose another heater that gives what the floor cannot."""
    room = found.facts.plan.rooms[found.room or ""]
    finding = found.finding
    if finding.least is None or finding.measured is None or is_handed_over(found.facts):
        return
    short_w = max(_LEAST_HEATER_W, finding.least - finding.measured)
    more_w = math.ceil(short_w / _STEP_W - 1e-9) * _STEP_W
    path = ("rooms", room.id, "other_heat")
    already = ", with those that are there," if room.other_heat_w else ""
    total_w = (room.other_heat_w or 0.0) + more_w
    yield Proposal(
        says=f"Plan another heater in room {room.id}, of {format_quantity(more_w, 'W')}, which"
        f"{already} gives it {format_quantity(total_w, 'W')}."
        if already
        else f"Plan another heater in room {room.id} that gives it {format_quantity(more_w, 'W')}.",
        edits=(put(found.data, path, total_w, "W"),),
    )


def lay_loose(found: ToMend) -> Iterator[Proposal]:
    """Propose an overlay that is laid loose."""
    room = found.room or ""
    path: Path = ("rooms", room, "overlay", "fixing")
    if found.items == ("overlay",) and stands(found.data, path) and not _is_done(found):
        yield Proposal(
            says=f"Lay the overlay of room {room} loose, its boards joined to each other only.",
            edits=(change(found.data, path, "floating"),),
        )


def spread_loads(found: ToMend) -> Iterator[Proposal]:
    """Propose an overlay that spreads loads, or what makes the one that is there do so."""
    room = found.facts.plan.rooms[found.room or ""]
    path: Path = ("rooms", room.id, "overlay")
    if _is_done(found):
        return
    least = max(found.facts.limits["load-spreading"]["overlay"], _HARDBOARD_MM)
    overlay = room.overlay
    if overlay is None:
        yield Proposal(
            says=f"Lay boards of hardboard, {least:g} mm, loose over the membrane of room "
            f"{room.id}.",
            edits=(
                change(
                    found.data,
                    path,
                    {
                        "thickness": spell(least, "mm", 0),
                        "material": "hardboard",
                        "resistance": f"{_HARDBOARD_M2K_W * least / _HARDBOARD_MM:.2f} m2 K/W",
                        "fixing": "floating",
                    },
                ),
            ),
        )
        return
    edits, is_soft = [], overlay.material is not None and is_yielding(overlay.material)
    if is_soft:
        edits.append(change(found.data, (*path, "material"), "hardboard"))
    is_thin = overlay.thickness is not None and below(overlay.thickness, least)
    if is_thin:
        edits.append(put(found.data, (*path, "thickness"), least, "mm"))
    if edits and stands(found.data, path):
        made = f"of {'hardboard' if is_soft else overlay.material or 'the same boards'}"
        yield Proposal(
            says=f"Lay an overlay {made}, {least:g} mm thick, in room {room.id}."
            if is_thin
            else f"Lay an overlay {made} in room {room.id}.",
            edits=tuple(edits),
        )


def thin_underlay(found: ToMend) -> Iterator[Proposal]:
    """Propose an underlay of no more resistance than covering and overlay leave for it."""
    room = found.room_facts
    path: Path = ("rooms", room.id, "underlay")
    if room.drawn.underlay is None or not stands(found.data, path) or _is_done(found):
        return
    above = [resist_covering(area.covering) for area in coverings_over(room)]
    own = _add_up(above)
    beside = 0.0
    if room.drawn.overlay is not None:
        beside = _add_up([resist_overlay(room.drawn.overlay)]) or 0.0
    if own is None:
        return
    left = found.facts.limits["covering-resistance"]["maximum"] - own - beside
    allowed = math.floor(100 * left + 1e-6) / 100
    if below(allowed, THINNEST):
        return
    edits = [put(found.data, (*path, "resistance"), allowed, "m2 K/W")]
    if stands(found.data, (*path, "conductivity")):
        edits.append(take_out((*path, "conductivity")))
    yield Proposal(
        says=f"Choose an underlay of at most {tidy(allowed):g} m² K/W for room {room.id}.",
        edits=tuple(edits),
    )


def _add_up(layers: Sequence[Any]) -> float | None:
    known = [each for each in layers if not isinstance(each, CannotTell)]
    return max((each.resistance_m2k_w for each in known), default=None)


def lay_barrier(found: ToMend) -> Iterator[Proposal]:
    """Propose a damp barrier of a sheet that the plan has."""
    room = found.room or ""
    path: Path = ("rooms", room, "subfloor")
    if is_laid(found.facts, room) or not stands(found.data, path):
        return
    for name in list(found.facts.plan.materials.sheets)[:_MOST_OTHERS]:
        yield Proposal(
            says=f"Lay a damp barrier of {name} below the insulation of room {room}.",
            edits=(change(found.data, (*path, "barrier"), name),),
        )


def _is_done(found: ToMend) -> bool:
    return is_covered(found.facts, found.room)


def _called(covering: Covering) -> str:
    return f"{covering.id} ({covering.kind})" if covering.kind is not None else covering.id


_FILM_UNDER = ("covering-suits-film", "film-standard", "covering-output", "film-temperature")

MENDERS = (
    Mender(rule="covering-bond", propose=lay_loose),
    Mender(rule="covering-fixing", propose=lay_loose),
    Mender(rule="load-spreading", propose=spread_loads),
    Mender(rule="covering-resistance", propose=thin_underlay),
    *(
        Mender(rule=rule, propose=choose_covering)
        for rule in (*_FILM_UNDER, "covering-bond", "covering-fixing", "covering-resistance",
                     "load-spreading")
    ),
    *(
        Mender(rule=rule, propose=choose_film)
        for rule in (*_FILM_UNDER, "film-voltage", "protective-grid")
    ),
    Mender(rule="heat-demand", propose=choose_stronger_film),
    Mender(rule="heat-demand", propose=add_heat, first_only=True),
    Mender(rule="moisture-barrier", propose=lay_barrier),
)  # fmt: skip
