"""Dimensions drawn in rows outside the room, after ISO 129-1."""

from collections.abc import Iterator, Sequence

from msgspec import Struct

from underfoot.drawing import pens
from underfoot.drawing.chains import Chain
from underfoot.drawing.labels import beside, is_within
from underfoot.drawing.lettering import SMALL, width_of
from underfoot.drawing.occupancy import (
    Patch,
    Taken,
    is_free,
    nothing_taken,
    patch_of,
    take,
    touches,
    turned_patch,
)
from underfoot.drawing.scene import Scene
from underfoot.drawing.strips import whole_length, written_span
from underfoot.drawing.svg import Point, group, letters, line

TICK = 1.0
# So much stays free between a figure and a line beside it.
CLEAR = 0.6
# A figure's middle over its line, and under it.
ABOVE, BELOW = -2.75, 2.75
_NEAREST = 3.5
_FURTHER = 1.2


class DrawnChains(Struct, frozen=True, kw_only=True):
    """The rows of dimensions with their `strokes`.

    `untold` says in words those whose figure found no place.
    """

    svg: str
    patches: tuple[Patch, ...]
    lines: tuple[tuple[Point, Point], ...]
    strokes: tuple[Patch, ...]
    untold: tuple[tuple[str, str], ...]


def draw_chains(scene: Scene, chains: Sequence[Chain], signs: Sequence[Patch] = ()) -> DrawnChains:
    """Draw the rows; no figure covers another or one of the `signs`."""
    drawn: list[str] = []
    lines: list[tuple[Point, Point]] = []
    placed: list[Patch] = []
    untold: list[tuple[str, str]] = []
    taken = nothing_taken(signs)
    marks = nothing_taken()
    strokes = tuple(stroke for chain in chains for stroke in _strokes(scene, chain))
    for stroke in strokes:
        take(marks, stroke)
    for chain in chains:
        spots, base = _spots(scene, chain), _base(scene, chain)
        lines.append((_at(chain, base, spots[0]), _at(chain, base, spots[-1])))
        texts = []
        for place, (start, end) in enumerate(zip(chain.stops, chain.stops[1:], strict=False)):
            text = written_span(start, end)
            found = _find_figure(scene, chain, base, spots, place, text, taken, marks)
            if found is None:
                axis = "x" if chain.along_x else "y"
                untold.append(
                    (
                        chain.what,
                        f"{text} along {axis}, from {whole_length(start)} to {whole_length(end)}",
                    )
                )
                continue
            at, patch = found
            take(taken, patch)
            placed.append(patch)
            texts.append(draw_figure(text, at, 0.0 if chain.along_x else -90.0))
        drawn.append(
            group(
                _draw_marks(scene, chain, base, spots),
                group(*texts, fill=pens.INK),
                data_dimension=chain.what,
            )
        )
    return DrawnChains(
        svg="".join(drawn),
        patches=tuple(placed),
        lines=tuple(lines),
        strokes=strokes,
        untold=tuple(untold),
    )


def _base(scene: Scene, chain: Chain) -> float:
    """Find where on paper a row's line lies: beyond all that is drawn on its side."""
    left, bottom = scene.view.place(scene.extent[:2])
    right, top = scene.view.place(scene.extent[2:])
    return {
        "left": left - chain.away,
        "above": top - chain.away,
        "right": right + chain.away,
        "below": bottom + chain.away,
    }[chain.side]


def _spots(scene: Scene, chain: Chain) -> list[float]:
    if chain.along_x:
        return [scene.view.place((stop, 0.0))[0] for stop in chain.stops]
    return [scene.view.place((0.0, stop))[1] for stop in chain.stops]


def _at(chain: Chain, base: float, spot: float, off: float = 0.0) -> Point:
    return (spot, base + off) if chain.along_x else (base + off, spot)


def _leading(chain: Chain) -> tuple[float, float]:
    """Where the lines that lead to a row begin and end, off it."""
    way = 1.0 if chain.side in ("right", "below") else -1.0
    return way * (_NEAREST - chain.away), way * _FURTHER


