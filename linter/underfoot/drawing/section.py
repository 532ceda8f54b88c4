"""A section through the floor: its layers from the covering down, and how high they build."""

from msgspec import Struct

from underfoot.drawing import pens
from underfoot.drawing.hatches import draw_hatch, find_hatch, say_hatch
from underfoot.drawing.lettering import SMALL, width_of, wrap
from underfoot.drawing.panel import LINE, Entry, Panel, Section, paragraphs, stack, together
from underfoot.drawing.strips import written_length
from underfoot.drawing.svg import Look, box, letters, line
from underfoot.plan import Covering, Insulation, Room

_CUT = 26.0
_LEAST = 5.0
# So many of the lowest layers stay together with what all come to, where a column ends.
_NOT_PARTED = 3


class Layer(Struct, frozen=True, kw_only=True):
    """One layer; `kind` decides how it is drawn. `is_laid` is what stands above the subfloor."""

    kind: str
    name: str
    thickness: float | None
    is_laid: bool


def find_layers(room: Room) -> list[Layer]:
    """List the layers of a room's floor from the top, as far as the plan states them."""
    layers: list[Layer] = []
    if room.coverings:
        covering = rest_covering(room)
        kind = f", {covering.kind}" if covering.kind else ""
        layers.append(
            Layer(
                kind="covering",
                name=f"{covering.id}{kind}",
                thickness=covering.thickness,
                is_laid=True,
            )
        )
    if room.overlay is not None:
        layers.append(
            Layer(
                kind="overlay",
                name=room.overlay.material or "overlay",
                thickness=room.overlay.thickness,
                is_laid=True,
            )
        )
    if room.underlay is not None:
        layers.append(
            Layer(
                kind="underlay",
                name=room.underlay.material or "underlay",
                thickness=room.underlay.thickness,
                is_laid=True,
            )
        )
    if room.grid is not None:
        mesh = f", mesh {room.grid.mesh:.0f}" if room.grid.mesh is not None else ""
        layers.append(Layer(kind="grid", name=f"metal grid{mesh}", thickness=None, is_laid=True))
    if room.membrane is not None:
        sheet = room.membrane.sheet
        named = f"membrane {sheet.id}" if sheet is not None else "membrane"
        layers.append(
            Layer(
                kind="membrane",
                name=named,
                thickness=sheet.thickness if sheet else None,
                is_laid=True,
            )
        )
    if room.elements:
        films = dict.fromkeys(element.film.id for element in room.elements)
        layers.append(
            Layer(kind="film", name=f"strips, {', '.join(films)}", thickness=None, is_laid=True)
        )
    if room.insulation is not None:
        layers += _insulation_layers(room.insulation)
    if room.subfloor is not None:
        subfloor = room.subfloor
        for layer in subfloor.layers:
            drawn = "concrete" if layer.material and "concrete" in layer.material else "subfloor"
            layers.append(
                Layer(
                    kind=drawn,
                    name=layer.material or "layer",
                    thickness=layer.thickness,
                    is_laid=False,
                )
            )
        if not subfloor.layers and subfloor.kind:
            layers.append(Layer(kind="subfloor", name=subfloor.kind, thickness=None, is_laid=False))
        if subfloor.barrier is not None:
            layers.insert(
                _first_of_subfloor(layers),
                Layer(
                    kind="membrane",
                    name=f"damp barrier {subfloor.barrier.id}",
                    thickness=subfloor.barrier.thickness,
                    is_laid=True,
                ),
            )
        if subfloor.below:
            layers.append(
                Layer(kind="below", name=f"below: {subfloor.below}", thickness=None, is_laid=False)
            )
    return layers


def _first_of_subfloor(layers: list[Layer]) -> int:
    return next((place for place, layer in enumerate(layers) if not layer.is_laid), len(layers))


def rest_covering(room: Room) -> Covering:
    """Return the covering of the most of the room: the one that is not bound to a part of it."""
    return next(
        (area.covering for area in room.coverings if area.over is None),
        room.coverings[0].covering,
    )


