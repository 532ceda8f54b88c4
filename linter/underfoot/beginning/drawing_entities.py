"""The entities of a drawing, blocks opened out: closed lines, texts, and what can be neither."""

import math
from collections.abc import Iterable, Iterator
from typing import Any

from msgspec import Struct, field
from msgspec.structs import replace

from underfoot.beginning.found import MM_PER_UNIT, MOST_CORNERS, CannotBeginError
from underfoot.beginning.nesting import Label, Loop
from underfoot.beginning.tracing import Traced, trace

MOST_ENTITIES = 100_000
MOST_LOOPS = 20_000
DEEPEST_BLOCK = 16
MOST_LABELS = 20_000
# Ends that are nearer than this close a line; heights that differ by less lie in one plane.
_AS_ONE = 0.5
_LONGEST_TEXT = 200
_LINES = {"LINE": "line", "ARC": "arc", "SPLINE": "spline", "ELLIPSE": "arc of an ellipse"}
_SOLIDS = frozenset(
    {"3DFACE", "3DSOLID", "BODY", "MESH", "REGION", "SURFACE", "EXTRUDEDSURFACE", "PLANESURFACE"}
)


class Insertion(Struct, frozen=True, kw_only=True):
    """How an entity came to be where it is: through which blocks, on whose layer."""

    matrix: Any
    layer: str | None = None
    blocks: tuple[str, ...] = ()
    within: str = ""


class Gathered(Struct, kw_only=True):
    """What was found by layer, in mm; `refused` says of each thing why it bounds no floor."""

    document: Any
    unit: str
    layers: dict[str, tuple[str, bool]]
    closed: dict[str, list[Loop]] = field(default_factory=dict)
    refused: dict[str, list[str]] = field(default_factory=dict)
    labels: list[Label] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)
    entities: int = 0
    corners: int = 0
    loops: int = 0

    def is_seen(self, layer: str) -> bool:
        """Whether a layer is neither off nor frozen."""
        return self.layers[layer][1]

    def refuse(self, layer: str, message: str) -> None:
        """Keep why something on a layer bounds no floor."""
        self.refused.setdefault(layer, []).append(message)


def gather(found: Gathered, entities: Iterable[Any], way: Insertion) -> None:
    """Put what stands in a layout or a block into `found`; CannotBeginError past a limit."""
    for entity in entities:
        found.entities += 1
        if found.entities > MOST_ENTITIES:
            raise CannotBeginError(
                f"with its blocks opened out the drawing has more than {MOST_ENTITIES:,} things: "
                "save the floor's outlines in a file of their own"
            )
        if entity.dxf.get("invisible", 0):
            continue
        kind = entity.dxftype()
        layer = _layer_of(found, entity, way)
        if kind == "INSERT":
            _open_block(found, entity, way, layer)
        elif kind in ("TEXT", "MTEXT", "ATTRIB"):
            _keep_text(found, entity, way, layer)
        elif kind in ("LWPOLYLINE", "POLYLINE", "CIRCLE", *_LINES) or kind in _SOLIDS:
            _keep_line(found, entity, kind, way, layer)


def _layer_of(found: Gathered, entity: Any, way: Insertion) -> str:
    """In a block, what is drawn on layer 0 is on the layer that the block stands on."""
    written = str(entity.dxf.get("layer", "0"))
    layer = written.casefold()
    found.layers.setdefault(layer, (written, True))
    return way.layer if layer == "0" and way.layer is not None else layer


def _open_block(found: Gathered, insert: Any, way: Insertion, layer: str) -> None:
    name = str(insert.dxf.get("name", ""))
    handle = f"#{insert.dxf.handle}"
    for attribute in insert.attribs:
        if not attribute.is_invisible:
            _keep_text(
                found, attribute, way, _layer_of(found, attribute, replace(way, layer=layer))
            )
    block = found.document.blocks.get(name)
    if block is None or block.block is None:
        found.remarks.append(f"insert {handle} names a block {name!r} that is not there: left out")
        return
    if block.block.is_xref or block.block.is_xref_overlay:
        found.remarks.append(
            f"insert {handle} names another file ({name!r}): left out; bind it into the drawing "
            "where rooms are in it"
        )
        return
    if name.casefold() in way.blocks:
        raise CannotBeginError(f"insert {handle}: the block {name!r} stands within itself")
    if len(way.blocks) >= DEEPEST_BLOCK:
        raise CannotBeginError(
            f"insert {handle}: blocks stand in blocks more than {DEEPEST_BLOCK} deep"
        )
    inside = Insertion(
        matrix=None,
        layer=layer,
        blocks=(*way.blocks, name.casefold()),
        within=f" in block {name!r} (insert {handle})",
    )
    for placed in _places_of(insert):
        found.entities += 1
        matrix = placed.matrix44() @ way.matrix
        gather(found, block, replace(inside, matrix=matrix))


