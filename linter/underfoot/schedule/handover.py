"""The hand-over: what was laid, how it is limited, what the customer must know, a form to sign."""

import math
from collections.abc import Iterator

from underfoot.checking.facts import Facts, RoomFacts
from underfoot.checking.facts.stack import resist_covering, resist_overlay, resist_underlay
from underfoot.checking.finding import CannotTell
from underfoot.checking.settings import Settings
from underfoot.schedule.document import Cell, Column, Part, Table
from underfoot.schedule.marks import Walls
from underfoot.schedule.strips import say_rcd, word

# Of a woven or tufted carpet, W/m/K; common in tables, from memory.
_CARPET_W_MK = 0.06
# Nobody lays a thinner one.
_THINNEST_RUG = 4.0


def schedule_handover(facts: Facts, settings: Settings | None) -> Part:
    """Put together what is left with the customer."""
    return Part(
        key="handover",
        title="Hand-over",
        says=(
            "For whoever lives with this floor. Keep it with the papers of the house, and show it "
            "to everybody who is to work on the floor. The drawing of each room belongs to it: the "
            "PDF and the page have it at their end.",
            *_list_warnings(facts, settings),
        ),
        tables=(
            _list_rooms(facts, settings),
            _list_circuits(facts),
            _list_joints(facts),
            _make_form(facts),
        ),
        closing=(
            "This form certifies nothing by itself, and nothing here says that the floor is safe "
            "or was tested: that is for the licensed electrician who has tested it, and who fills "
            "it in and signs it by the local wiring regulations.",
        ),
    )


def _served(settings: Settings | None, use: str) -> float | None:
    found = None if settings is None else settings.served(use)  # type: ignore[arg-type]
    return None if found is None else found.value


def _list_warnings(facts: Facts, settings: Settings | None) -> Iterator[str]:
    clear = _served(settings, "clear height")
    legs = f"legs of at least {clear:g} mm" if clear is not None else "legs"
    heated = ", ".join(room.id for room in facts.heated_rooms)
    rooms = f" ({heated})" if heated else ""
    yield (
        f"No furniture without feet on the heated floor{rooms}: only on {legs}, open all round. "
        "What is drawn as standing without feet has no film below it, and stays where it is drawn."
    )
    yield (
        "No rug thicker than the table says; no mattress, bean bag, pet's bed or pile of clothes: "
        "heat that cannot get out builds up until it scorches."
    )
    yield (
        "No nail, screw, staple or drill into the floor, and no door stop; nothing is glued or cut "
        "into it without the drawing at hand. The film is live, and lies right below the covering."
    )
    yield (
        "The floor limit is set for this covering. Another covering, underlay or carpet needs the "
        "plan looked at again before it is laid."
    )
    yield (
        "If an RCD or a breaker trips, if the floor smells, is damaged or gets wet from below: "
        "switch the heating off at the board, leave it off, and call a licensed electrician."
    )


def _list_rooms(facts: Facts, settings: Settings | None) -> Table:
    rows: list[tuple[Cell, ...]] = []
    for room in facts.heated_rooms:
        coverings = [each.covering for each in room.drawn.coverings]
        bears = [each.warmest_surface_c for each in coverings]
        known = [each for each in bears if each is not None]
        limits = [
            thermostat.floor_limit_c
            for name in facts.readers.get(room.id, ())
            if (thermostat := facts.plan.rooms[name].thermostat) is not None
        ]
        limit = next((each for each in limits if each is not None), None)
        rows.append(
            (
                room.id,
                ", ".join(dict.fromkeys(each.id for each in coverings)) or None,
                min(known) if known else None,
                limit,
                None,
                *find_rug(room, settings),
            )
        )
    return Table(
        key="floor_limits",
        named_by=("room",),
        title="Floor limits and rugs, by room",
        columns=(word("room"), word("covering"),
                 Column(key="bears_c", title="covering bears", unit="°C", decimals=1, trims=True),
                 Column(key="limit_c", title="limit planned", unit="°C", decimals=1, trims=True),
                 Column(key="set_c", title="limit as set", unit="°C", blank=True),
                 Column(key="rug_mm", title="rug at most", unit="mm", decimals=0),
                 word("rug_because", "because")),
        rows=tuple(rows),
        says=("A rug's thickness is reckoned at 0.06 W/m/K, as carpet has it (from memory), out of "
              "what may lie over the film less covering, underlay and overlay. A rug with a foam "
              "or felt back counts for more: ask first.",),
        if_empty="No strips are drawn.",
    )  # fmt: skip


