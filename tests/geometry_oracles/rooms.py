"""Random rooms with strips, fixtures, joints, leads and a sensor, as plan data."""

from dataclasses import dataclass, field
from typing import Any

import numpy as np
from hypothesis import strategies as st

from tests.geometry_oracles.raster import rectangle
from underfoot.checking.report import PlanReport

Data = dict[str, Any]
Corners = np.ndarray
Pair = tuple[float, float]

WIDTH = 500.0
STANDING = ("floor-mounted", "structure", "heat source", "fixings", "basin")
# The least open height that lets the heat out: the default of covered-floor.
CLEAR = 60.0
# Gaps between two strips side by side, on both sides of every limit.
GAPS = (0.0, 0.6, 3.0, 9.4, 10.6, 12.0, 60.0, 151.0, 248.0, 252.0, 300.0)
# How long two strips face each other, on both sides of the limit.
FACING = (40.0, 95.0, 105.0, 170.0)


@dataclass(frozen=True, slots=True)
class Drawn:
    """A room's things as corners and lines, beside the data that says the same."""

    outline: Corners
    strips: dict[str, Corners]
    fixtures: dict[str, tuple[Data, Corners]] = field(default_factory=dict)
    joints: dict[str, Corners] = field(default_factory=dict)
    leads: dict[str, Corners] = field(default_factory=dict)
    route: Corners = field(default_factory=lambda: np.empty((0, 2)))
    sensor: Pair = (0.0, 0.0)
    data: Data = field(default_factory=dict)

    @property
    def standing(self) -> dict[str, Corners]:
        """The fixtures that are not on legs."""
        return {
            name: corners
            for name, (entry, corners) in self.fixtures.items()
            if entry["kind"] != "on legs"
        }

    @property
    def low(self) -> dict[str, Corners]:
        """The fixtures on legs too low to heat the floor below them."""
        return {
            name: corners
            for name, (entry, corners) in self.fixtures.items()
            if entry["kind"] == "on legs" and entry["clear"] < CLEAR
        }

    def runs_up(self, name: str) -> bool:
        """Tell whether a strip's length runs from its first corner to its last."""
        return bool(self.data["elements"][name]["along"] == "y")


