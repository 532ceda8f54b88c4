"""A cable, link or lead that cannot carry its current, or is said to carry more than it can."""

from underfoot.api.facts import Facts, Unknown
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limit,
    Limits,
    Rule,
    Subject,
    at_least,
    below,
    format_quantity,
    format_size,
)
from underfoot_rules.basis import standard
from underfoot_rules.circuits.capacity import (
    METHODS,
    TABLE_AMBIENT_C,
    Carrying,
    find_size,
)
from underfoot_rules.circuits.conducting import (
    Conductor,
    find_carrying,
    find_current_a,
    list_conductors,
)
from underfoot_rules.in_the_way import join_clauses, list_what_to_see_to
from underfoot_rules.trying import try_lead_size

ASIDE = (
    "not judged",
    "grouping with other cables, and burial in the building's insulation: both lower what a "
    "conductor can carry",
)


def check(subject: Subject[Conductor], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Compare the capacity with the current times the share that local practice asks for."""
    conductor = subject.payload
    found = find_carrying(conductor, limits)
    if isinstance(found, Unknown):
        return CannotTell(why=found.why, write=found.write)
    share = limits["of_current"] / 100
    # Nothing carries more than all strips together: most need no closer look.
    current_a = conductor.protection.current_a
    if below(found.sure_a, current_a * share):
        current_a = find_current_a(conductor, facts)
    if below(found.most_a, current_a * share):
        return _too_little(conductor, found, current_a, facts, limits)
    if found.is_overstated:
        return _overstated(conductor, found)
    if below(found.sure_a, current_a * share) and found.missing is not None:
        return CannotTell(why=found.missing.why, write=found.missing.write)
    return None


def _too_little(
    conductor: Conductor, found: Carrying, current_a: float, facts: Facts, limits: Limits
) -> Finding:
    asked_a = current_a * limits["of_current"] / 100
    drawn = "{limit}"
    if limits["of_current"] != 100:
        share = format_quantity(limits["of_current"], "%")
        drawn = f"{format_quantity(current_a, 'A')} × {share} = {{limit}}"
    at_most = "" if found.sure_a == found.most_a else "at most "
    remedy = _advise(conductor, asked_a, facts, limits)
    if found.most_a == 0 and found.stated_a != 0:
        remedy = "Take it where it is cooler: its insulation bears no current where it is so warm."
    return Finding(
        message=f"{_capital(conductor.name)} can carry {at_most}{{measured}}, but the strips "
        f"beyond it draw {drawn}.",
        remedy=remedy,
        measured=found.most_a,
        least=asked_a,
        limit_key="of_current" if limits["of_current"] != 100 else None,
        details=(("capacity", found.how), ASIDE),
        related=_related(conductor),
        rests_on=() if found.is_overstated else ("current",),
    )


def _overstated(conductor: Conductor, found: Carrying) -> Finding:
    size = format_size(conductor.size_mm2 or 0.0, conductor.size_text)
    return Finding(
        message=f"{_capital(conductor.name)} is said to carry {{measured}}, but {size} carries "
        "{limit} at most, however it lies.",
        remedy="Write the right `size`, or the `capacity` that was worked out for this size; where "
        "more is needed, take a larger size.",
        measured=found.stated_a,
        most=found.best_a,
        details=(
            ("at most", "the best row of table B.52.2, D1 among them, in air of 30 °C or ground of "
             "20 °C"),
        ),
        related=_related(conductor),
    )  # fmt: skip


def _capital(name: str) -> str:
    return name[0].upper() + name[1:]


def _related(conductor: Conductor) -> tuple[str, ...]:
    return () if conductor.path is None else (conductor.path,)


def _advise(conductor: Conductor, asked_a: float, facts: Facts, limits: Limits) -> str:
    """Name the smallest size that would do as the conductor lies."""
    if not facts.is_advised:
        return ""
    divide = "or divide the strips over more circuits"
    lead, cable = conductor.lead, conductor.cable
    if lead is not None:
        stated = lead.capacity_a is not None
        method, ambient_c = METHODS[round(limits["lead_method"])], limits["lead_ambient"]
    else:
        stated = cable is None or cable.method is None or cable.capacity_a is not None
        method = (cable.method if cable is not None else None) or ""
        ambient_c = TABLE_AMBIENT_C
        if cable is not None and cable.ambient_c is not None:
            ambient_c = cable.ambient_c
    if stated:
        return f"Take a larger size and have its capacity worked out anew, {divide}."
    size_mm2 = find_size(asked_a, method, ambient_c)
    if size_mm2 is None:
        return f"No size up to 10 mm² carries that: take one larger still, {divide}."
    brought = () if lead is None else try_lead_size(facts, lead.id, size_mm2)
    if brought:
        see_to = join_clauses(list_what_to_see_to(brought))
        return f"Divide the strips over more circuits, or take a larger size: then {see_to}."
    return f"Take {size_mm2:g} mm² or more, {divide}."


RULE = Rule(
    finds="a cable, link or lead that can carry less than its current, or that is said to carry "
    "more than its size ever can",
    why="A conductor that carries too much bakes its insulation for years, until it shorts.",
    unit="A",
    basis=standard(
        "IEC 60364-5-52, tables B.52.2 and B.52.14, two loaded conductors in PVC; how leads lie "
        "and how warm they get are own defaults; grouping, and burial in the building's "
        "insulation, are not judged"
    ),
    subjects=list_conductors,
    check=check,
    limits=(
        at_least("of_current", 100, "%", "share of its current that a conductor must carry"),
        Limit(
            key="lead_method",
            default=METHODS.index("A1"),
            unit="",
            means="how a lead lies, by reference method",
            stricter=None,
            choices=METHODS,
        ),
        at_least("lead_ambient", 40, "degC", "how warm it gets where leads lie"),
    ),
    electrical=True,
    protects_life=True,
)
