"""Leads, junction box, thermostat and sensor. The signs are plain shapes with their letters."""

import math

import shapely
from msgspec import Struct

from underfoot.drawing import pens
from underfoot.drawing.chains import find_guests
from underfoot.drawing.labels import LONGEST, Label, size_of
from underfoot.drawing.lettering import SMALL, shorten
from underfoot.drawing.occupancy import Patch, patch_of
from underfoot.drawing.outline import WALL
from underfoot.drawing.scene import Scene
from underfoot.drawing.svg import Look, Point, box, circle, group, letter_sign, line

_SIGN = 6.2
_BULB = 1.5
_PAIR = 0.9


class Sign(Struct, frozen=True, kw_only=True):
    """A junction box or a thermostat: `place` is where it is, `middle` where its sign stands."""

    item: str
    letters: str
    is_round: bool
    place: Point
    middle: Point

    @property
    def patch(self) -> Patch:
        """What the sign covers."""
        x, y = self.middle
        return patch_of(x - _SIGN / 2, y - _SIGN / 2, _SIGN, _SIGN, 0.2)


def find_signs(scene: Scene) -> list[Sign]:
    """Put each sign outside the wall beside its place, so that it hides nothing of the floor."""
    room = scene.facts.drawn
    signs: list[Sign] = []
    box_at = scene.facts.box
    if box_at is not None:
        signs.append(_sign(scene, "junction-box", "JB", False, box_at, 0))
    thermostat = room.thermostat
    if thermostat is not None and thermostat.room in (None, room.id):
        at = thermostat.at or box_at
        if at is not None:
            beside = 1 if at == box_at else 0
            signs.append(_sign(scene, "thermostat", "T", True, at, beside))
    for place, at in enumerate(find_guests(scene.plan, scene.facts).values()):
        beside = 2 + place if box_at is not None and math.dist(at, box_at) < 200 else place
        signs.append(_sign(scene, "thermostat of another room", "T2", True, at, beside))
    return signs


def _sign(scene: Scene, item: str, text: str, is_round: bool, at: Point, beside: int) -> Sign:
    x, y = scene.view.place(at)
    reach = scene.view.scale * 3.0
    off, dx, dy = max(
        (
            scene.facts.outline.distance(shapely.Point(at[0] + dx * reach, at[1] - dy * reach)),
            dx,
            dy,
        )
        for dx, dy in ((-1, 0), (1, 0), (0, -1), (0, 1))
    )
    aside = beside * (_SIGN + 0.8)
    if off <= 0:
        return Sign(item=item, letters=text, is_round=is_round, place=(x, y), middle=(x + aside, y))
    away = WALL + 0.6 + _SIGN / 2
    middle = (x + dx * away + abs(dy) * aside, y + dy * away - abs(dx) * aside)
    return Sign(item=item, letters=text, is_round=is_round, place=(x, y), middle=middle)


def draw_signs(signs: list[Sign]) -> str:
    """Draw junction box and thermostat."""
    return "".join(_draw_sign(sign) for sign in signs)


def _draw_sign(sign: Sign) -> str:
    x, y = sign.middle
    half = _SIGN / 2
    look: Look = {"fill": pens.PAPER, "stroke": pens.INK, "stroke_width": pens.MIDDLE}
    if sign.is_round:
        body = circle(sign.middle, half, **look)
    else:
        body = box(x - half, y - half, _SIGN, _SIGN, **look)
    return group(
        line([sign.place, sign.middle], stroke=pens.INK, stroke_width=pens.FINE),
        circle(sign.place, 0.7, fill=pens.INK),
        body,
        letter_sign(sign.letters, sign.middle, pens.INK),
        data_item=sign.item,
        class_="sign",
    )


def draw_leads(scene: Scene) -> str:
    """Draw the ways of the leads as pairs in the colours of their circuits, on a light ground."""
    drawn = []
    for laid in scene.facts.leads:
        if laid.line is None:
            continue
        places = scene.view.places(laid.places)
        ink, _ = pens.circuit_colours(scene.circuit_place(laid.lead.circuit))
        wide = _PAIR if scene.names_strips else 0.13
        drawn.append(
            group(
                line(places, stroke=pens.PAPER, stroke_width=wide + 0.5),
                line(places, stroke=ink, stroke_width=wide, class_="lead"),
                # A lead is a pair of conductors.
                line(places, stroke=pens.PAPER, stroke_width=wide / 3)
                if scene.names_strips
                else "",
                stroke_linejoin="round",
                data_item=laid.lead.id,
            )
        )
    return "".join(drawn)


