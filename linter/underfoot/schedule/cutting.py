"""Cutting stock along one line: which piece from which roll or offcut, and what is surely least.

Whole numbers of units throughout: a unit is the distance of the film's cut lines, or 1 mm. Least is
first the number of new rolls begun, then what is lost, then what is taken from new rolls, so that
offcuts go first. Lost is a rest of what was begun that is too short to be kept.
"""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from importlib.util import find_spec
from typing import Any

from msgspec import Struct

# The solver is asked for jobs of this many lengths times things to cut from, and no more.
MOST_UNKNOWNS = 250
# So many branches are looked at: a number, not a time, so that the same job gives the same list.
_MOST_NODES = 500


class Bar(Struct, frozen=True, kw_only=True):
    """Something to cut from: `units` long; `is_new` is a roll that is not begun yet."""

    units: int
    is_new: bool


class Cutting(Struct, frozen=True, kw_only=True):
    """How many pieces of each length are cut from each bar, and what that comes to.

    `least` are figures that no way to cut falls below, in the same order as `figures`: new rolls,
    units lost, units from new rolls.
    """

    taken: tuple[Mapping[int, int], ...]
    figures: tuple[int, int, int]
    least: tuple[int, int, int]
    solved: bool

    @property
    def is_least(self) -> bool:
        """Whether it is proved that nothing is better."""
        return self.solved or self.figures == self.least


def cut(pieces: Sequence[int], bars: Sequence[Bar], keep: int) -> Cutting | None:
    """Find the best way to cut pieces from bars, a rest of `keep` units not being lost.

    New rolls stand last and are all alike. None where the pieces do not fit.
    """
    demand = Counter(pieces)
    if not demand:
        return _judge((), (), keep, demand, solved=False)
    taken = _pack(demand, bars)
    found = None if taken is None else _judge(taken, bars, keep, demand, solved=False)
    if found is not None and found.is_least:
        return found
    if len(demand) * len(bars) > MOST_UNKNOWNS or find_spec("scipy") is None:
        return found
    solved = _solve(demand, bars, keep)
    if solved is None:
        return found
    better, is_proved = solved
    judged = _judge(better, bars, keep, demand, solved=is_proved)
    if found is not None and judged.figures > found.figures:
        return found
    return judged


def _judge(
    taken: Sequence[Mapping[int, int]],
    bars: Sequence[Bar],
    keep: int,
    demand: Mapping[int, int],
    *,
    solved: bool,
) -> Cutting:
    rolls = lost = from_new = 0
    for pieces, bar in zip(taken, bars, strict=True):
        used = _sum(pieces)
        if not used:
            continue
        rest = bar.units - used
        rolls += bar.is_new
        lost += rest if rest < keep else 0
        from_new += used if bar.is_new else 0
    return Cutting(
        taken=tuple(taken),
        figures=(rolls, lost, from_new),
        least=_bound(demand, bars),
        solved=solved,
    )


