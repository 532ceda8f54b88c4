"""A soft, thin or brittle covering over soft boards without boards between that spread loads."""

from collections.abc import Iterator

from underfoot.api.facts import Facts, RoomFacts
from underfoot.api.plan import CoveredArea, Overlay
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    at_least,
    below,
    format_quantity,
)
from underfoot_rules.basis import common_practice
from underfoot_rules.build_up.covering_kinds import is_hard, is_yielding, tell_covering
from underfoot_rules.coverings import coverings_over

_WHY = {
    "soft": "is soft: a castor or a chair leg presses through it into the strips",
    "mineral": "is brittle: on boards that give way it breaks, and its edges press on the strips",
}


def subjects(facts: Facts) -> Iterator[Subject[tuple[RoomFacts, CoveredArea]]]:
    """Every covering over strips that lie on soft boards."""
    for room in facts.heated_rooms:
        insulation = room.drawn.insulation
        if insulation is None or (insulation.board and is_hard(insulation.board.material)):
            continue
        for area in coverings_over(room):
            yield Subject(
                room=room.id, items=(area.covering.id,), path=area.path, payload=(room, area)
            )


def check(
    subject: Subject[tuple[RoomFacts, CoveredArea]], facts: Facts, limits: Limits
) -> Finding | CannotTell | None:
    """Judge whether the covering spreads loads by itself, and else the overlay below it."""
    room, area = subject.payload
    needs = _needs_overlay(area, limits["stiff"])
    if needs is None:
        return None
    overlay = room.drawn.overlay
    if overlay is not None:
        faults = _judge_overlay(subject, overlay, limits["overlay"])
        if faults is None:
            return None
        return needs if isinstance(needs, CannotTell) else faults
    return needs


def _needs_overlay(area: CoveredArea, least: float) -> Finding | CannotTell | None:
    """Tell why the covering needs an overlay; None where it spreads loads by itself."""
    covering = area.covering
    like = tell_covering(covering.kind)
    remedy = (
        "Lay boards of hardboard, plywood or the like over the membrane (`overlay`), or choose a "
        "covering that is stiff in itself."
    )
    lies = f"Covering {covering.id} lies over strips on soft boards without an overlay; it"
    if like in _WHY:
        return Finding(message=f"{lies} {_WHY[like]}.", remedy=remedy, related=(covering.path,))
    thickness = covering.thickness
    if thickness is not None and below(thickness, least):
        return Finding(
            message=f"{lies} is {{measured}} thick, and spreads loads only from {{limit}} on.",
            remedy=remedy,
            measured=thickness,
            least=least,
            limit_key="stiff",
            related=(covering.path,),
        )
    if like is None:
        return CannotTell(
            why=f"whether covering {covering.id} spreads loads cannot be told from its kind",
            write=f"Write the `kind` of covering {covering.id} in plain words (laminate, vinyl "
            "plank), or the `overlay` below it.",
        )
    if thickness is None:
        return CannotTell(
            why=f"how thick covering {covering.id} is, is not given (`thickness`)",
            write=f"Write the `thickness` of covering {covering.id}.",
        )
    return None


def _judge_overlay(
    subject: Subject[tuple[RoomFacts, CoveredArea]], overlay: Overlay, least: float
) -> Finding | CannotTell | None:
    name = subject.items[0]
    if overlay.material is not None and is_yielding(overlay.material):
        return Finding(
            message=f"The overlay below covering {name} is of {overlay.material}, which gives way "
            "as the covering does.",
            remedy="Lay an overlay of hardboard, plywood or the like.",
            path=overlay.path,
        )
    if overlay.thickness is not None and below(overlay.thickness, least):
        return Finding(
            message=f"The overlay below covering {name} is {{measured}} thick; to spread loads it "
            "needs {limit}.",
            remedy=f"Lay one of {format_quantity(least, 'mm')} or more, in one layer or in two.",
            measured=overlay.thickness,
            least=least,
            limit_key="overlay",
            path=overlay.path,
        )
    for key, value in (("material", overlay.material), ("thickness", overlay.thickness)):
        if value is None:
            return CannotTell(
                why=f"the overlay's {key} is not given (`overlay.{key}`)",
                write=f"Write the overlay's `{key}`.",
            )
    return None


RULE = Rule(
    finds="a soft, thin or brittle covering over soft boards without an overlay that spreads loads",
    why="A point load on a soft floor kinks the film; a cracked busbar that carries current burns.",
    unit="mm",
    basis=common_practice(
        "what does not spread loads by itself lies on boards that do; the numbers are this "
        "project's own"
    ),
    subjects=subjects,
    check=check,
    protects_life=True,
    electrical=True,
    limits=(
        at_least("stiff", 6, "mm", "least thickness of a covering that spreads loads"),
        at_least("overlay", 5, "mm", "least thickness of an overlay, all layers together"),
    ),
)
