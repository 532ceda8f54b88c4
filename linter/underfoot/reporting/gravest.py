"""Keeps the gravest of what comes, as many as are taken, and counts what it had to leave out."""

from collections import Counter
from heapq import heappush, heappushpop

from msgspec import Struct

from underfoot.reporting.spool import Spool


class Kept(Struct, frozen=True, kw_only=True):
    """Something kept: 0 is the gravest `rank`; among equals what came first goes before."""

    rank: int
    order: int
    place: tuple[int, int]
    kind: str

    @property
    def bytes(self) -> int:
        """How long the text is."""
        return self.place[1]


class Gravest:
    """Text by gravity, at most `most` of it; the rest is counted by kind in `left_out`."""

    def __init__(self, most: int) -> None:
        self.most = most
        self.left_out: Counter[str] = Counter()
        self._spool = Spool()
        # The least grave of those kept stands first.
        self._heap: list[tuple[int, int, Kept]] = []
        self._come = 0

    def add(self, rank: int, kind: str, text: str) -> str | None:
        """Take in a text, counted as `kind`; give the kind of the one left out for it, if any."""
        order = self._come
        self._come += 1
        if len(self._heap) < self.most:
            heappush(self._heap, self._entry(rank, order, kind, text))
            return None
        if self._heap and (-rank, -order) > self._heap[0][:2]:
            dropped = heappushpop(self._heap, self._entry(rank, order, kind, text))
            kind = dropped[2].kind
        self.left_out[kind] += 1
        return kind

    def _entry(self, rank: int, order: int, kind: str, text: str) -> tuple[int, int, Kept]:
        return -rank, -order, Kept(rank=rank, order=order, place=self._spool.keep(text), kind=kind)

    def by_gravity(self) -> list[Kept]:
        """List what is kept, the gravest first."""
        return [kept for _, _, kept in sorted(self._heap, reverse=True)]

    def read(self, kept: Kept) -> str:
        """Return a text."""
        return self._spool.read_at(kept.place)


def in_order(kept: list[Kept]) -> list[Kept]:
    """List what is kept as it came."""
    return sorted(kept, key=lambda each: each.order)
