"""Both revisions of a room drawn over each other: what is gone, what is new, what stayed.

The old one is drawn in dashes and the new one in full lines, so that the two are told apart
without colour.
"""

from collections.abc import Iterable, Sequence

from underfoot.checking.facts import Facts, RoomFacts
from underfoot.comparing import Change
from underfoot.comparing.page.names import BULB, NEW_INK, OLD_INK, draw_names
from underfoot.comparing.page.overlay_signs import Ground, Sign, draw_signs
from underfoot.comparing.page.things import (
    Changed,
    changed_items,
    is_moved,
    middle_of,
    strips_of,
    whole_room,
)
from underfoot.drawing import pens
from underfoot.drawing.lettering import FAMILY
from underfoot.drawing.occupancy import nothing_taken
from underfoot.drawing.scene import find_extent
from underfoot.drawing.sheets import Box, View, look_at
from underfoot.drawing.svg import Point, area, box, circle, clean, escape, group, line, number, tag

STAYED = "#8a929c"
OLD_GROUND = "#fbeade"
NEW_GROUND = "#dcebf8"
_DASHES = "2 1.2"
_WIDTH = 160.0
_MARGIN = 5.0


def draw_overlay(
    both: tuple[Facts | None, Facts | None],
    room: str,
    changes: Iterable[Change],
    title: str,
    signs: Iterable[Sign] = (),
) -> tuple[str, list[Sign]]:
    """Draw a room of two plans as SVG; one of the two may lack it. Give also the signs shown."""
    old, new = (
        facts.rooms[room] if facts is not None and room in facts.rooms else None for facts in both
    )
    sides = [side for side in (old, new) if side is not None]
    extents = [find_extent(side) for side in sides]
    extent = (
        min(each[0] for each in extents),
        min(each[1] for each in extents),
        max(each[2] for each in extents),
        max(each[3] for each in extents),
    )
    wide, high = extent[2] - extent[0], extent[3] - extent[1]
    inner = _WIDTH - 2 * _MARGIN
    height = inner * min(max(high / wide, 0.3), 2.0) + 2 * _MARGIN
    whole = Box(left=0.0, top=0.0, width=_WIDTH, height=height)
    within = whole.inset(_MARGIN, _MARGIN, _MARGIN, _MARGIN)
    view = look_at(extent, within, max(wide / within.width, high / within.height))
    if old is None or new is None:
        changed = whole_room(sides[0], "taken away" if new is None else "added")
    else:
        changed = changed_items(changes, room)
    moves = _moves(view, old, new, changed)
    taken = nothing_taken()
    names = draw_names(view, old, new, changed, moves, taken)
    ground = Ground(extent=extent, view=view, whole=whole, taken=taken)
    revisions = dict(zip(("old", "new"), both, strict=True))
    signed, shown = draw_signs(ground, revisions, room, signs)
    drawn = [
        group(_stayed(view, new or sides[0], changed), class_="stayed"),
        group(_grounds(view, old, changed, OLD_GROUND) if old else "", class_="old"),
        group(_grounds(view, new, changed, NEW_GROUND) if new else "", class_="new"),
        group(_side(view, new, changed, is_old=False) if new else "", class_="new"),
        group(_side(view, old, changed, is_old=True) if old else "", class_="old"),
        group("".join(_arrow(*way) for way in moves), class_="new"),
        names,
        signed,
    ]
    svg = tag(
        "svg",
        tag("title", escape(clean(title))),
        *drawn,
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {number(_WIDTH)} {number(height)}",
        font_family=FAMILY,
        # A picture has no parts that could be links.
        role="group" if shown else "img",
        class_="overlay",
    )
    return svg, shown


def _stayed(view: View, facts: RoomFacts, changed: Changed) -> str:
    """What is in place as it was, in grey, and the walls of the new revision."""
    room = facts.drawn
    parts = [area(view.places(room.outline), fill=pens.PAPER, stroke="none")]
    for fixture in room.fixtures.values():
        if ("fixture", fixture.id) not in changed:
            parts.append(_fixture(view, fixture.outline, STAYED, "#e6e8eb", None))
    for name, corners in strips_of(facts).items():
        if not is_moved(changed, "strip", name):
            parts.append(
                area(view.places(corners), fill="#f6f7f8", stroke=STAYED, stroke_width=0.25)
            )
    for laid in facts.leads:
        if ("lead", laid.lead.id) not in changed and len(laid.places) > 1:
            parts.append(line(view.places(laid.places), stroke=STAYED, stroke_width=0.4))
    if ("sensor", "") not in changed and room.sensor is not None:
        parts.append(_bulb(view, room.sensor.at, STAYED, None))
    if ("junction box", "") not in changed and facts.box is not None:
        parts.append(_square(view, facts.box, STAYED, None))
    if ("outline", "") not in changed:
        parts.append(
            area(view.places(room.outline), fill="none", stroke=pens.INK, stroke_width=0.6)
        )
    return "".join(parts)


