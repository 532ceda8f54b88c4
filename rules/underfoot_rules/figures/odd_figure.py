"""Figures that can hardly be meant: a unit left out, a digit too many, a size that is not made."""

from collections.abc import Iterable, Iterator, Sequence
from math import log
from typing import Any

from msgspec.structs import replace

from underfoot.api.facts import Facts
from underfoot.api.rules import Basis, Finding, Limits, Rule, Subject, Subjects, format_quantity
from underfoot_rules.figures import plausible
from underfoot_rules.figures.asking import Odd, ask, ask_about, list_ranged
from underfoot_rules.figures.plausible import Range
from underfoot_rules.figures.sizes import ask_fixture_side, ask_opening_width, ask_room_side
from underfoot_rules.figures.slips import SLIPS, write_figure


def subjects(facts: Facts) -> Subjects[Odd]:
    """Every figure of the table; only the odd ones need a look."""
    figures = list(_figures(facts))
    return Subjects(
        candidates=tuple(figure for figure in figures if figure is not None), total=len(figures)
    )


def check(subject: Subject[Odd], facts: Facts, limits: Limits) -> Finding | None:
    """Ask about the figure."""
    odd = subject.payload
    return Finding(message=odd.said, remedy=odd.remedy, severity=odd.severity)


def _figures(facts: Facts) -> Iterator[Subject[Odd] | None]:
    """Go over all figures; None stands for one that can be meant."""
    plan = facts.plan
    yield _supply_voltage(facts)
    yield from list_ranged(None, ("supply",), plan.supply, _supply_ranges(facts))
    if plan.supply.source is not None:
        yield from list_ranged(None, ("source",), plan.supply.source, plausible.SOURCE)
    for circuit in plan.circuits.values():
        yield _breaker(circuit)
        yield from list_ranged(None, (circuit.id,), circuit, plausible.CIRCUIT, circuit.id)
        if circuit.cable is not None:
            name = f"the cable of {circuit.id}"
            yield from list_ranged(None, (circuit.id,), circuit.cable, plausible.CABLE, name)
        for link in circuit.links:
            items = (circuit.id, link.start or "", link.end or "")
            name = f"the link of {circuit.id} from {link.start} to {link.end}"
            yield from list_ranged(None, items, link, plausible.CABLE, name)
    used = {*facts.films_in_use}
    for kind, ranges in (
        (plan.materials.films, plausible.FILM),
        (plan.materials.boards, plausible.BOARD),
        (plan.materials.sheets, plausible.SHEET),
        (plan.materials.coverings, plausible.COVERING),
    ):
        for name, thing in kind.items():
            if ranges is not plausible.FILM or name in used:
                yield from list_ranged(None, (name,), thing, ranges, name)
                if ranges is plausible.FILM:
                    yield _tolerance(thing)
                elif ranges is plausible.COVERING:
                    yield _implied(None, (name,), thing, f"covering {name}")
    if plan.packs is not None:
        yield from list_ranged(None, ("packs",), plan.packs, plausible.PACKS)
    for room in plan.rooms.values():
        side = ask_room_side(room)
        yield side
        # A room drawn in metres is one mistake, not one for each of its figures.
        if side is None or side.payload.severity != "error":
            yield from _room_figures(room)
    for test in plan.tests:
        yield from list_ranged(None, (test.circuit, test.stage), test, plausible.TEST, test.circuit)
    yield from _dates(facts)


def _supply_ranges(facts: Facts) -> tuple[Range, ...]:
    # A large building has more to spare, and more circuits.
    (available,) = plausible.SUPPLY
    return (replace(available, most=max(available.most, 32.0 * len(facts.plan.circuits))),)


