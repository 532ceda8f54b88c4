"""The drawing of one room: every layer, its lettering, dimensions and balloons, in order."""

from collections.abc import Collection, Sequence

from msgspec import Struct

from underfoot.checking.facts import RoomFacts
from underfoot.checking.report import PlanReport, ReportedFinding
from underfoot.drawing import pens
from underfoot.drawing.balloons import (
    Balloon,
    draw_balloon,
    draw_finding_shape,
    draw_leader,
    place_balloons,
)
from underfoot.drawing.bath_zones import draw_zones, label_zones, zone_lines
from underfoot.drawing.chains import find_chains, find_guests
from underfoot.drawing.dimensions import draw_chains
from underfoot.drawing.finding_signs import evidence_patches
from underfoot.drawing.findings_list import findings_of_room
from underfoot.drawing.floor_layers import (
    draw_boards,
    draw_coverings,
    draw_sheets,
    label_boards,
    label_coverings,
    label_sheets,
)
from underfoot.drawing.joints import draw_joins, label_joins, taken_by_joins
from underfoot.drawing.labels import Label, Placed, draw_label, place_labels
from underfoot.drawing.measures import (
    DrawnMeasure,
    Grounds,
    draw_measure,
    measure_lines,
    place_measures,
)
from underfoot.drawing.north import draw_north
from underfoot.drawing.occupancy import Patch, Taken, nothing_taken, take, take_line
from underfoot.drawing.offers import draw_offers, label_offers, taken_by_offers
from underfoot.drawing.openings import (
    draw_openings,
    label_openings,
    opening_lines,
)
from underfoot.drawing.outline import (
    draw_clearance,
    draw_fixtures,
    draw_joints,
    draw_origin,
    draw_walls,
    label_shell,
    taken_by_origin,
    wall_lines,
)
from underfoot.drawing.scene import Scene
from underfoot.drawing.setting_out import find_wanted
from underfoot.drawing.strips import (
    draw_strips,
    label_strips,
)
from underfoot.drawing.svg import Point, group, tag
from underfoot.drawing.tape import Wanted
from underfoot.drawing.wall_lengths import label_walls
from underfoot.drawing.wiring import (
    draw_leads,
    draw_sensor,
    draw_signs,
    find_signs,
    label_leads,
    label_sensor,
    taken_by_sensor,
)

# Every layer, from the bottom of the sheet up. Walls are always drawn.
LAYERS = (
    "boards",
    "membrane",
    "coverings",
    "clearance",
    "fixtures",
    "openings",
    "zones",
    "strips",
    "leads",
    "sensor",
    "controls",
    "dimensions",
    "findings",
)
USUAL_LAYERS = tuple(layer for layer in LAYERS if layer not in {"boards", "membrane"})


def choose_layers(facts: RoomFacts, report: PlanReport) -> tuple[str, ...]:
    """Choose the usual layers, and boards or membrane where a finding names one of them."""
    named = {item for finding in report.findings if finding.room == facts.id
             for item in finding.items}  # fmt: skip
    shown = set(USUAL_LAYERS)
    if not named.isdisjoint(name for layer in facts.boards for name in layer.names):
        shown.add("boards")
    if not named.isdisjoint(facts.sheets.names):
        shown.add("membrane")
    return tuple(layer for layer in LAYERS if layer in shown)


# What is too small to be dimensioned where strips are too small to be named.
_SMALL = frozenset({"strips", "leads"})
# More dimensions than this would hide the room; more lines of a table nobody reads.
_MOST_MEASURES = 60
_MOST_UNTOLD = 300


class Untold(Struct, frozen=True, kw_only=True):
    """What had no room in a drawing: a thing, what would have stood beside it, and its layer."""

    layer: str
    item: str
    words: str


class Drawn(Struct, frozen=True, kw_only=True):
    """A finished drawing, what was placed on it, and what had no room."""

    svg: str
    labels: tuple[Placed, ...]
    untold: tuple[Untold, ...]
    balloons: tuple[Balloon, ...]


