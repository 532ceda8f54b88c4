"""Too much voltage lost on the way to the farthest strip."""

from underfoot.api.facts import (
    Drop,
    Facts,
    ProtectionFacts,
    Sizes,
    Wiring,
    bound_drop_v,
    each_protection,
    find_all_boxes,
    find_all_wirings,
    gather_circuit_leads,
    solve_drop,
)
from underfoot.api.physics import conductors
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    above,
    at_most,
    below,
    format_quantity,
    join_names,
)
from underfoot_rules.basis import standard
from underfoot_rules.trying import try_lead_size


def check(
    subject: Subject[ProtectionFacts], facts: Facts, limits: Limits
) -> Finding | CannotTell | None:
    """Solve cable, leads and strips as a network of resistances, where a bound does not do."""
    protection = subject.payload
    supply_v = facts.plan.supply.voltage_v
    bound_v = bound_drop_v(
        protection, facts.once(gather_circuit_leads), facts.once(find_all_boxes)[protection.id]
    )
    all_fed = all(c.id in facts.fed for circuit in protection.circuits for c in circuit.elements)
    if bound_v is not None and all_fed and not above(100 * bound_v / supply_v, limits["maximum"]):
        return None
    wiring = facts.once(find_all_wirings)[protection.id]
    drop = solve_drop(wiring, supply_v)
    if drop is None:
        return CannotTell(
            why="no lead joins its strips to the junction box",
            write="Draw under `leads` what joins them to it.",
        )
    percent = _percent(supply_v, drop.strip_v)
    if above(percent, limits["maximum"]):
        return _finding(protection, wiring, drop, facts, limits)
    if drop.unknown:
        return CannotTell(why=drop.unknown[0].why, write=drop.unknown[0].write)
    if drop.unfed:
        unfed = join_names(drop.unfed, most=4)
        return CannotTell(
            why=f"no lead feeds {unfed}", write=f"Draw under `leads` what feeds {unfed}."
        )
    return None


def _finding(
    protection: ProtectionFacts, wiring: Wiring, drop: Drop, facts: Facts, limits: Limits
) -> Finding:
    supply_v = facts.plan.supply.voltage_v
    details = [
        ("lost in the cable", format_quantity(supply_v - drop.box_v, "V")),
        (
            f"lost in {'links and' if wiring.links else 'the'} leads",
            format_quantity(drop.box_v - drop.strip_v, "V"),
        ),
        ("current in the cable", format_quantity(drop.cable_a, "A")),
    ]
    left_out = [film.id for film in wiring.films_left_out]
    if left_out:
        details.append(
            (
                "left out",
                f"the busbars of strips fed through: {join_names(left_out)} gives no "
                "`busbar_resistance`",
            )
        )
    details += [("taken as nothing", unknown.why) for unknown in drop.unknown]
    details += [("not fed", name) for name in drop.unfed]
    return Finding(
        message=f"Of {format_quantity(supply_v, 'V')} only {format_quantity(drop.strip_v, 'V')} "
        f"reach strip {drop.strip}, the farthest on {protection.whose}: a drop of {{measured}}, "
        "where at most {limit} is allowed.",
        remedy=_remedy(protection, wiring, supply_v, facts, limits)
        + (" What is taken as nothing here adds to the drop." if drop.unknown else ""),
        measured=_percent(supply_v, drop.strip_v),
        most=limits["maximum"],
        limit_key="maximum",
        details=tuple(details),
        related=(wiring.elements[drop.strip].path,),
    )


def _remedy(
    protection: ProtectionFacts, wiring: Wiring, supply_v: float, facts: Facts, limits: Limits
) -> str:
    """Name the smallest cable, else the smallest leads with it, that would do."""
    if not facts.is_advised:
        return ""
    sizes = find_sizes(protection, wiring, supply_v, limits)
    if sizes is None:
        return "Divide the strips over more circuits, each with a cable of its own."
    if sizes.leads_mm2 is None:
        links = " and links no smaller" if wiring.links else ""
        return (
            f"A cable of {sizes.cable_mm2:g} mm²{links} would do; so would a shorter way, or less "
            "on it."
        )
    if any(try_lead_size(facts, lead.id, sizes.leads_mm2) for lead in wiring.leads):
        return "Larger leads would do where there is room for them; so would fewer strips."
    with_cable = f" and a cable of {sizes.cable_mm2:g} mm²" if sizes.cable_mm2 else ""
    return f"Leads of {sizes.leads_mm2:g} mm²{with_cable} would do; so would fewer strips."


def find_sizes(
    protection: ProtectionFacts, wiring: Wiring, supply_v: float, limits: Limits
) -> Sizes | None:
    """Find the smallest cable, else the smallest leads with it, that would do; None where none."""
    most, cable = limits["maximum"], protection.circuit.cable
    sizes = [
        size
        for size in conductors.list_sizes()
        if not below(size, limits.of("conductor-size")["smallest"])
    ]
    now_mm2 = cable.size_mm2 if cable is not None else None
    leads_mm2 = [lead.size_mm2 for lead in wiring.leads if lead.size_mm2 is not None]
    larger = [size for size in sizes if size > (now_mm2 or 0.0) + 1e-6]
    for size in larger:
        if _would_do(wiring, supply_v, most, Sizes(cable_mm2=size)):
            return Sizes(cable_mm2=size)
    for size in sizes:
        if leads_mm2 and size > max(leads_mm2) + 1e-6:
            for cable_mm2 in (now_mm2, *larger):
                both = Sizes(cable_mm2=cable_mm2, leads_mm2=size)
                if _would_do(wiring, supply_v, most, both):
                    return both
    return None


def _would_do(wiring: Wiring, supply_v: float, most: float, sizes: Sizes) -> bool:
    drop = solve_drop(wiring, supply_v, sizes)
    return drop is not None and not above(_percent(supply_v, drop.strip_v), most)


def _percent(supply_v: float, voltage_v: float) -> float:
    return 100 * (supply_v - voltage_v) / supply_v


RULE = Rule(
    severities=("warning",),
    finds="too great a drop from the board to the farthest strip",
    why="What is lost on the way heats the cable instead of the floor, and the last strips stay "
    "cool.",
    unit="%",
    basis=standard("IEC 60364-5-52, annex G (table G.52.1: 5 % for other uses than lighting)"),
    subjects=each_protection,
    check=check,
    limits=(at_most("maximum", 5, "%", "greatest drop from the board to the farthest strip"),),
    electrical=True,
)