def label_leads(scene: Scene) -> list[Label]:
    """Name each lead beside its way, with its circuit and the size of its conductors."""
    labels = []
    for laid in scene.facts.leads:
        if laid.line is None:
            continue
        lead = laid.lead
        size = f" · {lead.size_text.replace('mm2', 'mm²')}" if lead.size_text else ""
        name = f"{lead.id} · {lead.circuit}"
        versions = tuple(
            (shorten(words, LONGEST, SMALL, bold=True),)
            for words in (f"{name}{size}", name, lead.id)
        )
        ink, _ = pens.circuit_colours(scene.circuit_place(lead.circuit))
        labels.append(
            Label(
                layer="leads",
                item=lead.id,
                versions=versions,
                words=f"on {lead.circuit}{size}",
                middles=tuple(
                    place
                    for lines in versions[:2]
                    for place in _beside_way(scene, laid.line, lines)
                ),
                bold_first=True,
                colour=ink,
            )
        )
    return labels


def _beside_way(scene: Scene, way: shapely.LineString, lines: tuple[str, ...]) -> list[Point]:
    width, height = size_of(lines, bold_first=True)
    long = scene.view.on_paper(way.length)
    steps = max(2, min(40, int(long / 6)))
    places: list[Point] = []
    for step in range(1, steps):
        at = way.interpolate(step / steps, normalized=True)
        x, y = scene.view.place((at.x, at.y))
        for off in (0.9, WALL + 1.6):
            for dx, dy in ((0, -1), (0, 1), (1, 0), (-1, 0)):
                places.append((x + dx * (width / 2 + off), y + dy * (height / 2 + off)))
    outline = shapely.Polygon(scene.view.places(scene.facts.drawn.outline))
    # Outside the room a name covers nothing that matters.
    return sorted(places, key=lambda place: outline.contains(shapely.Point(place)))


def draw_sensor(scene: Scene) -> str:
    """Draw the sensor and the channel in which its cable runs."""
    sensor = scene.facts.drawn.sensor
    if sensor is None:
        return ""
    way = scene.view.places(scene.facts.sensor_way)
    x, y = way[-1]
    drawn = []
    if len(way) > 1:
        channel: Look = {"stroke": pens.SENSOR, "stroke_width": pens.WIDE}
        drawn.append(line(way, stroke=pens.PAPER, stroke_width=pens.WIDE + 0.5))
        drawn.append(line(way, **channel, stroke_dasharray="3 0.9 0.7 0.9", class_="sensor-way"))
    bulb: Look = {"fill": pens.PAPER, "stroke": pens.SENSOR, "stroke_width": pens.MIDDLE}
    cross = line([(x - _BULB, y), (x + _BULB, y)]) + line([(x, y - _BULB), (x, y + _BULB)])
    drawn.append(circle((x, y), _BULB, **bulb))
    drawn.append(group(cross, stroke=pens.SENSOR, stroke_width=pens.FINE))
    return group(*drawn, data_item="sensor")


def taken_by_sensor(scene: Scene) -> list[Patch]:
    """Return the patch that the sensor covers."""
    if scene.facts.drawn.sensor is None:
        return []
    x, y = scene.view.place(scene.facts.drawn.sensor.at)
    return [patch_of(x - _BULB, y - _BULB, 2 * _BULB, 2 * _BULB, 0.2)]


def label_sensor(scene: Scene) -> list[Label]:
    """Name the sensor with its place and its channel."""
    sensor = scene.facts.drawn.sensor
    if sensor is None:
        return []
    x, y = scene.view.place(sensor.at)
    name = "sensor"
    channel = ""
    if sensor.channel is not None and sensor.channel.width and sensor.channel.depth:
        channel = f"channel {sensor.channel.width:.0f} × {sensor.channel.depth:.0f}"
    versions = tuple(dict.fromkeys(((name, channel) if channel else (name,), (name,), ("sensor",))))
    middles: list[Point] = []
    for lines in versions:
        width, height = size_of(lines, bold_first=True)
        for away in (2.0, 5.0, 9.0):
            aside, above = width / 2 + away, height / 2 + away
            middles += [
                (x + aside, y),
                (x - aside, y),
                (x, y - above),
                (x, y + above),
                (x + aside, y - above),
                (x + aside, y + above),
                (x - aside, y - above),
                (x - aside, y + above),
            ]
    return [
        Label(
            layer="sensor",
            item="sensor",
            versions=versions,
            middles=tuple(middles),
            colour=pens.SENSOR,
        )
    ]