def _grounds(view: View, facts: RoomFacts, changed: Changed, ground: str) -> str:
    """The ground of a side's strips, below the lines of both."""
    return "".join(
        area(view.places(corners), fill=ground, fill_opacity=0.75)
        for name, corners in strips_of(facts).items()
        if is_moved(changed, "strip", name)
    )


def _side(view: View, facts: RoomFacts, changed: Changed, *, is_old: bool) -> str:
    ink, dashes = (OLD_INK, _DASHES) if is_old else (NEW_INK, None)
    parts = []
    room = facts.drawn
    for name, corners in strips_of(facts).items():
        if is_moved(changed, "strip", name):
            parts.append(
                area(
                    view.places(corners),
                    fill="none",
                    **pens.pen(ink, 0.5),
                    stroke_dasharray=dashes,
                    data_item=name,
                )
            )
    for fixture in room.fixtures.values():
        if ("fixture", fixture.id) in changed:
            parts.append(_fixture(view, fixture.outline, ink, "none", dashes))
    for joint in room.joints.values():
        if ("joint", joint.id) in changed:
            parts.append(
                line(view.places(joint.line), stroke=ink, stroke_width=0.5, stroke_dasharray=dashes)
            )
    for opening in room.openings.values():
        if ("opening", opening.id) in changed:
            parts.append(line(view.places(opening.line), stroke=ink, stroke_width=1.2))
    for laid in facts.leads:
        if ("lead", laid.lead.id) in changed and len(laid.places) > 1:
            parts.append(
                line(view.places(laid.places), **pens.pen(ink, 0.6), stroke_dasharray=dashes)
            )
    if ("sensor", "") in changed and room.sensor is not None:
        way = view.places(facts.sensor_way)
        if len(way) > 1:
            parts.append(line(way, stroke=ink, stroke_width=0.4, stroke_dasharray=dashes))
        parts.append(_bulb(view, room.sensor.at, ink, dashes))
    if ("junction box", "") in changed and facts.box is not None:
        parts.append(_square(view, facts.box, ink, dashes))
    if ("outline", "") in changed:
        parts.append(
            area(
                view.places(room.outline),
                fill="none",
                **pens.pen(ink, 0.7),
                stroke_dasharray=dashes,
            )
        )
    return "".join(parts)


def _fixture(view: View, outline: Sequence[Point], ink: str, fill: str, dashes: str | None) -> str:
    return area(
        view.places(outline),
        fill=fill,
        fill_opacity=0.7 if fill != "none" else None,
        **pens.pen(ink, 0.45),
        stroke_dasharray=dashes,
    )


def _bulb(view: View, at: Point, ink: str, dashes: str | None) -> str:
    x, y = view.place(at)
    dashes = "0.9 0.6" if dashes else None
    return circle(
        (x, y), BULB, fill=pens.PAPER, **pens.pen(ink, 0.5), stroke_dasharray=dashes
    ) + circle((x, y), 0.4, fill=ink)


def _square(view: View, at: Point, ink: str, dashes: str | None) -> str:
    x, y = view.place(at)
    look = {"fill": pens.PAPER, **pens.pen(ink, 0.5), "stroke_dasharray": dashes}
    return box(x - 1.6, y - 1.6, 3.2, 3.2, **look)


def _moves(
    view: View, old: RoomFacts | None, new: RoomFacts | None, changed: Changed
) -> list[tuple[Point, Point]]:
    """From where each moved thing was to where it is."""
    if old is None or new is None:
        return []
    found = []
    for (kind, item), whats in changed.items():
        start, end = middle_of(old, kind, item), middle_of(new, kind, item)
        if "moved" in whats and start is not None and end is not None:
            found.append((view.place(start), view.place(end)))
    return found


def _arrow(start: Point, end: Point) -> str:
    dx, dy = end[0] - start[0], end[1] - start[1]
    long = (dx * dx + dy * dy) ** 0.5
    if long < 2.0:
        return ""
    ux, uy = dx / long, dy / long
    back = (end[0] - 2.2 * ux, end[1] - 2.2 * uy)
    head = [
        end,
        (back[0] - 0.9 * uy, back[1] + 0.9 * ux),
        (back[0] + 0.9 * uy, back[1] - 0.9 * ux),
    ]
    return line([start, back], stroke=pens.INK, stroke_width=0.4) + area(head, fill=pens.INK)
