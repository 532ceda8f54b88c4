"""What a finding's advice offers, and floor that it calls cold: drawn as nothing planned is."""

from collections.abc import Iterator, Sequence
from typing import Any

from shapely.geometry import shape as from_geojson

from underfoot.checking.report import ReportedFinding
from underfoot.drawing import pens
from underfoot.drawing.labels import Label, fit_either_way, size_of
from underfoot.drawing.occupancy import Patch, patch_of
from underfoot.drawing.outline import rings_of
from underfoot.drawing.scene import Scene
from underfoot.drawing.svg import Look, Point, area, box, circle, group, line

OFFER_INK = "#a3246b"
# The line of ISO 128-2 with two dots, for what is no part of the thing drawn.
_DASHES = "2.6 0.7 0.4 0.7 0.4 0.7"
_RING = 2.6


def offers_of(scene: Scene, findings: Sequence[ReportedFinding]) -> list[tuple[list[int], Any]]:
    """Return what findings of a room offer, with their numbers; what is waived asks for nothing."""
    offers: list[tuple[list[int], Any]] = []
    for finding in findings:
        if finding.offer is None or finding.room != scene.facts.id or finding.waiver is not None:
            continue
        shape = from_geojson(dict(finding.offer))
        numbers = next((numbers for numbers, other in offers if other.equals(shape)), None)
        if numbers is None:
            offers.append(([finding.number], shape))
        else:
            numbers.append(finding.number)
    return offers


def draw_offers(scene: Scene, findings: Sequence[ReportedFinding]) -> str:
    """Draw a further strip as an empty outline, a place as an empty ring with a cross."""
    drawn = []
    for _, shape in offers_of(scene, findings):
        if shape.geom_type == "Point":
            content = _draw_place(scene.view.place((shape.x, shape.y)))
        else:
            content = area(*rings_of(scene, shape))
        drawn.append(group(content, class_="offer", **_look()))
    return "".join(drawn)


def _look() -> Look:
    return {
        "fill": "none",
        "stroke": OFFER_INK,
        "stroke_width": pens.MIDDLE,
        "stroke_dasharray": _DASHES,
    }


def _draw_place(at: Point) -> str:
    x, y = at
    return (
        circle((x, y), _RING, stroke_dasharray="1.4 0.6")
        + line([(x - _RING, y), (x + _RING, y)], stroke_dasharray="1.4 0.6")
        + line([(x, y - _RING), (x, y + _RING)], stroke_dasharray="1.4 0.6")
    )


def taken_by_offers(scene: Scene, findings: Sequence[ReportedFinding]) -> Iterator[Patch]:
    """Yield what the rings of places cover."""
    for _, shape in offers_of(scene, findings):
        if shape.geom_type == "Point":
            x, y = scene.view.place((shape.x, shape.y))
            yield patch_of(x - _RING, y - _RING, 2 * _RING, 2 * _RING)


def label_offers(scene: Scene, findings: Sequence[ReportedFinding]) -> list[Label]:
    """Say at each offer that it is not planned, and by which finding it is offered."""
    labels = []
    for numbers, shape in offers_of(scene, findings):
        low_x, low_y, high_x, high_y = shape.bounds
        middle = shape.representative_point()
        x, y = scene.view.place((middle.x, middle.y))
        wide, high = scene.view.on_paper(high_x - low_x), scene.view.on_paper(high_y - low_y)
        of = "finding" if len(numbers) == 1 else "findings"
        *some, last = map(str, numbers)
        said = f"{', '.join(some)} and {last}" if some else last
        lines = (f"offer of {of} {said}", "not planned")
        is_place = shape.geom_type == "Point"
        aside = size_of(lines, bold_first=True)[0] / 2 + _RING + 0.6
        middles = (
            tuple((x + dx, y + dy) for dy in (0.0, 4.0, -4.0, 8.0, -8.0) for dx in (aside, -aside))
            if is_place
            else tuple(
                (x + dx * wide, y + dy * high)
                for dx in (0.0, 0.25, -0.25)
                for dy in (0.0, 0.2, -0.2, 0.35, -0.35)
            )
        )
        label = Label(
            layer="findings",
            item=lines[0],
            versions=(lines,),
            middles=middles,
            colour=OFFER_INK,
            words=lines[1],
        )
        labels.append(label if is_place else fit_either_way(label, wide, high))
    return labels


def draw_cold(scene: Scene, shape: Any, ink: str) -> str:
    """Draw floor that stays cold in sparse upright lines."""
    return area(
        *rings_of(scene, shape), fill=f"url(#{scene.prefix}cold)", **pens.pen(ink, pens.FINE)
    )


def explain_offers(scene: Scene, findings: Sequence[ReportedFinding]) -> Iterator[tuple[str, str]]:
    """Yield the signs of the legend with their words, of what is there."""
    kinds = {shape.geom_type == "Point" for _, shape in offers_of(scene, findings)}
    if False in kinds:
        yield box(0.5, -1.4, 7, 2.8, **_look()), "offered by a finding, not planned"
    if True in kinds:
        yield group(_draw_place((4.0, 0.0)), **_look()), "place that a finding offers"


def explain_cold(scene: Scene) -> str:
    """Return the sign of floor that a finding calls cold."""
    fill = f"url(#{scene.prefix}cold)"
    return box(0.5, -1.4, 7, 2.8, fill=fill, stroke=pens.INK, stroke_width=pens.FINE)