def find_rug(room: RoomFacts, settings: Settings | None) -> tuple[float | None, str]:
    """Find how thick a rug may be, mm, and say how that was reckoned; 0 where none may lie."""
    most = _served(settings, "resistance over the film")
    if most is None:
        return 0.0, "no limit is known: none"
    drawn = room.drawn
    layers = [resist_covering(each.covering) for each in drawn.coverings]
    over = 0.0
    for lower in (
        None if drawn.overlay is None else resist_overlay(drawn.overlay),
        None if drawn.underlay is None else resist_underlay(drawn.underlay),
    ):
        if isinstance(lower, CannotTell):
            return 0.0, f"{lower.why}: none"
        over += 0.0 if lower is None else lower.resistance_m2k_w
    if not layers:
        return 0.0, "no covering is given: none"
    worst = 0.0
    for layer in layers:
        if isinstance(layer, CannotTell):
            return 0.0, f"{layer.why}: none"
        worst = max(worst, layer.resistance_m2k_w)
    left = most - over - worst
    said = f"{most:g} − {over + worst:.3g} m² K/W"
    thick = float(math.floor(max(0.0, left) * _CARPET_W_MK * 1000 + 1e-6))
    return (thick, said) if thick >= _THINNEST_RUG else (0.0, f"{said}: none")


def _list_circuits(facts: Facts) -> Table:
    return Table(
        key="circuit_schedule",
        title="Circuits at the board",
        columns=(word("circuit"), word("rooms"), word("breaker"), word("rcd", "RCD"),
                 Column(key="power_w", title="power", unit="W", decimals=0),
                 Column(key="current_a", title="current", unit="A", decimals=2),
                 word("thermostat", "thermostat of")),
        rows=tuple(
            (
                circuit.id,
                ", ".join(circuit.rooms),
                f"{own.breaker_a:g} A" if own.breaker_a else None,
                say_rcd(own),
                circuit.power_w,
                circuit.current_a,
                circuit.circuit.thermostat,
            )
            for protection in facts.protections.values()
            for circuit in protection.circuits
            for own in (protection.circuit,)
        ),
        if_empty="No circuit has strips.",
    )  # fmt: skip


def _list_joints(facts: Facts) -> Table:
    """List where conductors are joined to strips: nobody may cut or drill there, ever."""
    rows: list[tuple[Cell, ...]] = []
    for room in facts.heated_rooms:
        walls = Walls(room)
        seen: set[tuple[str | None, str | None]] = set()
        for lead in room.drawn.leads:
            for stop in lead.route:
                key = (stop.element, stop.end)
                place = room.place_of_stop(stop) if stop.kind == "strip" else None
                if place is None or key in seen:
                    continue
                seen.add(key)
                left, low = walls.measure(place, (-1.0, 0.0)), walls.measure(place, (0.0, -1.0))
                rows.append((room.id, lead.id, stop.element, stop.end, *left, *low))
    return Table(
        key="joints",
        title="Where the joints are",
        columns=(word("room"), word("lead"), word("strip"), word("end"),
                 word("left_wall", "from"),
                 Column(key="left_mm", title="distance", unit="mm", decimals=0),
                 word("lower_wall", "and from"),
                 Column(key="lower_mm", title="distance", unit="mm", decimals=0)),
        rows=tuple(rows),
        says=("Measured to the middle of the strip's end, along the two sides of the drawing; a "
              "connector sits on each busbar there.",),
        if_empty="No lead joins a strip.",
    )  # fmt: skip


def _make_form(facts: Facts) -> Table:
    job = facts.plan.job
    rcd = () if facts.plan.supply.is_selv else (("RCD tried with its button", "yes or no", None),)
    rows: list[tuple[Cell, ...]] = [
        ("site", job.site if job else None, None),
        ("drawing and revision", _say_drawing(facts), None),
        ("laid by", None, None),
        ("film laid", ", ".join(facts.films_in_use) or None, None),
        ("tests: the filled sheet is attached", "yes or no", None),
        ("differences from the drawing", None, None),
        ("floor limits set as in the table", "yes or no", None),
        *rcd,
        ("papers left with the customer", "yes or no", None),
        ("licensed electrician: name", None, None),
        ("licence", None, None),
        ("day", None, None),
        ("signature", None, None),
        ("customer: papers received, name and signature", None, None),
    ]
    return Table(
        key="form",
        title="Form for the electrician, to be filled in by hand",
        columns=(word("what"), word("planned", "as planned"),
                 Column(key="done", title="as done", blank=True)),
        rows=tuple(rows),
    )  # fmt: skip


def _say_drawing(facts: Facts) -> str | None:
    job = facts.plan.job
    if job is None:
        return None
    parts = (job.reference, f"revision {job.revision}" if job.revision else None, job.date)
    return ", ".join(part for part in parts if part) or None
