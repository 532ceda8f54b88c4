"""An RCD of a type that is blind to what the electronics behind it may leak."""

from underfoot.api.facts import Facts
from underfoot.api.rules import Finding, Limits, Rule, Subject
from underfoot_rules.basis import common_practice
from underfoot_rules.circuits.residual import RcdFacts, find_rcds


def subjects(facts: Facts) -> tuple[Subject[RcdFacts], ...]:
    """Every RCD whose type is given; none where the supply is SELV."""
    if facts.plan.supply.is_selv:
        return ()
    return tuple(
        Subject(
            room=None,
            items=tuple(each.id for each in rcd.protections),
            path=rcd.protections[0].path,
            payload=rcd,
        )
        for rcd in facts.once(find_rcds)
        if rcd.type is not None
    )


def check(subject: Subject[RcdFacts], facts: Facts, limits: Limits) -> Finding | None:
    """Type AC hears alternating current alone."""
    rcd = subject.payload
    if rcd.type != "AC":
        return None
    return Finding(
        message=f"The RCD of {rcd.whose} is of type AC, which trips on alternating current alone; "
        "a thermostat or a controller with electronics behind it may leak pulsating direct "
        "current.",
        remedy="Use an RCD of type A, and state it: `rcd_type: A`.",
    )


RULE = Rule(
    severities=("warning",),
    finds="an RCD of type AC over a heating circuit",
    why="Direct current in the fault can leave an RCD of type AC deaf when it is needed.",
    basis=common_practice(
        "thermostats hold electronics, and several countries no longer allow type AC in new work"
    ),
    subjects=subjects,
    check=check,
    electrical=True,
)