def _insulation_layers(insulation: Insulation) -> list[Layer]:
    board = insulation.board
    name = f"boards {board.id}" if board is not None else "boards"
    thickness = board.thickness if board is not None else None
    count = len(insulation.layers)
    return [
        Layer(
            kind="insulation",
            name=name if count == 1 else f"{name}, layer {place}",
            thickness=thickness,
            is_laid=True,
        )
        for place in range(count, 0, -1)
    ]


def list_layers(room: Room) -> Section | None:
    """Show the layers, not to scale, with their thicknesses and what they come to."""
    layers = find_layers(room)
    if not layers:
        return None
    entries = [_entry(layer, place) for place, layer in enumerate(layers)]
    total = paragraphs(_height_in_words(room, layers), weight="bold")
    return Section(
        title="Section through the floor, not to scale",
        name="section",
        entries=(*entries[:-_NOT_PARTED], together(*entries[-_NOT_PARTED:], *total)),
    )


def draw_section(room: Room, width: float) -> Panel | None:
    """Draw the layers in a column by themselves."""
    section = list_layers(room)
    return None if section is None else stack(section, width)


def _entry(layer: Layer, place: int) -> Entry:
    def draw(width: float) -> Panel:
        figure = "" if layer.thickness is None else f"{layer.thickness:g}"
        name = layer.name + say_hatch(find_hatch(layer.kind, layer.name), layer.name)
        lines = wrap(name, width - _CUT - 5.0 - width_of(figure, SMALL), SMALL)
        height = max(_height(layer), len(lines) * LINE)
        first = height / 2 - (len(lines) - 1) * LINE / 2
        middle = first + SMALL * 0.35
        leader = line([(_CUT, first), (_CUT + 2.0, first)], stroke=pens.INK, stroke_width=pens.HAIR)
        names = (
            letters(text, (_CUT + 3.0, middle + place * LINE), SMALL, fill=pens.INK)
            for place, text in enumerate(lines)
        )
        thickness = (
            letters(figure, (width, middle), SMALL, anchor="end", fill=pens.INK) if figure else ""
        )
        drawn = _draw_layer(layer, place, 0.0, height) + leader + "".join(names) + thickness
        return Panel(height=height, drawn=drawn)

    return draw


def _height_in_words(room: Room, layers: list[Layer]) -> list[str]:
    laid = [layer for layer in layers if layer.is_laid]
    total = sum(layer.thickness or 0.0 for layer in laid)
    unknown = [layer.kind for layer in laid if layer.thickness is None]
    words = [f"Total above the subfloor: {total:g} mm"]
    if unknown:
        words[0] += " + " + ", ".join(dict.fromkeys(unknown))
    others = [
        f"{area.covering.id} {written_length(area.covering.thickness)}"
        for area in room.coverings
        if area.over is not None and area.covering.thickness is not None
    ]
    if others and len(room.coverings) > 1:
        words.append("In parts of the room: " + ", ".join(others))
    return words


def _height(layer: Layer) -> float:
    if layer.thickness is None:
        return _LEAST
    return _LEAST + min(2.4, layer.thickness / 40)


def _draw_layer(layer: Layer, place: int, top: float, height: float) -> str:
    middle = top + height / 2
    if layer.kind in {"membrane", "grid", "film"}:
        looks: dict[str, Look] = {
            "membrane": {"stroke": "#006d77", "stroke_width": 0.7, "stroke_dasharray": "4 1"},
            "grid": {"stroke": pens.INK, "stroke_width": 0.7, "stroke_dasharray": "0.7 1.3"},
            "film": {"stroke": "#b84a00", "stroke_width": 1.3},
        }
        return line([(0.0, middle), (_CUT, middle)], **looks[layer.kind])
    fills = {
        "covering": "#e6d3b3",
        "overlay": "#ecdfc8",
        "underlay": "#f0f1f3",
        "insulation": "#eef4fa",
        "concrete": "#dfe2e6",
        "subfloor": "#eceef0",
        "below": "none",
    }
    stroke = None if layer.kind == "below" else pens.INK
    drawn = box(0.0, top, _CUT, height, fill=fills[layer.kind], **pens.pen(stroke, pens.HAIR))
    hatch = find_hatch(layer.kind, layer.name)
    return drawn if hatch is None else drawn + draw_hatch(hatch, place, _CUT, top, height)