def _strokes(scene: Scene, chain: Chain) -> Iterator[Patch]:
    spots, base = _spots(scene, chain), _base(scene, chain)
    near, far = _leading(chain)
    yield (_at(chain, base, spots[0]), _at(chain, base, spots[-1]))
    for spot in spots:
        yield (_at(chain, base, spot, near), _at(chain, base, spot, far))
        x, y = _at(chain, base, spot)
        yield patch_of(x - TICK, y - TICK, 2 * TICK, 2 * TICK)


def _draw_marks(scene: Scene, chain: Chain, base: float, spots: Sequence[float]) -> str:
    """Draw the line, the strokes on it, and the lines that lead to it from the room."""
    near, far = _leading(chain)
    marks = [line([_at(chain, base, spots[0]), _at(chain, base, spots[-1])])]
    for spot in spots:
        marks.append(line([_at(chain, base, spot, near), _at(chain, base, spot, far)]))
        marks.append(draw_tick(_at(chain, base, spot)))
    return group(*marks, stroke=pens.INK, stroke_width=pens.HAIR, class_="chain")


def draw_tick(at: Point) -> str:
    """Draw the oblique stroke at an end of a dimension line."""
    x, y = at
    return line([(x - TICK, y + TICK), (x + TICK, y - TICK)], stroke_width=pens.MIDDLE)


def _find_figure(
    scene: Scene,
    chain: Chain,
    base: float,
    spots: Sequence[float],
    place: int,
    text: str,
    taken: Taken,
    marks: Taken,
) -> tuple[Point, Patch] | None:
    """Find a figure's middle: where it covers neither a figure nor, if it can be, a line."""
    wide = width_of(text, SMALL)
    turn = 0.0 if chain.along_x else -90.0
    best: tuple[int, Point, Patch] | None = None
    for spot, off in _figure_places(spots, place, wide):
        at = _at(chain, base, spot, off)
        patch = turned_patch(at, wide + CLEAR, SMALL * 0.82, turn)
        if not is_within(scene.bounds, patch) or not is_free(taken, patch):
            continue
        crossed = touches(marks, patch)
        if best is None or crossed < best[0]:
            best = (crossed, at, patch)
        if not crossed:
            break
    return None if best is None or best[0] else best[1:]


def _figure_places(
    spots: Sequence[float], place: int, width: float
) -> Iterator[tuple[float, float]]:
    """List places for a figure: over its line, else beside it, else under it."""
    start, end = sorted((spots[place], spots[place + 1]))
    middle, half = (start + end) / 2, width / 2 + CLEAR + 0.3
    room = (end - start) / 2 - half
    if room >= 0:
        for share in (0.0, 0.3, -0.3, 0.6, -0.6, 0.9, -0.9):
            yield middle + share * room, ABOVE
        for share in (0.0, 0.5, -0.5):
            yield middle + share * room, BELOW
        return
    # Past an end of the row, else on the far side of the line, which fewer lines cross.
    for first, beside_it in ((place == 0, -1), (place == len(spots) - 2, 1)):
        if first:
            edge = spots[0] if beside_it < 0 else spots[-1]
            way = 1 if edge == max(spots) else -1
            yield edge + way * (half + TICK), ABOVE
            yield edge + way * (half + TICK), BELOW
    for off in (BELOW, ABOVE):
        for share in (0.0, 0.6, -0.6, 1.0, -1.0):
            yield middle + share * half, off


def draw_figure(text: str, at: Point, turn: float) -> str:
    """Write a figure about its middle."""
    x, y = at
    drop = SMALL * 0.35
    if turn == 0.0:
        return letters(text, (x, y + drop), SMALL, anchor="middle", class_="figure")
    if turn == -90.0:
        return letters(text, (x + drop, y), SMALL, anchor="middle", turn=-90.0, class_="figure")
    return letters(
        text, beside((x, y), drop, turn), SMALL, anchor="middle", turn=turn, class_="figure"
    )