def _room_figures(room: Any) -> Iterator[Subject[Odd] | None]:
    name = room.id
    yield from list_ranged(name, (), room, plausible.ROOM, name)
    yield _loss(room)
    for thing, ranges in (
        (room.underlay, plausible.UNDERLAY),
        (room.overlay, plausible.OVERLAY),
        (room.subfloor, plausible.SUBFLOOR),
        (room.fabric, plausible.FABRIC),
        (room.grid, plausible.GRID),
        (room.junction_box, plausible.JUNCTION_BOX),
        (room.thermostat, plausible.THERMOSTAT),
        (room.thermostat and room.thermostat.contactor, plausible.CONTACTOR),
        (room.sensor, plausible.SENSOR),
        (room.sensor and room.sensor.channel, plausible.CHANNEL),
        (room.sensor and room.sensor.conduit, plausible.CONDUIT),
    ):
        if thing is not None:
            yield from list_ranged(name, (), thing, ranges, name)
    yield _implied(name, (), room.underlay, "the underlay")
    yield _implied(name, (), room.overlay, "the overlay")
    for place, surface in enumerate(room.fabric.surfaces if room.fabric is not None else ()):
        yield from list_ranged(name, (str(place + 1),), surface, plausible.SURFACE, name)
    for place, layer in enumerate(room.subfloor.layers if room.subfloor is not None else ()):
        yield from list_ranged(name, (str(place + 1),), layer, plausible.SUBFLOOR_LAYER)
    for fixture in room.fixtures.values():
        yield ask_fixture_side(name, fixture)
        if fixture.clear != 0:  # which says that something of it comes down to the floor
            yield from list_ranged(name, (fixture.id,), fixture, plausible.FIXTURE, fixture.id)
    for opening in room.openings.values():
        yield ask_opening_width(name, opening)
        yield from list_ranged(name, (opening.id,), opening, plausible.OPENING, opening.id)
    for lead in room.leads:
        yield from list_ranged(name, (lead.id,), lead, plausible.LEAD, lead.id)
    yield from _strips(room)


def _strips(room: Any) -> Iterator[Subject[Odd] | None]:
    """Ask once for a row of strips, whose lengths are written side by side."""
    (length,) = plausible.STRIP
    asked: set[str] = set()
    for element in room.elements:
        item = element.row or element.id
        if length.least <= element.length <= length.most or item in asked:
            yield None
            continue
        asked.add(item)
        yield ask_about(room.id, (item,), element.path, length, element.length, element.id)


def _tolerance(film: Any) -> Subject[Odd] | None:
    """Ask about a tolerance that lets a damaged film's resistance pass, or a sound one's fail."""
    if film.tolerance is None:
        return None
    if all(
        least <= end <= most
        for end, (least, most) in zip(film.tolerance, plausible.TOLERANCE, strict=True)
    ):
        return None
    low, high = film.tolerance
    (least, _), (_, most) = plausible.TOLERANCE
    less, more = low - 100, high - 100
    meant = ", and write by how much the power may lie below and above what is rated."
    if least <= less <= 0 <= more <= most:
        meant = f": did you mean [{less:g}, {more:g}]?"
    said = (
        f"The tolerance of film {film.id} is {low:+g} % to {high:+g} %; {least:g} % to {most:+g} % "
        "is the most that is usual, with the rated power between."
    )
    remedy = f"Look at `tolerance` again{meant}"
    return ask(None, (film.id, "tolerance"), f"{film.path}.tolerance", said, remedy, "error")


def _implied(
    room: str | None, items: tuple[str, ...], thing: Any, name: str
) -> Subject[Odd] | None:
    """Ask about a resistance too small for the thickness: it makes the film too cool."""
    if thing is None or not thing.thickness or not thing.resistance_m2k_w:
        return None
    conductivity = thing.thickness / 1000 / thing.resistance_m2k_w
    if conductivity <= plausible.MOST_CONDUCTING_W_MK:
        return None
    said = (
        f"{name[0].upper()}{name[1:]} is {write_figure(thing.thickness, 'mm')} thick and resists "
        f"the heat with only {write_figure(thing.resistance_m2k_w, 'm2 K/W')}: it would conduct "
        f"{format_quantity(conductivity, 'W/m/K')}, more than any stone."
    )
    remedy = (
        "Look at `thickness` and `resistance` again: one is in another unit, or has a digit too "
        "many or too few."
    )
    return ask(room, (*items, "resistance"), f"{thing.path}.resistance", said, remedy)


def _one_of(made: Iterable[float], value: float) -> tuple[float, ...]:
    """Find the figures just below and above that are made."""
    below = [each for each in made if each < value]
    above = [each for each in made if each > value]
    return (*below[-1:], *above[:1])


