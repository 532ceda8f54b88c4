"""A lead that runs under a strip."""

from collections.abc import Iterator

import shapely

from underfoot.api.facts import (
    Facts,
    LaidLead,
    RoomFacts,
    cut_leads,
    hangs_on,
    make_lead_bodies,
    size_lead,
)
from underfoot.api.physics import bodies, rectangles
from underfoot.api.rules import (
    Finding,
    Limits,
    Rule,
    Subject,
    Subjects,
    above,
    at_most,
    format_at_least,
    format_quantity,
)
from underfoot_rules.basis import COMMON_PRACTICE

# A lead, a strip by its place in the room, and the length of the lead under it.
LeadUnder = tuple[RoomFacts, LaidLead, int, float]

# For more pairs than that vectors are quicker than a look at each.
_MOST_PAIRS = 512


def subjects(facts: Facts) -> Subjects[LeadUnder]:
    """Every lead with every strip of its room."""
    total = sum(len(room.leads) * len(room.elements) for room in facts.heated_rooms)
    return Subjects(candidates=tuple(_near(facts)), total=total)


def _near(facts: Facts) -> Iterator[Subject[LeadUnder]]:
    for room in facts.heated_rooms:
        for which, place, length in find_under_strips(room):
            lead = room.leads[which]
            yield Subject(
                room=room.id,
                items=(lead.lead.id, room.elements[place].id),
                path=lead.lead.path,
                payload=(room, lead, place, length),
            )


def check(subject: Subject[LeadUnder], facts: Facts, limits: Limits) -> Finding | None:
    """Find more of the lead, with its width, under the strip than the tolerance."""
    room, lead, place, length = subject.payload
    if not above(length, limits["tolerance"]):
        return None
    if facts.is_trial:
        return Finding(message="", remedy="", measured=length, most=limits["tolerance"])
    name, strip = subject.items
    size = size_lead(lead.lead)
    corners = room.strips[place]
    under = shapely.intersection(lead.line, shapely.buffer(corners, -rectangles.EDGE))
    if above(under.length, limits["tolerance"]):
        message = f"Lead {name} runs under strip {strip} for {{measured}}."
        shape = shapely.intersection(lead.line, corners)
    else:
        wide = format_quantity(size.width, "mm")
        message = (
            f"Lead {name} is {wide} wide and lies with a part of that under the edge of strip "
            f"{strip} for {{measured}}."
        )
        beside = shapely.buffer(corners, size.width / 2, join_style="mitre")
        shape = shapely.intersection(lead.line, beside)
    return Finding(
        message=message,
        remedy=f"Take {name} round {strip}: along the walls, in the border that no strip covers, "
        f"its middle at least {format_at_least(size.width / 2, 'mm')} from every strip, and to "
        "each strip from its end.",
        measured=length,
        most=limits["tolerance"],
        limit_key="tolerance",
        shape=shape,
        related=(room.elements[place].path,),
    )


@hangs_on("leads", "elements", "junction_box")
def find_under_strips(room: RoomFacts) -> tuple[tuple[int, int, float], ...]:
    """Find the leads that lie under strips with some of their width: lead, strip, length.

    Between joints a lead is drawn along the ends of strips, and lies beside them: there its width
    does not count, only its middle.
    """
    if not room.elements or not cut_leads(room).pieces or is_off_strips(room):
        return ()
    found = make_lead_bodies(room)
    count = len(room.elements)
    pairs, lengths = bodies.lengths_under(
        found.bodies, room.corners, lambda piece, strip: found.lies_beside_ends(piece, strip, count)
    )
    return tuple(
        (int(lead), int(strip), float(length))
        for (lead, strip), length in zip(pairs, lengths, strict=True)
    )


def is_off_strips(room: RoomFacts) -> bool:
    """Tell whether no lead lies under a strip with some of its width.

    Where a lead joins strips its width does not count at their ends.
    """
    cut = cut_leads(room)
    pieces, joined = cut.pieces, cut.joined
    count = len(room.elements)
    if len(pieces) * count > _MOST_PAIRS or not room.is_upright:
        return False
    strips = [
        (*box, *((0.0, 1.0) if element.along == "y" or element.angle_deg % 180.0 else (1.0, 0.0)))
        for box, element in zip(room.strip_boxes, room.elements, strict=True)
    ]
    for piece in pieces:
        (x, y), (to_x, to_y) = piece.start, piece.end
        half, owner, joints = piece.half, piece.owner, piece.joints
        low_x, high_x = (x, to_x) if x < to_x else (to_x, x)
        low_y, high_y = (y, to_y) if y < to_y else (to_y, y)
        for place, (left, bottom, right, top, along_x, along_y) in enumerate(strips):
            passes = joints == 2 or (joints == 1 and owner * count + place in joined)
            aside_x = -rectangles.EDGE / 2 if passes and along_x else half
            aside_y = -rectangles.EDGE / 2 if passes and along_y else half
            if (
                low_x <= right + aside_x
                and left - aside_x <= high_x
                and low_y <= top + aside_y
                and bottom - aside_y <= high_y
            ):
                return False
    return True


RULE = Rule(
    finds="a lead that lies under a strip with some of its width",
    why="A lead under a strip is heated from above by the strip and from within by its current.",
    unit="mm",
    basis=COMMON_PRACTICE,
    subjects=subjects,
    check=check,
    limits=(at_most("tolerance", 1, "mm", "length of lead that may lie under a strip"),),
    electrical=True,
    protects_life=True,
)
