"""A strip under furniture on legs too low to let the heat out, or under what lies flat."""

import shapely

from underfoot.api.facts import Facts, RoomFacts
from underfoot.api.plan import Fixture
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    Subjects,
    at_least,
    below,
)
from underfoot_rules.basis import own_default
from underfoot_rules.laying.may_lie import find_fixtures_over

# A strip by its place in the room, and a fixture with its outline.
StripUnder = tuple[RoomFacts, int, Fixture, shapely.Polygon]


def subjects(facts: Facts) -> Subjects[StripUnder]:
    """Every strip with every fixture of its room that is on legs or lies flat."""
    clear = facts.limits["covered-floor"]["clear"]
    total = 0
    near = []
    for room in facts.heated_rooms:
        total += len(room.elements) * (len(room.fixtures) - len(room.standing))
        for place, which in find_fixtures_over(room, clear):
            fixture, polygon = room.fixtures[which]
            element = room.elements[place]
            near.append(
                Subject(
                    room=room.id,
                    items=(element.id, fixture.id),
                    path=element.path,
                    payload=(room, place, fixture, polygon),
                )
            )
    return Subjects(candidates=near, total=total)


def check(
    subject: Subject[StripUnder], facts: Facts, limits: Limits
) -> Finding | CannotTell | None:
    """Compare the open height under the fixture, where it is known."""
    room, place, fixture, polygon = subject.payload
    if fixture.clear is None:
        return CannotTell(
            why=f"the clear height under {fixture.id} is not given",
            write=f"Write how much stays open under {fixture.id} (`clear`), 0 where anything of it "
            "hangs down to the floor.",
        )
    if not below(fixture.clear, limits["clear"]):
        return None
    strip = subject.items[0]
    how = "stands only {measured} above the floor; at least {limit} lets the heat out"
    mend = f"Give {fixture.id} legs that leave {{limit}} or more"
    if fixture.kind == "lying flat":
        how = "lies flat on it and keeps the heat in; at least {limit} of air lets it out"
        mend = f"Take {fixture.id} away"
    elif not fixture.clear:
        how = "comes down to the floor; at least {limit} of air lets the heat out"
    return Finding(
        message=f"Strip {strip} lies under {fixture.id}, which {how}.",
        remedy=f"{mend}, or leave no strip below it.",
        measured=fixture.clear,
        least=limits["clear"],
        limit_key="clear",
        shape=shapely.intersection(room.strips[place], polygon),
        related=(fixture.path,),
    )


RULE = Rule(
    finds="a strip under a fixture that lies flat, or on legs with too little open height",
    why="Heat that cannot get out from under furniture or fabric builds up until it scorches.",
    unit="mm",
    basis=own_default("heat must get out from under furniture"),
    subjects=subjects,
    check=check,
    protects_life=True,
    limits=(
        at_least("clear", 60, "mm", "least open height under a fixture", serves="clear height"),
    ),
)
