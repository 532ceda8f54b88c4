"""Packs, rolls and reels to buy: how many hold what is needed, and what is left over."""

import math
from bisect import bisect_left, insort
from collections.abc import Sequence

from msgspec import Struct

from underfoot.schedule.cutting import Bar, cut
from underfoot.schedule.items import Item

_CLOSE = 1e-6
_MM = 1000


class Bought(Struct, frozen=True, kw_only=True):
    """So many packs that hold `pack` each, and what is `left` of them, in the unit of the amount.

    `joined` says that a piece is longer than a pack holds: it is put together from several.
    """

    packs: int
    pack: float
    left: float
    joined: bool = False


def count_packs(item: Item) -> Bought | None:
    """Count the packs of a thing; None where it is not said what a pack holds, or how much it is.

    What must stay whole is cut from packs piece by piece; of all else packs are used up.
    """
    if item.amount is None or item.pack is None:
        return None
    if item.whole:
        packs, joined = _cut_from(item.whole, item.pack)
    else:
        packs, joined = math.ceil(item.amount / item.pack - _CLOSE), False
    left = max(0.0, packs * item.pack - item.amount)
    return Bought(packs=packs, pack=item.pack, left=left, joined=joined)


def _cut_from(pieces: Sequence[float], pack: float) -> tuple[int, bool]:
    """Count the reels that hold pieces, each in one, and say whether one is too long for that."""
    reel = math.floor(pack * _MM + _CLOSE)
    lengths = [math.ceil(piece * _MM - _CLOSE) for piece in pieces]
    used_up = sum(length // reel for length in lengths if length > reel)
    rests = [length % reel if length > reel else length for length in lengths]
    return used_up + _count_reels([rest for rest in rests if rest], reel), max(lengths) > reel


def _count_reels(lengths: Sequence[int], reel: int) -> int:
    """Put the longest first where the least is left; where fewer might do, ask the solver."""
    left: list[int] = []
    for length in sorted(lengths, reverse=True):
        at = bisect_left(left, length)
        rest = left.pop(at) if at < len(left) else reel
        insort(left, rest - length)
    if len(left) <= -(-sum(lengths) // reel):
        return len(left)
    cutting = cut(lengths, [Bar(units=reel, is_new=True)] * len(left), 0)
    return len(left) if cutting is None else min(len(left), cutting.figures[0])
