"""The floor that strips heat together."""

from collections.abc import Iterable
from itertools import combinations

import numpy as np

# Gaps up to this between strips whose sides face each other count as heated (mm).
CLOSED = 10.0


def closed_gaps(strips: Iterable[np.ndarray]) -> list[np.ndarray]:
    """Return what lies between two sides that face each other at up to 10 mm.

    Where two such gaps cross, the crossing is closed too: gaps between strips and gaps are looked
    for in a second round.
    """
    areas = list(strips)
    closing: list[np.ndarray] = []
    for _ in range(2):
        new = []
        for one, other in combinations([*areas, *closing], 2):
            for turned in (one, np.roll(one, 1, axis=0)):
                gap = _facing(turned, other)
                if gap is not None:
                    new.append(gap)
        closing = new
    return closing


def _facing(one: np.ndarray, other: np.ndarray) -> np.ndarray | None:
    u = (one[1] - one[0]) / np.hypot(*(one[1] - one[0]))
    v = np.array((-u[1], u[0]))
    w = other[1] - other[0]
    if min(abs(u[0] * w[1] - u[1] * w[0]), abs(u @ w)) > 1e-6 * np.hypot(*w):
        return None
    start, end = max(np.min(one @ u), np.min(other @ u)), min(np.max(one @ u), np.max(other @ u))
    low, high = np.max(one @ v), np.min(other @ v)
    if high < low:
        low, high = np.max(other @ v), np.min(one @ v)
    if end - start <= 1e-6 or not 1e-9 < high - low <= CLOSED:
        return None
    return np.array([s * u + t * v for s, t in
                     ((start, low), (end, low), (end, high), (start, high))])  # fmt: skip
