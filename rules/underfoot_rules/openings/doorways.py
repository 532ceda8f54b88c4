"""The doorways of a plan, those with screws in their floor, and what they are called."""

from collections.abc import Iterator
from typing import Any

from underfoot.api.facts import Facts, RoomFacts, floor_in
from underfoot.api.plan import Opening


def list_doorways(facts: Facts) -> Iterator[tuple[RoomFacts, Opening]]:
    """List the doors and passages of all rooms."""
    for room in facts.rooms.values():
        for opening in room.drawn.openings.values():
            if opening.is_walked_through:
                yield room, opening


def list_screwed(room: RoomFacts) -> list[tuple[Opening, Any]]:
    """List the doorways of a room whose threshold is screwed down, with their floor."""
    return [
        (opening, floor_in(room, opening))
        for opening in room.drawn.openings.values()
        if opening.is_walked_through and opening.threshold == "screwed"
    ]


def name_opening(opening: Opening) -> str:
    """Name a door or a passage in a sentence: by its kind, and its id where that says more."""
    return f"the {opening.kind}" if opening.id == opening.kind else f"{opening.kind} {opening.id}"