def draw(scene: Scene, report: PlanReport, layers: Collection[str]) -> Drawn:
    """Draw a room's layers; lettering gives way to signs, balloons to both."""
    shown = set(layers)
    signs = find_signs(scene) if "controls" in shown else []
    guests = tuple(find_guests(scene.plan, scene.facts).values())
    chains = find_chains(scene.facts, guests) if "dimensions" in shown else []
    fixed = [*(sign.patch for sign in signs), *taken_by_origin(scene)]
    if "sensor" in shown:
        fixed += taken_by_sensor(scene)
    if "strips" in shown:
        fixed += taken_by_joins(scene)
    findings = findings_of_room(scene, report) if "findings" in shown else []
    fixed += taken_by_offers(scene, findings)
    rows = draw_chains(scene, chains, fixed)
    taken = nothing_taken([*rows.patches, *fixed])
    north = draw_north(scene, taken, rows.strokes)
    ways = _ways(scene, shown)
    measures, missing = _measure(scene, shown, taken, rows.strokes, [*ways, *wall_lines(scene)])
    placed, unnamed = _letter(scene, shown, taken, findings, [*rows.lines, *ways])
    letters = [*rows.patches, *(each.patch for each in measures), *(each.patch for each in placed)]
    lettering = nothing_taken([*letters, *(sign.patch for sign in signs)])
    disliked = nothing_taken()
    for way in (*rows.lines, *measure_lines(measures), *ways):
        take_line(disliked, way)
    firm = nothing_taken([*letters, *fixed])
    balloons, _ = place_balloons(scene, findings, taken, lettering, disliked, firm)

    def lettered(layer: str) -> str:
        return "".join(draw_label(each) for each in placed if each.label.layer == layer)

    def layer(name: str, *content: str) -> str:
        return group(*content, data_layer=name) if name in shown else ""

    svg = "".join(
        (
            layer("fixtures", draw_fixtures(scene, standing=True)),
            layer("strips", draw_strips(scene)),
            # Below the strips on site, above them here: lines that would else be hidden.
            layer("boards", draw_boards(scene)) if "boards" in shown else "",
            layer("membrane", draw_sheets(scene)) if "membrane" in shown else "",
            layer("coverings", draw_coverings(scene)),
            layer("clearance", draw_clearance(scene)),
            layer("fixtures", draw_fixtures(scene, standing=False), draw_joints(scene)),
            group(draw_walls(scene), draw_origin(scene), north, data_layer="walls"),
            # Over the strips, which they tint: below them they would be hidden.
            layer("zones", draw_zones(scene)),
            layer("openings", draw_openings(scene)),
            layer("findings", *(draw_finding_shape(scene, each) for each in balloons)),
            layer("findings", draw_offers(scene, findings)),
            layer("leads", draw_leads(scene)),
            layer("sensor", draw_sensor(scene)),
            layer("strips", draw_joins(scene)),
            layer("dimensions", rows.svg, *(draw_measure(each) for each in measures)),
            layer("dimensions", lettered("dimensions")),
            *(
                layer(name, lettered(name))
                for name in (
                    "boards",
                    "membrane",
                    "coverings",
                    "fixtures",
                    "openings",
                    "zones",
                    "strips",
                    "leads",
                    "sensor",
                )
            ),
            layer("findings", lettered("findings"), *(draw_leader(each) for each in balloons)),
            # A leader line or a dimension may pass behind a sign, never through its letters.
            layer("controls", draw_signs(signs)),
            layer("findings", *(draw_balloon(each) for each in balloons)),
        )
    )
    short = [each.label for each in placed if not each.is_whole]
    untold = _gather_names(
        [
            *(Untold(layer="dimensions", item=item, words=words) for item, words in rows.untold),
            *(Untold(layer="dimensions", item=each.what, words=each.in_words) for each in missing),
            *(
                Untold(layer=label.layer, item=label.item, words=label.in_words)
                for label in (*unnamed, *short)
                if label.versions
            ),
        ]
    )
    if len(untold) > _MOST_UNTOLD:
        rest = f"{len(untold) - _MOST_UNTOLD} lines like these, in the plan alone"
        more = Untold(layer="dimensions", item="and more", words=rest)
        untold = [*untold[:_MOST_UNTOLD], more]
    return Drawn(
        svg=svg,
        labels=tuple(placed),
        untold=tuple(untold),
        balloons=tuple(balloons),
    )


