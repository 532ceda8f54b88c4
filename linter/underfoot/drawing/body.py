"""A room drawn by itself, to stand in a page; and how a room is put on any paper."""

from msgspec import Struct

from underfoot.checking.facts import RoomFacts
from underfoot.checking.facts.bath_zones import ZoneReach
from underfoot.checking.report import PlanReport
from underfoot.checking.rule import LimitUse
from underfoot.checking.settings import Settings
from underfoot.drawing.chains import SIDES, depth_of_chains, find_chains, find_guests
from underfoot.drawing.drawing import USUAL_LAYERS, Untold, define_patterns, draw
from underfoot.drawing.lettering import FAMILY
from underfoot.drawing.scene import NARROWEST_NAMED, Scene, find_extent
from underfoot.drawing.sheets import Box, Extent, Format, Margins, View, look_at
from underfoot.drawing.svg import number, tag
from underfoot.plan import Plan


class SheetOptions(Struct, frozen=True, kw_only=True):
    """How a sheet is drawn.

    `planned_clearance` is the planned wall clearance in force in mm, None to draw no border,
    `bath_zones` how far the zones of baths reach by the limits in force, None to draw none.
    """

    paper: Format = "auto"
    layers: tuple[str, ...] = USUAL_LAYERS
    planned_clearance: float | None = 58.0
    bath_zones: ZoneReach | None = ZoneReach()


def choose_options(
    settings: Settings | None,
    layers: tuple[str, ...] = USUAL_LAYERS,
    paper: Format = "auto",
) -> SheetOptions:
    """Draw by the limits in force: what no rule has a limit for is not drawn."""
    uses: tuple[LimitUse, ...] = (
        "planned wall clearance",
        "bath zone 2",
        "zone 1 of an open shower",
        "height of bath zones",
    )
    found = [None if settings is None else settings.served(use) for use in uses]
    clearance, *zones = (None if limit is None else limit.value for limit in found)
    zone_2, open_shower, height = zones
    reach = None
    if zone_2 is not None and open_shower is not None and height is not None:
        reach = ZoneReach(zone_2=zone_2, open_shower=open_shower, height=height)
    return SheetOptions(paper=paper, layers=layers, planned_clearance=clearance, bath_zones=reach)


def find_margins(facts: RoomFacts, plan: Plan, options: SheetOptions) -> Margins:
    """Keep room round a room for its dimensions, signs and balloons: left, top, right, bottom."""
    guests = tuple(find_guests(plan, facts).values())
    chains = find_chains(facts, guests) if "dimensions" in options.layers else []
    left, top, right, bottom = (depth_of_chains(facts, chains, side, guests) for side in SIDES)
    return (left, top, right, bottom)


def make_scene(
    facts: RoomFacts,
    plan: Plan,
    extent: Extent,
    view: View,
    bounds: Box,
    prefix: str,
    options: SheetOptions,
) -> Scene:
    """Put a room on paper."""
    widths = {view.on_paper(element.film.width) for element in facts.elements}
    return Scene(
        facts=facts,
        plan=plan,
        extent=extent,
        view=view,
        bounds=bounds,
        prefix=prefix,
        planned_clearance=options.planned_clearance,
        bath_zones=options.bath_zones if "zones" in options.layers else None,
        circuit_places={name: place for place, name in enumerate(plan.circuits)},
        names_strips=all(width >= NARROWEST_NAMED for width in widths),
    )


class Body(Struct, frozen=True, kw_only=True):
    """A room drawn by itself, and what had no place in it."""

    svg: str
    untold: tuple[Untold, ...]


def draw_alone(
    facts: RoomFacts,
    plan: Plan,
    report: PlanReport,
    *,
    prefix: str,
    width: float = 165.0,
    options: SheetOptions | None = None,
) -> Body:
    """Draw a room by itself, to stand in a page: no sheet, no scale, about `width` mm wide.

    `prefix` keeps the ids of several drawings on one page apart. What belongs to a finding carries
    its number in ``data-finding``, every layer its name in ``data-layer``, things their id in
    ``data-item``, strips that of their circuit in ``data-circuit``.
    """
    options = options or SheetOptions()
    extent = find_extent(facts)
    margins = find_margins(facts, plan, options)
    left, top, right, bottom = (max(each, 9.0) for each in margins)
    high_of_wide = (extent[3] - extent[1]) / (extent[2] - extent[0])
    inner = width - left - right
    height = inner * min(max(high_of_wide, 0.3), 2.0) + top + bottom
    whole = Box(left=0.0, top=0.0, width=width, height=height)
    room = whole.inset(left, top, right, bottom)
    scale = max((extent[2] - extent[0]) / room.width, (extent[3] - extent[1]) / room.height)
    view = look_at(extent, room, scale)
    scene = make_scene(facts, plan, extent, view, whole.inset(1.0, 1.0, 1.0, 1.0), prefix, options)
    drawn = draw(scene, report, options.layers)
    svg = tag(
        "svg",
        define_patterns(scene) + drawn.svg,
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {number(width)} {number(height)}",
        font_family=FAMILY,
        class_="room-drawing",
        data_room=facts.id,
    )
    return Body(svg=svg, untold=drawn.untold)


def draw_body(
    facts: RoomFacts,
    plan: Plan,
    report: PlanReport,
    *,
    prefix: str,
    width: float = 165.0,
    options: SheetOptions | None = None,
) -> str:
    """Draw a room by itself as `draw_alone` does, where nothing stands beside it."""
    return draw_alone(facts, plan, report, prefix=prefix, width=width, options=options).svg