def _supply_voltage(facts: Facts) -> Subject[Odd] | None:
    supply = facts.plan.supply
    volts = supply.voltage_v
    mains = supply.system == "mains"
    nominal: tuple[int, ...] = plausible.NETWORKS_V if mains else plausible.EXTRA_LOW_V
    # Too much voltage called SELV is another fault, and no slip of the pen.
    high = plausible.NETWORKS_V if volts > plausible.SELV_MOST_V else ()
    if _is_near(volts, (*nominal, *high)):
        return None
    if not mains:
        nominal = tuple(each for each in nominal if each <= plausible.SELV_MOST_V)
    slipped = [volts * slip for slip in SLIPS if _is_near(volts * slip, nominal)]
    near = slipped[:1] or _one_of(nominal, volts)
    likely = " or ".join(format_quantity(each, "V") for each in near)
    what = "network" if mains else "transformer"
    said = f"No {what} is made for a supply of {write_figure(volts, 'V')}."
    remedy = f"Look at `voltage` of the supply again: did you mean {likely}?"
    if mains and _is_near(volts, plausible.EXTRA_LOW_V):
        remedy += " Behind a safety transformer write `system: SELV`."
    return ask(None, ("supply", "voltage"), f"{supply.path}.voltage", said, remedy, "error")


def _is_near(volts: float, nominal: Iterable[float]) -> bool:
    return any(abs(volts - each) <= plausible.NEAR_NOMINAL * each for each in nominal)


def _breaker(circuit: Any) -> Subject[Odd] | None:
    rating = circuit.breaker_a
    if rating is None or rating in plausible.BREAKERS_A:
        return None
    near = _one_of(plausible.BREAKERS_A, rating)
    likely = " or ".join(format_quantity(each, "A") for each in near)
    said = (
        f"The breaker of circuit {circuit.id} is rated {format_quantity(rating, 'A')}: none is "
        "made so."
    )
    remedy = f"Look at `breaker` again: did you mean {likely}?"
    return ask(None, (circuit.id, "breaker"), f"{circuit.path}.breaker", said, remedy)


def _loss(room: Any) -> Subject[Odd] | None:
    if room.heat_loss_w is None:
        return None
    area_m2 = abs(_area(room.outline)) / 1e6
    least, most = plausible.LOSS_W_M2
    loss = room.heat_loss_w / area_m2
    if least <= loss <= most:
        return None
    slips = [slip for slip in SLIPS if least <= loss * slip <= most]
    said = (
        f"The heat loss of room {room.id} is {format_quantity(room.heat_loss_w, 'W')}, "
        f"{format_quantity(loss, 'W/m2')} of its floor; {format_quantity(least, 'W/m2')} to "
        f"{format_quantity(most, 'W/m2')} is usual."
    )
    meant = ", and write what is meant."
    if slips:
        likely = min(slips, key=lambda slip: abs(log(loss * slip / plausible.TYPICAL_LOSS_W_M2)))
        meant = f": did you mean {format_quantity(room.heat_loss_w * likely, 'W')}?"
    remedy = f"Look at `heat_loss` again{meant}"
    return ask(room.id, ("heat_loss",), f"{room.path}.heat_loss", said, remedy)


def _area(outline: Sequence[tuple[float, float]]) -> float:
    ends = zip(outline, (*outline[1:], outline[0]), strict=True)
    return sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in ends) / 2


def _dates(facts: Facts) -> Iterator[Subject[Odd] | None]:
    job, today = facts.plan.job, facts.today
    if today is None:
        return
    if job is not None and job.dated is not None:
        ahead_days = (job.dated - today).days
        if job.dated.year >= plausible.FIRST_YEAR and ahead_days <= plausible.DATE_AHEAD_DAYS:
            yield None
        else:
            said = f"The plan is dated {job.dated.isoformat()}; today is {today.isoformat()}."
            remedy = "Look at the year of `date` again."
            yield ask(None, ("job", "date"), f"{job.path}.date", said, remedy)
    for waiver in facts.plan.waivers:
        if waiver.until is None:
            continue
        if (waiver.until - today).days <= plausible.WAIVER_AHEAD_DAYS:
            yield None
            continue
        said = f"The waiver of {waiver.rule} runs until {waiver.until.isoformat()}."
        remedy = "Look at the year of `until` again."
        yield ask(None, (waiver.rule, "until"), f"{waiver.path}.until", said, remedy)


RULE = Rule(
    severities=("error", "warning"),
    finds="a figure that can hardly be meant: a unit left out, a digit too many, a rating or a "
    "voltage that nothing is made for",
    why="A slip of the pen can make every check that rests on the figure come out right.",
    basis=Basis(
        kind="own default",
        text="ranges of this project's own, wide enough for any sound floor; breakers by IEC "
        "60898-1, 5.3.2, and the sizes that North American makers add, from memory",
    ),
    subjects=subjects,
    check=check,
)