def _gather_names(untold: Sequence[Untold]) -> list[Untold]:
    """Put names that stand for themselves in one line a layer, last."""
    told = [each for each in untold if each.words]
    names: dict[str, list[str]] = {}
    for each in untold:
        if not each.words:
            names.setdefault(each.layer, []).append(each.item)
    return told + [
        Untold(layer=layer, item=layer, words=f"no room for {', '.join(items)}")
        for layer, items in names.items()
    ]


def _measure(
    scene: Scene,
    shown: Collection[str],
    taken: Taken,
    strokes: Sequence[Patch],
    ways: Sequence[Sequence[Point]],
) -> tuple[list[DrawnMeasure], list[Wanted]]:
    """Place the dimensions inside the room; their figures and lines are then taken.

    Where strips are too small for their names, so are their dimensions.
    """
    if "dimensions" not in shown:
        return [], []
    grounds = Grounds(taken=taken, lines=nothing_taken(strokes), ways=nothing_taken())
    for way in ways:
        take_line(grounds.ways, way)
    wanted = find_wanted(scene.facts, shown)
    fitting = [each for each in wanted if scene.names_strips or each.layer not in _SMALL]
    small = [each for each in wanted if not scene.names_strips and each.layer in _SMALL]
    measures, missing = place_measures(scene, fitting[:_MOST_MEASURES], grounds)
    for stroke in measure_lines(measures):
        take(taken, stroke)
    return measures, [*missing, *fitting[_MOST_MEASURES:], *small]


def _letter(
    scene: Scene,
    shown: Collection[str],
    taken: Taken,
    findings: Sequence[ReportedFinding],
    ways: Sequence[Sequence[Point]],
) -> tuple[list[Placed], list[Label]]:
    """Place the labels: none on a joint, nor on what shows that a finding is true."""
    disliked = nothing_taken()
    for way in (*ways, *wall_lines(scene), *opening_lines(scene), *zone_lines(scene)):
        take_line(disliked, way)
    kept_clear = nothing_taken(evidence_patches(scene, findings))
    for _, joint in scene.facts.joints:
        take_line(kept_clear, scene.view.places(joint.coords))
    labels = [*label_offers(scene, findings), *_labels(scene, shown)]
    return place_labels(labels, taken, disliked, scene.bounds, kept_clear)


def _ways(scene: Scene, shown: Collection[str]) -> list[list[Point]]:
    leaves = opening_lines(scene) if "openings" in shown else []
    if not scene.names_strips:
        return leaves
    ways = [laid.places for laid in scene.facts.leads] if "leads" in shown else []
    if "sensor" in shown:
        ways.append(scene.facts.sensor_way)
    return [*leaves, *(scene.view.places(way) for way in ways)]


def _labels(scene: Scene, shown: Collection[str]) -> list[Label]:
    labels = [
        *label_shell(scene), *label_sensor(scene), *label_strips(scene), *label_openings(scene)
    ]  # fmt: skip
    if scene.names_strips:
        # Where strips are too small for their ids, leads and boards are too.
        labels = [*label_joins(scene), *label_walls(scene), *labels, *label_leads(scene)]
        if "membrane" in shown:
            labels += label_sheets(scene)
        if "boards" in shown:
            labels += label_boards(scene)
        labels += label_coverings(scene)
        labels += label_zones(scene)
    return [label for label in labels if label.layer in shown]


def define_patterns(scene: Scene) -> str:
    """Define the hatches that the drawing uses."""
    places = {scene.circuit_place(element.circuit) for element in scene.facts.elements}
    used: list[int | None] = [
        *sorted({place % pens.LOOKS for place in places if place is not None}),
        *([None] if None in places else []),
    ]
    return tag(
        "defs",
        pens.shading(scene.prefix),
        *(pens.hatch(scene.prefix, place) for place in used),
    )
