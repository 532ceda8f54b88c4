"""The strips: hatched by circuit, with id, length and connected end."""

import math
from collections import defaultdict

from underfoot.drawing import pens
from underfoot.drawing.labels import Label
from underfoot.drawing.scene import Scene
from underfoot.drawing.svg import Look, area, points, tag
from underfoot.plan import Element

_INSET = 1.4


def draw_strips(scene: Scene) -> str:
    """Draw every strip; many small ones as one path a circuit."""
    view = scene.view
    corners = scene.facts.corners
    if scene.names_strips:
        return "".join(
            area(
                view.places(corners[place].tolist()),
                data_item=element.id,
                data_circuit=element.circuit,
                **_look(scene, element.circuit),
            )
            for place, element in enumerate(scene.facts.elements)
        )
    gathered: defaultdict[str | None, list[str]] = defaultdict(list)
    for place, element in enumerate(scene.facts.elements):
        known = element.circuit if scene.circuit_place(element.circuit) is not None else None
        gathered[known].append(points(view.places(corners[place].tolist())) + "z")
    return "".join(
        tag("path", d="".join(drawn), data_circuit=circuit, **_look(scene, circuit))
        for circuit, drawn in gathered.items()
    )


def _look(scene: Scene, circuit: str | None) -> Look:
    place = scene.circuit_place(circuit)
    ink, _ = pens.circuit_colours(place)
    return {
        "fill": f"url(#{pens.hatch_name(scene.prefix, place)})",
        "stroke": ink,
        "stroke_width": pens.FINE if scene.names_strips else 0.08,
        "stroke_dasharray": None if place is not None else "1.2 0.8",
    }


def label_strips(scene: Scene) -> list[Label]:
    """Name each strip along its length; where strips are too small, name their rows."""
    if scene.names_strips:
        return [
            _label_strip(scene, place, element)
            for place, element in enumerate(scene.facts.elements)
        ]
    return _label_rows(scene)


_SHARES = (0.5, 0.4, 0.6, 0.3, 0.7, 0.22, 0.78, 0.14, 0.86)
_SIDES = (0.3, -0.3, 0.55, -0.55)


def _label_strip(scene: Scene, place: int, element: Element) -> Label:
    start, end = scene.view.places(scene.facts.connections[place].tolist())
    long = math.dist(start, end)
    wide = scene.view.on_paper(element.film.width)
    turn = math.degrees(math.atan2(end[1] - start[1], end[0] - start[0]))
    # Read from below or from the right, as ISO 129-1 has it.
    while turn >= 90.0 - 1e-9:
        turn -= 180.0
    while turn < -90.0 - 1e-9:
        turn += 180.0
    length = written_length(element.length)
    circuit = element.circuit if element.circuit is not None else "no circuit"
    versions: tuple[tuple[str, ...], ...] = (
        (element.id, f"{length} · {circuit}"),
        (f"{element.id} · {length} · {circuit}",),
        (f"{element.id} · {length}",),
        (element.id,),
    )
    words = f"{length} long, {circuit if element.circuit is None else f'on {circuit}'}"
    middles = tuple(
        (start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share)
        for share in _SHARES
    )
    # Where its middle line is full, its id alone somewhere in it: it must be seen which it is.
    off = wide * 0.5 / long if long else 0.0
    anywhere = Label(
        layer="strips",
        item=element.id,
        versions=((element.id,),),
        middles=tuple(
            (x - (end[1] - start[1]) * off * side, y + (end[0] - start[0]) * off * side)
            for side in _SIDES
            for x, y in middles
        ),
        turn_deg=turn,
        room=(long, wide),
        whole=0,
        words=words,
    )
    across = Label(
        layer="strips",
        item=element.id,
        versions=((element.id,),),
        middles=middles,
        turn_deg=turn + 90.0 if turn < 0 else turn - 90.0,
        room=(wide, long),
        whole=0,
        words=words,
        otherwise=anywhere,
    )
    return Label(
        layer="strips",
        item=element.id,
        versions=versions,
        middles=middles,
        turn_deg=turn,
        room=(long - 2 * _INSET, wide),
        otherwise=across,
        whole=3,
        words=words,
    )


def written_length(length: float) -> str:
    """Write a length in mm as a drawing does, without the unit."""
    text = f"{length:.1f}"
    return text[:-2] if text.endswith(".0") else text


def whole_length(length: float) -> str:
    """Write a length to be found by a tape, in whole mm."""
    return f"{length:.0f}"


def written_span(start: float, end: float) -> str:
    """Write how far it is between two stops of a row, in whole mm that add up over the row."""
    return whole_length(round(end) - round(start))


def _label_rows(scene: Scene) -> list[Label]:
    corners = scene.facts.corners
    labels = []
    for row in scene.facts.drawn.rows:
        places = [scene.facts.place_of[name] for name in row.elements]
        if not places:
            continue
        block = corners[places].reshape(-1, 2)
        (left, bottom), (right, top) = (
            scene.view.place(block.min(axis=0).tolist()),
            scene.view.place(block.max(axis=0).tolist()),
        )
        middles = tuple((left + (right - left) * share, (top + bottom) / 2) for share in _SHARES)
        count = len(places)
        labels.append(
            Label(
                layer="strips",
                item=row.id,
                versions=((f"{row.id}: {count} strips",), (row.id,)),
                middles=middles,
                room=(right - left, bottom - top),
            )
        )
    return labels
