"""A breaker that is missing, too small for the current, or too large for the conductors."""

from math import inf

from msgspec import Struct
from msgspec.structs import replace

from underfoot.api.facts import Facts, ProtectionFacts, Unknown, each_protection
from underfoot.api.physics import conductors
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Severity,
    Subject,
    above,
    at_least,
    at_most,
    format_quantity,
    join_names,
)
from underfoot_rules.basis import standard
from underfoot_rules.circuits.capacity import Carrying
from underfoot_rules.circuits.conducting import (
    Conductor,
    conductors_of,
    find_carrying,
    find_current_a,
)

NO_OVERLOAD = standard(
    "IEC 60364-4-43, 433.3 and 434: no overload protection is asked for where the load cannot "
    "overload the conductor; that fixed heating is such a load is common practice"
)


class Known(Struct, frozen=True, kw_only=True):
    """What the conductors behind one protection carry, and which of them are not known."""

    carrying: tuple[tuple[Conductor, Carrying], ...]
    unknown: tuple[tuple[Conductor, Unknown], ...]

    @property
    def sure_a(self) -> float:
        """The least that one surely carries, in A."""
        return min((each.sure_a for _, each in self.carrying), default=inf)

    @property
    def weakest(self) -> tuple[Conductor, Carrying]:
        """The one that carries least at best."""
        return min(self.carrying, key=lambda each: each[1].most_a)


class Verdict(Struct, frozen=True, kw_only=True):
    """What a breaker above a conductor comes to; `severity` None where the plan does not tell.

    `at_any_load`: the breaker is above all that the tables give for the conductor's size.
    """

    conductor: Conductor
    carrying: Carrying
    current_a: float
    severity: Severity | None
    worst: Severity = "error"
    at_any_load: bool = False


def check(
    subject: Subject[ProtectionFacts], facts: Facts, limits: Limits
) -> Finding | CannotTell | None:
    """Ask that current, breaker and conductors rise in that order."""
    protection = subject.payload
    asked_a = protection.current_a * limits["of_current"] / 100
    known = _gather(protection, facts, limits)
    breaker_a = protection.circuit.breaker_a
    if breaker_a is None:
        return Finding(
            message=f"No breaker is given for {protection.whose}, which draws "
            f"{_drawn(protection, limits)}.",
            remedy=_fitting(asked_a, known),
        )
    verdicts = [
        _judge(conductor, carrying, breaker_a, facts, limits)
        for conductor, carrying in known.carrying
        if above(breaker_a, carrying.sure_a)
    ]
    hopeless = [each for each in verdicts if each.at_any_load]
    if hopeless:
        return _too_large(protection, hopeless, breaker_a, known, asked_a)
    if above(asked_a, breaker_a):
        return Finding(
            message=f"The breaker of {protection.whose} is rated {{limit}}, but the strips draw "
            f"{_drawn(protection, limits, breaker_a)}.",
            remedy=_fitting(asked_a, known),
            measured=asked_a,
            most=breaker_a,
            limit_key="of_current" if limits["of_current"] != 100 else None,
            details=_details(protection),
            rests_on=("current",),
        )
    wrong = [each for each in verdicts if each.severity == "error"]
    if wrong:
        too_large = _too_large(protection, wrong, breaker_a, known, asked_a)
        return replace(too_large, rests_on=("current",))
    if known.unknown:
        return CannotTell(why=known.unknown[0][1].why, write=known.unknown[0][1].write)
    open_points = [each for each in verdicts if each.severity is None]
    if any(each.worst == "error" for each in open_points):
        return _cannot_tell(next(each for each in open_points if each.worst == "error"))
    doubtful = [each for each in verdicts if each.severity == "warning"]
    if doubtful:
        return _above_the_load(protection, doubtful, breaker_a, known, asked_a, limits)
    return _cannot_tell(open_points[0]) if open_points else None


def _gather(protection: ProtectionFacts, facts: Facts, limits: Limits) -> Known:
    found = [(each, find_carrying(each, limits)) for each in conductors_of(protection, facts)]
    return Known(
        carrying=tuple((each, carries) for each, carries in found if isinstance(carries, Carrying)),
        unknown=tuple((each, carries) for each, carries in found if isinstance(carries, Unknown)),
    )


def _judge(
    conductor: Conductor, carrying: Carrying, breaker_a: float, facts: Facts, limits: Limits
) -> Verdict:
    """Judge a breaker above what a conductor surely carries: may the load ever overload it?

    Above all that the tables give for the size, or above a figure without a size, no load excuses.
    """
    current_a = find_current_a(conductor, facts)
    best_a = carrying.most_a if carrying.best_a == inf else max(carrying.best_a, carrying.most_a)
    share = limits["overload_share"] / 100
    severity: Severity | None
    if above(breaker_a, best_a):
        return Verdict(
            conductor=conductor,
            carrying=carrying,
            current_a=current_a,
            severity="error",
            at_any_load=True,
        )
    if above(breaker_a, carrying.most_a):
        fits_best = not above(current_a, carrying.most_a * share)
        fits_sure = not above(current_a, carrying.sure_a * share)
        severity = "warning" if fits_sure else None if fits_best else "error"
    else:
        severity = None
        if not above(current_a, carrying.sure_a * share):
            return Verdict(
                conductor=conductor,
                carrying=carrying,
                current_a=current_a,
                severity=None,
                worst="warning",
            )
    return Verdict(conductor=conductor, carrying=carrying, current_a=current_a, severity=severity)