def _whole(low: int, high: int, step: int = 1) -> st.SearchStrategy[float]:
    return st.integers(low // step, high // step).map(lambda value: float(value * step))


@st.composite
def outlines(draw: st.DrawFn) -> list[list[float]]:
    """Draw a rectangle, an L, a T, a U, or a room with slanted walls."""
    w, h = draw(_whole(1500, 4500, 10)), draw(_whole(1500, 4500, 10))
    kind = draw(st.sampled_from(("rectangle", "L", "T", "U", "slanted", "bay")))
    a, b = draw(st.floats(0.2, 0.8)), draw(st.floats(0.2, 0.8))
    x, y = round(a * w), round(b * h)
    if kind == "L":
        return [[0, 0], [w, 0], [w, y], [x, y], [x, h], [0, h]]
    if kind == "T":
        left = round(x * 0.5)
        return [[0, y], [left, y], [left, 0], [x, 0], [x, y], [w, y], [w, h], [0, h]]
    if kind == "U":
        far = round(x + (w - x) * 0.6)
        return [[0, 0], [w, 0], [w, h], [far, h], [far, y], [x, y], [x, h], [0, h]]
    if kind == "slanted":
        return [[round(x * 0.3), 0], [w, round(y * 0.4)], [round(w * 0.9), h], [0, round(h * 0.8)]]
    if kind == "bay":
        return [[0, 0], [w, 0], [w, y], [w + 400, round(y + (h - y) / 2)], [w, h], [x, h + 300],
                [0, h]]  # fmt: skip
    return [[0, 0], [w, 0], [w, h], [0, h]]


@st.composite
def strips(draw: st.DrawFn, w: float, h: float, *, in_a_row: bool) -> dict[str, Data]:
    """Draw strips that lie anywhere, upright, lying, turned, and side by side with a gap.

    In a row, all lie side by side, from near a corner of the room on.
    """
    found: dict[str, Data] = {}
    along, at, length = "y", (60.0, 60.0), 1000.0
    for number in range(1, draw(st.integers(1, 6)) + 1):
        before, length = length, draw(_whole(300, 2600, 5))
        if number > 1 and (in_a_row or draw(st.booleans())):
            # Beside the last one, shifted along it.
            gap = draw(st.sampled_from(GAPS))
            # Shifted back or forth at will, or so far that they barely face each other.
            barely = st.sampled_from(FACING).map(lambda facing, last=before: last - facing)
            shift = draw(st.one_of(_whole(-900, 900, 25), barely))
            at = _beside(at, along, WIDTH + gap, shift)
        else:
            turned = draw(st.sampled_from(("x", "y", "y", "turned")))
            along = f"{draw(_whole(1, 179))} deg" if turned == "turned" else turned
            least, far = (60, 0.4) if in_a_row else (-300, 1.0)
            at = (draw(_whole(least, int(far * w), 5)), draw(_whole(least, int(far * h), 5)))
        found[f"E{number}"] = {
            "film": "film-80", "at": list(at), "along": along, "length": length, "circuit": "C1",
        }  # fmt: skip
    return found


def _beside(at: Pair, along: str, across: float, shift: float) -> Pair:
    corners = rectangle(at, along, 1.0, 1.0)
    if along == "y":
        return at[0] + across, at[1] + shift
    u, v = corners[1] - corners[0], corners[3] - corners[0]
    x, y = np.asarray(at) + shift * u + across * v
    return float(x), float(y)


@st.composite
def fixtures(draw: st.DrawFn, w: float, h: float) -> dict[str, Data]:
    """Draw up to three fixtures, right-angled or three-cornered."""
    found: dict[str, Data] = {}
    for number in range(1, draw(st.integers(0, 3)) + 1):
        x, y = draw(_whole(-100, int(w), 5)), draw(_whole(-100, int(h), 5))
        a, b = draw(_whole(40, 900, 5)), draw(_whole(40, 900, 5))
        entry: Data = {"kind": draw(st.sampled_from((*STANDING, "on legs")))}
        if draw(st.booleans()):
            entry |= {"at": [x, y], "size": [a, b]}
        else:
            entry |= {"outline": [[x, y], [x + a, y + b / 3], [x + a / 4, y + b]]}
        if entry["kind"] == "on legs":
            entry["clear"] = draw(st.sampled_from((40, 120)))
        elif draw(st.booleans()):
            entry["stands_on"] = "subfloor"
        found[f"F{number}"] = entry
    return found


def fixture_corners(entry: Data) -> Corners:
    """Return the corners of a fixture."""
    if "outline" in entry:
        return np.array(entry["outline"], dtype=float)
    return rectangle(entry["at"], "x", *entry["size"])


@st.composite
def ways(draw: st.DrawFn, w: float, h: float, most: int = 4) -> list[list[float]]:
    """Draw a line of two or more points, some outside the box."""
    return [
        [draw(_whole(-100, int(w) + 100)) + 0.25, draw(_whole(-100, int(h) + 100)) + 0.25]
        for _ in range(draw(st.integers(2, most)))
    ]


def _below(strip: Data, draw: st.DrawFn) -> list[float]:
    """Draw a place below a strip, or just beside it."""
    corners = rectangle(strip["at"], strip["along"], strip["length"], WIDTH)
    s, t = draw(st.floats(-0.1, 1.1)), draw(st.one_of(st.floats(-0.1, 1.1), st.floats(0.9, 1)))
    x, y = corners[0] + s * (corners[1] - corners[0]) + t * (corners[3] - corners[0])
    return [float(x), float(y)]


@st.composite
def rooms(draw: st.DrawFn, *, in_a_row: bool = False) -> Drawn:
    """Draw a whole room; leads and the sensor's route are lines of bends."""
    outline = draw(outlines())
    w, h = np.max(outline, axis=0)
    laid = draw(strips(w, h, in_a_row=in_a_row))
    standing = draw(fixtures(w, h))
    has_length = ways(w, h, 3).filter(lambda way: any(place != way[0] for place in way))
    joints = {f"J{n}": draw(has_length) for n in range(draw(st.integers(0, 2)))}
    leads = {f"L{n}": draw(ways(w, h)) for n in range(draw(st.integers(0, 2)))}
    box = [draw(_whole(0, int(w))) + 0.5, 0.0]
    route = [box, *draw(ways(w, h, 3))]
    if in_a_row or draw(st.booleans()):
        route[-1] = _below(laid[draw(st.sampled_from(sorted(laid)))], draw)
    data: Data = {
        "outline": outline,
        "rows": None,
        "elements": laid,
        "fixtures": standing,
        "joints": joints,
        "junction_box": {"at": box, "height": 450},
        "sensor": {"at": route[-1], "route": ["junction-box", *route[1:-1]], "cable": "99 m"},
        "leads": {"W1": None}
        | {
            name: {"circuit": "C1", "size": "1.5 mm2", "recessed": True, "route": line}
            for name, line in leads.items()
        },
    }
    return Drawn(
        outline=np.array(outline, dtype=float),
        strips={
            name: rectangle(strip["at"], strip["along"], strip["length"], WIDTH)
            for name, strip in laid.items()
        },
        fixtures={name: (entry, fixture_corners(entry)) for name, entry in standing.items()},
        joints={name: np.array(line) for name, line in joints.items()},
        leads={name: np.array(line) for name, line in leads.items()},
        route=np.array(route),
        sensor=(route[-1][0], route[-1][1]),
        data=data,
    )


def measured(report: PlanReport, rule: str) -> dict[tuple[str, ...], float]:
    """Return what a rule found: measures by items."""
    assert not report.faults, report.faults
    found = {}
    for each in report.findings:
        if each.rule == rule:
            assert each.measured is not None
            found[each.items] = each.measured.value
    return found


def judge(
    found: dict[tuple[str, ...], float],
    true: dict[tuple[str, ...], float],
    limit: float,
    tolerance: float,
    *,
    is_least: bool = False,
) -> None:
    """Hold a rule's findings against true measures, past a limit by more than the tolerance.

    `true` holds every subject; what lies nearer to the limit than the tolerance may be found or
    not. The measures of findings may be off by the tolerance.
    """
    unknown = set(found) - set(true)
    assert not unknown, f"found without cause: {unknown}"
    for items, value in true.items():
        past = limit - value if is_least else value - limit
        if past > tolerance:
            assert items in found, f"{items} not found: {value}"
        elif past < -tolerance:
            assert items not in found, f"{items} found: {found[items]}, in truth {value}"
        if items in found:
            assert abs(found[items] - value) <= tolerance, f"{items}: {found[items]}, not {value}"
