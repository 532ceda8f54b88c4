"""Lines of equal temperature through a grid of cells (marching squares)."""

from underfoot.physics.field import Floats

Point = tuple[float, float]

# For each of the sixteen ways that a square's corners (low left, low right, high right, high left)
# lie above a level: the sides that a line joins. Sides: 0 low, 1 right, 2 high, 3 left.
_SIDES: tuple[tuple[tuple[int, int], ...], ...] = (
    (), ((3, 0),), ((0, 1),), ((3, 1),), ((1, 2),), ((3, 0), (1, 2)), ((0, 2),), ((3, 2),),
    ((2, 3),), ((2, 0),), ((0, 1), (2, 3)), ((2, 1),), ((1, 3),), ((1, 0),), ((0, 3),), (),
)  # fmt: skip


def trace_isotherms(values: Floats, level: float) -> list[list[Point]]:
    """Trace the lines on which `values` (rows, columns) are at `level`.

    Points are in cells, measured from the low left corner of the grid; values stand at the cells'
    centres. Squares that touch a cell without a value are left out.
    """
    import numpy as np

    above = values >= level
    known = ~np.isnan(values)
    corner = (
        (slice(None, -1), slice(None, -1)),
        (slice(None, -1), slice(1, None)),
        (
            slice(1, None),
            slice(1, None),
        ),
        (slice(1, None), slice(None, -1)),
    )
    bits = [above[where].astype(int) << bit for bit, where in enumerate(corner)]
    kind = bits[0] + bits[1] + bits[2] + bits[3]
    whole = known[corner[0]] & known[corner[1]] & known[corner[2]] & known[corner[3]]
    rows, columns = np.nonzero(whole & (kind > 0) & (kind < 15))
    pieces: dict[Point, list[Point]] = {}
    for row, column in zip(rows.tolist(), columns.tolist(), strict=True):
        four = (
            float(values[row, column]),
            float(values[row, column + 1]),
            float(values[row + 1, column + 1]),
            float(values[row + 1, column]),
        )
        for sides in _SIDES[int(kind[row, column])]:
            ends = [_crossing(side, row, column, four, level) for side in sides]
            pieces.setdefault(ends[0], []).append(ends[1])
            pieces.setdefault(ends[1], []).append(ends[0])
    return _join(pieces)


def _crossing(side: int, row: int, column: int, four: tuple[float, ...], level: float) -> Point:
    first, second = four[side], four[(side + 1) % 4]
    share = (level - first) / (second - first)
    x, y = column + 0.5, row + 0.5
    place = (
        (x + share, y),
        (x + 1, y + share),
        (x + 1 - share, y + 1),
        (x, y + 1 - share),
    )[side]
    return (round(place[0], 4), round(place[1], 4))


def _join(pieces: dict[Point, list[Point]]) -> list[list[Point]]:
    """Join pieces end to end, from open ends first, in the order met."""
    lines = []
    for start in sorted(pieces, key=lambda point: (len(pieces[point]) != 1, point)):
        while pieces[start]:
            line = [start]
            while pieces[line[-1]]:
                following = pieces[line[-1]].pop(0)
                pieces[following].remove(line[-1])
                line.append(following)
            lines.append(line)
    return lines