def _cannot_tell(verdict: Verdict) -> CannotTell:
    missing = verdict.carrying.missing
    if missing is None:
        raise ValueError(f"{verdict.conductor.name} is known")
    return CannotTell(why=missing.why, write=missing.write, worst=verdict.worst)


def _too_large(
    protection: ProtectionFacts,
    wrong: list[Verdict],
    breaker_a: float,
    known: Known,
    asked_a: float,
) -> Finding:
    worst = min(wrong, key=lambda each: each.carrying.most_a)
    best_a, most_a = worst.carrying.best_a, worst.carrying.most_a
    load = f", and its strips draw {format_quantity(worst.current_a, 'A')}"
    if above(breaker_a, best_a):
        larger = f"its size at most {format_quantity(best_a, 'A')}, "
        load = f", and {larger if above(best_a, most_a) else 'no more '}however it lies"
    only = "only" if worst.carrying.sure_a == most_a else "at most"
    return Finding(
        message=f"The breaker of {protection.whose} is rated {{measured}}, but "
        f"{worst.conductor.name} can carry {only} {{limit}}{load}.",
        remedy=_fitting(asked_a, known),
        measured=breaker_a,
        most=worst.carrying.most_a,
        details=tuple((each.conductor.name, each.carrying.how) for each in wrong),
    )


def _above_the_load(
    protection: ProtectionFacts,
    doubtful: list[Verdict],
    breaker_a: float,
    known: Known,
    asked_a: float,
    limits: Limits,
) -> Finding:
    worst = min(doubtful, key=lambda each: each.carrying.sure_a)
    share = format_quantity(limits["overload_share"], "%")
    return Finding(
        message=f"The breaker of {protection.whose} is rated {{measured}}, above the {{limit}} "
        f"that {worst.conductor.name} can carry. Its strips draw "
        f"{format_quantity(worst.current_a, 'A')}, "
        f"less than {share} of that, and cannot draw more: the breaker then guards against short "
        "circuits, not against overload.",
        remedy=f"{_fitting(asked_a, known)} Else see to it that nothing but these strips is ever "
        "fed through it, and let the electrician confirm that the breaker clears a short circuit "
        "at its far end.",
        measured=breaker_a,
        most=worst.carrying.most_a,
        severity="warning",
        basis=NO_OVERLOAD,
        details=tuple((each.conductor.name, each.carrying.how) for each in doubtful),
        rests_on=("current",),
    )


def _fitting(asked_a: float, known: Known) -> str:
    """Name the standard rating that suits both, or what must be stronger for one.

    No rating is named that a conductor might not bear of which the plan does not say enough.
    """
    least = conductors.find_rating_at_least(asked_a)
    if least is None:
        return "Divide the strips over more circuits: no standard rating carries so much."
    unsure = [each.name for each, _ in known.unknown]
    unsure += [
        conductor.name
        for conductor, carries in known.carrying
        if carries.sure_a < carries.most_a and above(least, carries.sure_a)
        and not above(least, carries.most_a)
    ]  # fmt: skip
    if unsure:
        return (
            f"The current asks for a breaker rated {least:g} A at least. Find out first what "
            f"{join_names(list(dict.fromkeys(unsure)))} can carry, and write it into the plan: no "
            "breaker may be chosen before."
        )
    if least <= known.sure_a + 1e-6:
        most = conductors.find_rating_at_most(known.sure_a) if known.sure_a != inf else None
        if most is None or most == least:
            return f"Use a breaker rated {least:g} A."
        return f"Use a breaker rated {least:g} A, or up to {most:g} A."
    weakest, carries = known.weakest
    if carries.most_a == 0:
        return (
            f"The current asks for a breaker rated {least:g} A, but {weakest.name} can carry "
            "nothing where it is so warm: take it where it is cooler."
        )
    only = "only" if carries.sure_a == carries.most_a else "at most"
    return (
        f"The current asks for a breaker rated {least:g} A, but {weakest.name} can carry {only} "
        f"{format_quantity(carries.most_a, 'A')}: make that stronger too, or divide the strips "
        "over more circuits."
    )


def _drawn(protection: ProtectionFacts, limits: Limits, apart_from: float | None = None) -> str:
    share = limits["of_current"]
    drawn = format_quantity(protection.current_a, "A", apart_from)
    if share == 100:
        return drawn if apart_from is None else "{measured}"
    asked = (
        format_quantity(protection.current_a * share / 100, "A")
        if apart_from is None
        else "{measured}"
    )
    return f"{drawn} × {format_quantity(share, '%')} = {asked}"


def _details(protection: ProtectionFacts) -> tuple[tuple[str, str], ...]:
    if len(protection.circuits) < 2:
        return ()
    return tuple(
        (f"circuit {c.id}", format_quantity(c.current_a, "A")) for c in protection.circuits
    )


RULE = Rule(
    severities=("error", "warning"),
    finds="protection without a breaker, or a breaker too small for the current or too large for "
    "the conductors",
    why="Too small it trips on a cold evening; too large it lets the cable burn before it trips.",
    unit="A",
    basis=standard("IEC 60364-4-43, 433.1"),
    subjects=each_protection,
    check=check,
    limits=(
        at_least("of_current", 100, "%", "share of the current that a breaker is sized for"),
        at_most(
            "overload_share",
            80,
            "%",
            "share of what a conductor carries up to which its strips cannot overload it",
        ),
    ),
    electrical=True,
    protects_life=True,
)