def _places_of(insert: Any) -> Iterator[Any]:
    """One block may stand in rows and columns."""
    count = int(insert.mcount)
    if count > MOST_ENTITIES:
        raise CannotBeginError(
            f"insert #{insert.dxf.handle} stands in {count:,} places: more than are opened out"
        )
    return iter([insert] if count <= 1 else insert.multi_insert())


def _keep_text(found: Gathered, entity: Any, way: Insertion, layer: str) -> None:
    if not found.is_seen(layer) or len(found.labels) >= MOST_LABELS:
        return
    plain = entity.plain_text()
    text = " ".join(plain[:_LONGEST_TEXT].split())
    if not text:
        return
    dxf = entity.dxf
    place = dxf.get("insert")
    if entity.dxftype() == "MTEXT":
        letters = float(dxf.get("char_height", 1.0))
    else:
        letters = float(dxf.get("height", 1.0))
        if (dxf.get("halign", 0) or dxf.get("valign", 0)) and dxf.hasattr("align_point"):
            place = dxf.align_point
        place = entity.ocs().to_wcs(place)
    x, y, _ = way.matrix.transform(place)
    if math.isfinite(x) and math.isfinite(y) and math.isfinite(letters):
        size = way.matrix.transform_direction((0.0, letters, 0.0)).magnitude
        found.labels.append(Label(text=text, at=(x, y), letters=size))


def _keep_line(found: Gathered, entity: Any, kind: str, way: Insertion, layer: str) -> None:
    name = found.layers[layer][0]
    handle = f"#{entity.dxf.handle}{way.within}"
    if kind in _SOLIDS:
        found.refuse(
            layer, f"{kind.lower()} {handle} on layer {name} is in 3D or filled: draw a closed "
            "polyline along the walls, or move it to another layer"
        )  # fmt: skip
        return
    what = "polyline" if kind.endswith("POLYLINE") else _LINES.get(kind, "circle")
    where = f"{what} {handle} on layer {name}"
    if kind == "POLYLINE" and not (entity.is_2d_polyline or entity.is_3d_polyline):
        found.refuse(layer, f"{where} is a mesh in 3D: draw a closed polyline along the walls")
        return
    traced = trace(entity, kind, way.matrix, where)
    if traced is None:
        found.refuse(
            layer, f"{where} bounds no floor by itself: join what it belongs to into one closed "
            "polyline, or move it to another layer"
        )  # fmt: skip
        return
    found.corners += len(traced.pieces)
    if found.corners > MOST_CORNERS:
        raise CannotBeginError(
            f"the drawing has more than {MOST_CORNERS:,} corners: save the floor's outlines in a "
            "file of their own"
        )
    found.loops += 1
    if found.loops > MOST_LOOPS:
        raise CannotBeginError(
            f"the drawing has more than {MOST_LOOPS:,} closed lines: save the floor's outlines in "
            "a file of their own"
        )
    low, high = traced.heights
    if high - low > _AS_ONE:
        found.refuse(
            layer, f"{where} is in 3D: its corners lie up to {high - low:.0f} mm apart in height; "
            "flatten it"
        )  # fmt: skip
    elif traced.gap is None or traced.gap > _AS_ONE or not traced.pieces:
        found.refuse(layer, f"{where} is open: {_say_gap(traced, found.unit)}; close it")
    else:
        found.closed.setdefault(layer, []).append(Loop(pieces=traced.pieces, where=where))


def _say_gap(traced: Traced, unit: str) -> str:
    if not traced.pieces or not traced.gap:
        return "it has too few corners"
    ends = (traced.pieces[0].start, traced.pieces[-1].end)
    places = " and ".join(
        f"({x / MM_PER_UNIT[unit]:.6g}, {y / MM_PER_UNIT[unit]:.6g})" for x, y in ends
    )
    return f"its ends, at {places}, are {traced.gap:.0f} mm apart"