def _bound(demand: Mapping[int, int], bars: Sequence[Bar]) -> tuple[int, int, int]:
    """Bound all figures from below: by the sum of lengths, offcuts that are too short left out."""
    shortest = min(demand, default=0)
    wanted = _sum(demand)
    at_hand = sum(bar.units for bar in bars if not bar.is_new and bar.units >= shortest)
    beyond = max(0, wanted - at_hand)
    roll = max((bar.units for bar in bars if bar.is_new), default=0)
    return (-(-beyond // roll) if roll else 0, 0, beyond)


def _sum(pieces: Mapping[int, int]) -> int:
    return sum(length * count for length, count in pieces.items())


def _pack(demand: Mapping[int, int], bars: Sequence[Bar]) -> list[dict[int, int]] | None:
    """Put the longest pieces first: into the offcut that is left the least of, else the first roll.

    Where offcuts spoil that, none is used: the caller has counted the rolls without them.
    """
    return _pack_into(demand, bars) or _pack_into(
        demand, [bar if bar.is_new else Bar(units=0, is_new=False) for bar in bars]
    )


def _pack_into(demand: Mapping[int, int], bars: Sequence[Bar]) -> list[dict[int, int]] | None:
    left = [bar.units for bar in bars]
    taken: list[dict[int, int]] = [{} for _ in bars]
    offcuts = [at for at, bar in enumerate(bars) if not bar.is_new]
    rolls = [at for at, bar in enumerate(bars) if bar.is_new]
    for length in sorted(demand, reverse=True):
        for _ in range(demand[length]):
            fitting = [(left[at], at) for at in offcuts if left[at] >= length]
            at = min(fitting)[1] if fitting else None
            if at is None:
                at = next((at for at in rolls if left[at] >= length), None)
            if at is None:
                return None
            left[at] -= length
            taken[at][length] = taken[at].get(length, 0) + 1
    return taken


def _solve(
    demand: Mapping[int, int], bars: Sequence[Bar], keep: int
) -> tuple[list[dict[int, int]], bool] | None:
    """Solve it as whole numbers, one figure after the other; say whether each was proved least."""
    model = _Model(demand, bars, keep)
    caps: list[float] = []
    best: Any = None
    for goal in model.goals:
        result = model.solve(goal, caps)
        if result.x is None:
            return None if best is None else (model.read(best), False)
        best = result.x
        if result.status != 0:
            return model.read(best), False
        caps.append(round(float(goal @ best)))
    return model.read(best), True


class _Model:
    """The job as a mixed-integer programme.

    Unknowns: for each bar how many of each length are cut from it, whether it is begun, whether its
    rest is kept, and how much of it is lost.
    """

    def __init__(self, demand: Mapping[int, int], bars: Sequence[Bar], keep: int) -> None:
        import numpy as np

        self.lengths = sorted(demand, reverse=True)
        self.counts = [demand[length] for length in self.lengths]
        self.bars = bars
        self.keep = keep
        self.block = len(self.lengths) + 3
        self.size = self.block * len(bars)
        rolls, lost, used = (np.zeros(self.size) for _ in range(3))
        for at, bar in enumerate(bars):
            start = at * self.block
            lost[start + self.block - 1] = 1
            if bar.is_new:
                rolls[start + self.block - 3] = 1
                used[start : start + len(self.lengths)] = self.lengths
        self.goals = (rolls, lost, used)

    def solve(self, goal: Any, caps: Sequence[float]) -> Any:
        import numpy as np
        from scipy.optimize import Bounds, LinearConstraint, milp

        rows, low, high = [], [], []
        for coefficients, least, most in self._constraints():
            row = np.zeros(self.size)
            for at, value in coefficients:
                row[at] += value
            rows.append(row)
            low.append(least)
            high.append(most)
        for earlier, cap in zip(self.goals, caps, strict=False):
            rows.append(earlier)
            low.append(-np.inf)
            high.append(cap)
        upper = np.array([limit for bar in self.bars for limit in self._limits(bar)], dtype=float)
        whole = np.ones(self.size)
        return milp(
            goal,
            constraints=LinearConstraint(np.array(rows), low, high),
            bounds=Bounds(0, upper),
            integrality=whole,
            options={"mip_rel_gap": 0.0, "node_limit": _MOST_NODES},
        )

    def _limits(self, bar: Bar) -> Iterator[int]:
        for length, count in zip(self.lengths, self.counts, strict=True):
            yield min(count, bar.units // length)
        yield from (1, 1, bar.units)

    def _constraints(self) -> Iterator[tuple[list[tuple[int, float]], float, float]]:
        infinite = float("inf")
        for place, count in enumerate(self.counts):
            cells = [(at * self.block + place, 1.0) for at in range(len(self.bars))]
            yield cells, count, count
        for at, bar in enumerate(self.bars):
            start = at * self.block
            begun, kept, lost = (start + self.block - back for back in (3, 2, 1))
            cut_off = [(start + place, float(length)) for place, length in enumerate(self.lengths)]
            # No more than there is, and nothing of what is not begun.
            yield [*cut_off, (begun, -float(bar.units))], -infinite, 0
            # The rest is lost unless it is kept: begun x units - cut - units x kept <= lost.
            yield (
                [
                    *cut_off, (begun, -float(bar.units)), (kept, float(bar.units)), (lost, 1.0),
                ],
                0,
                infinite,
            )  # fmt: skip
            # It is kept only where it is long enough.
            yield [*cut_off, (begun, -float(bar.units)), (kept, float(self.keep))], -infinite, 0
            if at and bar.is_new and self.bars[at - 1].is_new:
                yield [(begun - self.block, 1.0), (begun, -1.0)], 0, infinite

    def read(self, solution: Any) -> list[dict[int, int]]:
        taken = []
        for at in range(len(self.bars)):
            start = at * self.block
            counts = [round(float(solution[start + place])) for place in range(len(self.lengths))]
            taken.append({length: n for length, n in zip(self.lengths, counts, strict=True) if n})
        return taken
