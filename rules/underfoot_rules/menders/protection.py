"""Chooses breakers and RCDs that suit their circuits."""

from collections.abc import Iterator

from underfoot.api.facts import ProtectionFacts
from underfoot.api.physics import conductors
from underfoot.api.rules import Edit, Mender, Proposal, ToMend, above, below, join_names
from underfoot_rules.circuits.residual import RcdFacts, find_rcds
from underfoot_rules.menders.cables import strengthen
from underfoot_rules.menders.laid import is_handed_over
from underfoot_rules.menders.spelled import put, stands, take_out
from underfoot_rules.menders.written import change

# What RCDs for the protection of people are made with, mA.
RCDS_MA = (30.0, 10.0, 6.0)


def fit_breaker(found: ToMend) -> Iterator[Proposal]:
    """Propose the smallest standard ratings that carry the current, then stronger conductors."""
    protection = found.facts.protections[found.items[0]]
    if is_handed_over(found.facts):
        return
    asked_a = protection.current_a * found.facts.limits["breaker-rating"]["of_current"] / 100
    ratings = [each for each in conductors.STANDARD_RATINGS_A if not below(each, asked_a)][:2]
    for rating in ratings:
        if rating != protection.circuit.breaker_a:
            yield _fit(found, protection, rating)
    for rating in ratings[:1]:
        stronger = strengthen(found, protection, rating)
        if stronger:
            yield _fit(found, protection, rating, stronger)


def _fit(
    found: ToMend,
    protection: ProtectionFacts,
    rating: float,
    stronger: tuple[Proposal, ...] = (),
) -> Proposal:
    steps = list(stronger)
    if protection.circuit.breaker_a != rating:
        path = ("circuits", protection.id, "breaker")
        breaker = Proposal(
            says=f"Fit a breaker rated {rating:g} A to circuit {protection.id}.",
            edits=(put(found.data, path, rating, "A"),),
        )
        steps.insert(0, breaker)
    return Proposal(
        says=" ".join(step.says for step in steps),
        edits=tuple(edit for step in steps for edit in step.edits),
    )


def fit_rcd(found: ToMend) -> Iterator[Proposal]:
    """Propose an RCD of the greatest residual current that is allowed."""
    most_ma = found.facts.limits["rcd"]["maximum"]
    rated_ma = next((each for each in RCDS_MA if not above(each, most_ma)), None)
    if rated_ma is None or is_handed_over(found.facts):
        return
    rcd = _rcd_of(found, found.items[0])
    writers = [name for name in _writers(found, rcd) if _says(found, name, "rcd")]
    whose = rcd.whose if rcd.name is not None else f"circuit {found.items[0]}"
    yield Proposal(
        says=f"Protect {whose} by an RCD of {rated_ma:g} mA.",
        edits=tuple(
            put(found.data, ("circuits", name, "rcd"), rated_ma, "mA")
            for name in writers or [found.items[0]]
        ),
    )


def fit_hearing_rcd(found: ToMend) -> Iterator[Proposal]:
    """Propose an RCD of type A in the place of one of type AC."""
    if is_handed_over(found.facts):
        return
    rcd = _rcd_of(found, found.items[0])
    writers = [
        name
        for name in _writers(found, rcd)
        if found.facts.plan.circuits[name].rcd_type == "AC" and _says(found, name, "rcd_type")
    ]
    if writers:
        yield Proposal(
            says=f"Use an RCD of type A for {rcd.whose}.",
            edits=tuple(
                Edit(op="replace", path=("circuits", name, "rcd_type"), value="A")
                for name in writers
            ),
        )


def part_rcds(found: ToMend) -> Iterator[Proposal]:
    """Propose an RCD of its own for each circuit of a group behind one that leaks too much."""
    rcd = _rcd_of(found, found.items[0])
    if rcd.name is None or len(rcd.protections) < 2 or is_handed_over(found.facts):
        return
    edits = []
    for name in _writers(found, rcd):
        if _says(found, name, "rcd_group"):
            edits.append(take_out(("circuits", name, "rcd_group")))
    for protection in rcd.protections:
        for key, value in (("rcd", f"{rcd.rated_ma:g} mA"), ("rcd_type", rcd.type)):
            path = ("circuits", protection.id, key)
            if value is not None and not stands(found.data, path):
                edits.append(change(found.data, path, value))
    names = join_names([each.id for each in rcd.protections])
    yield Proposal(
        says=f"Give circuits {names} an RCD of {rcd.rated_ma:g} mA each.", edits=tuple(edits)
    )


def _rcd_of(found: ToMend, protection: str) -> RcdFacts:
    return next(
        rcd
        for rcd in found.facts.once(find_rcds)
        if any(each.id == protection for each in rcd.protections)
    )


def _writers(found: ToMend, rcd: RcdFacts) -> list[str]:
    """List the circuits with which a plan writes what an RCD is like."""
    if rcd.name is None:
        return [rcd.protections[0].id]
    circuits = found.facts.plan.circuits
    return [name for name, each in circuits.items() if each.rcd_group == rcd.name]


def _says(found: ToMend, circuit: str, key: str) -> bool:
    return stands(found.data, ("circuits", circuit, key))


MENDERS = (
    Mender(rule="breaker-rating", propose=fit_breaker),
    Mender(rule="rcd", propose=fit_rcd),
    Mender(rule="rcd-type", propose=fit_hearing_rcd),
    Mender(rule="rcd-leakage", propose=part_rcds),
)
