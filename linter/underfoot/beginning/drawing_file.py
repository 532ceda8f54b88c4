"""A drawing in DXF -> its closed lines and its texts, read by the library of the extra ``cad``."""

import io
import logging
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from importlib import import_module
from typing import Any

from underfoot.beginning.drawing_entities import Gathered, Insertion, gather
from underfoot.beginning.found import MM_PER_UNIT, CannotBeginError
from underfoot.beginning.nesting import Drawn, Loop
from underfoot.reading.wording import suggest

INSTALL = "pip install 'underfoot[cad]'"
# $INSUNITS of a drawing's head, for the units in which rooms are drawn.
_UNITS = {1: "in", 2: "ft", 4: "mm", 5: "cm", 6: "m"}
_MOST_NAMED = 12
MOST_LINES, MOST_THINGS = 3_000_000, 150_000


def read_drawing_file(source: bytes, unit: str | None, layers: Sequence[str] = ()) -> Drawn:
    """Find what could be rooms in a drawing, on the layers named or on the one that has any.

    `unit` goes before what the drawing says. CannotBeginError names what is at fault by its handle.
    """
    library = _find_library()
    if b"\0" in source[:4096]:
        raise CannotBeginError("this is no DXF in text form: save it as that, not as binary")
    _check_extent(source)
    with _silenced():
        document, flaws = _load(library, source)
        said = _UNITS.get(int(document.header.get("$INSUNITS", 0) or 0))
        unit = unit or said
        if unit is None:
            raise CannotBeginError(
                "the drawing does not say its unit ($INSUNITS): add --unit, such as --unit mm"
            )
        scale = library.math.Matrix44.scale(MM_PER_UNIT[unit])
        shown = _visible_layers(document)
        gathered = Gathered(document=document, unit=unit, layers=shown)
        gather(gathered, document.modelspace(), Insertion(matrix=scale))
    loops = _choose(gathered, layers, document)
    remarks = list(gathered.remarks)
    if flaws:
        remarks.append(f"{flaws} flaws of the drawing were mended while it was read: compare it")
    if said is not None and said != unit:
        remarks.append(f"the drawing says that it is in {said}; it is taken to be in {unit}")
    return Drawn(
        loops=tuple(loops), unit=unit, labels=tuple(gathered.labels), remarks=tuple(remarks)
    )


def _check_extent(source: bytes) -> None:
    """Refuse before it is read what would take minutes and gigabytes."""
    lines = source.count(b"\n")
    # Every second line is a group code, and 0 begins a thing.
    things = 0
    if lines <= MOST_LINES:
        things = sum(code.strip() == b"0" for code in source.split(b"\n")[::2])
    if lines > MOST_LINES or things > MOST_THINGS:
        raise CannotBeginError(
            f"the drawing is too large: at most {MOST_LINES:,} lines and {MOST_THINGS:,} things "
            "are read; save the floor's outlines in a file of their own"
        )


def _find_library() -> Any:
    try:
        with _silenced():
            library = import_module("ezdxf")
            import_module("ezdxf.recover")
    except ImportError:
        raise CannotBeginError(
            f"a drawing in DXF needs the extra 'cad', which is not installed: {INSTALL}"
        ) from None
    return library


@contextmanager
def _silenced() -> Iterator[None]:
    """Keep the library from writing its own remarks on standard error."""
    log = logging.getLogger("ezdxf")
    before = log.level
    log.setLevel(logging.CRITICAL + 1)
    try:
        yield
    finally:
        log.setLevel(before)


def _load(library: Any, source: bytes) -> tuple[Any, int]:
    try:
        document, auditor = library.recover.read(io.BytesIO(source), errors="ignore")
    except MemoryError:
        raise
    except RecursionError:
        raise CannotBeginError("this DXF cannot be read: it is nested too deep") from None
    except Exception as error:  # whatever a broken file makes the library stumble over
        said = " ".join(str(error).split())[:200]
        raise CannotBeginError(
            f"this cannot be read as DXF ({said or type(error).__name__}): save it anew as DXF"
        ) from None
    return document, len(auditor.errors)


def _visible_layers(document: Any) -> dict[str, tuple[str, bool]]:
    """Return each layer by its name in small letters: as it is written, and whether it is seen."""
    return {
        str(layer.dxf.name).casefold(): (
            str(layer.dxf.name),
            not (layer.is_off() or layer.is_frozen()),
        )
        for layer in document.layers
    }


def _choose(gathered: Gathered, layers: Sequence[str], document: Any) -> list[Loop]:
    """Choose the closed lines of the layers that are meant; what else is on them is refused."""
    closed = gathered.closed
    if layers:
        chosen = [layer.casefold() for layer in layers]
        known = gathered.layers
        for layer in chosen:
            if layer not in known:
                raise CannotBeginError(
                    f"--layer {layer}: the drawing has no such layer{suggest(layer, known)}; "
                    f"{_say_layers(gathered)}"
                )
    else:
        chosen = [layer for layer in closed if gathered.is_seen(layer)]
        if len(chosen) > 1:
            raise CannotBeginError(
                "closed lines are on several layers; say with --layer which are the rooms (and "
                f"again --layer for what stands in them): {_say_layers(gathered)}"
            )
    for layer in chosen:
        faults = gathered.refused.get(layer, [])
        if faults:
            more = f" (and {len(faults) - 1} more such on this layer)" if len(faults) > 1 else ""
            raise CannotBeginError(faults[0] + more)
    loops = [loop for layer in dict.fromkeys(chosen) for loop in closed.get(layer, ())]
    if not loops:
        faults = [fault for each in gathered.refused.values() for fault in each]
        first = f"; {faults[0]}" if faults else ""
        raise CannotBeginError(
            f"there is no closed polyline {'on this layer' if layers else 'in the drawing'}: draw "
            f"one along the walls round each floor; {_say_layers(gathered)}{first}"
        )
    return loops


def _say_layers(gathered: Gathered) -> str:
    """List the layers with what is on them, those with closed lines first."""
    known = dict.fromkeys([*gathered.closed, *gathered.refused])
    if not known:
        return "nothing that bounds a floor is on any layer"
    order = sorted(known, key=lambda layer: (-len(gathered.closed.get(layer, ())), layer))
    parts = []
    for layer in order[:_MOST_NAMED]:
        closed, other = len(gathered.closed.get(layer, ())), len(gathered.refused.get(layer, ()))
        counts = [f"{closed} closed"] * (closed > 0) + [f"{other} open or in 3D"] * (other > 0)
        hidden = "" if gathered.is_seen(layer) else ", not shown"
        parts.append(
            f"{gathered.layers.get(layer, (layer, True))[0]} ({', '.join(counts)}{hidden})"
        )
    more = f" and {len(order) - _MOST_NAMED} more" if len(order) > _MOST_NAMED else ""
    return f"layers: {', '.join(parts)}{more}"
