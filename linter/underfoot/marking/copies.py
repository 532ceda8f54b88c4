"""Finds submissions that are the same plan in a disguise, as a reason to talk, never as a fault.

Seen through: other ids, another order, other units, mirroring and quarter turns, a common shift
of a whole layout, and a few things drawn anew. What the brief itself gives is no evidence.
"""

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations

from msgspec import Struct
from msgspec.structs import replace

from underfoot.marking.content import Spot
from underfoot.marking.nudges import Near, Spread, measure_near
from underfoot.marking.traits import RoomTraits, Traits, sum_up
from underfoot.marking.turns import TURNS
from underfoot.reporting.layout import count_of

# Two places that are no farther apart are the same choice; a layout may be moved by so much.
SAME_PLACE = 12.0
FARTHEST_SHIFT = 150.0
# The same plan shares this part of its strips, and this part of its free choices.
LEAST_STRIPS = 0.9
LEAST_SHARED = 0.8
# So many free choices must coincide, and so many of them places on the floor.
LEAST_CHOICES = 4
LEAST_PLACES = 2
# Pairs as near as this would turn up by chance no more often than in one class of ten thousand.
MOST_BY_CHANCE = 0.0001
# What more than this part of a class chose (and more than two) is the usual way, and no evidence.
USUAL = 1 / 3


class Likeness(Struct, frozen=True, kw_only=True):
    """Two submissions that are worth a talk; `said` lists what they share and how it differs."""

    one: str
    other: str
    shared: float
    said: str


def find_copies(
    plans: Sequence[tuple[str, Traits]],
    brief: Traits | None,
    files: Sequence[tuple[str, str]] = (),
) -> tuple[Likeness, ...]:
    """Compare every two plans of different names; `files` are names with their files' sums.

    The same file, or the same content, is named however many handed it in. Else the strips must
    coincide, but they are no evidence: in a small room every right answer has nearly the same.
    Evidence is what else was free to choose and is not usual in the class.
    """
    found = _find_same(files, "the files are the same, byte for byte")
    free = [(name, sum_up(traits)) for name, traits in plans if _is_free(traits, brief)]
    found += _find_same(free, "every strip, place and figure is the same", found)
    known = _list_linked(found)
    usual = _find_usual([traits for _, traits in plans])
    if brief is not None:
        usual = _add_brief(usual, brief)
    measured = _measure_all(plans, brief)
    for (one, ours), (other, theirs) in combinations(plans, 2):
        if one == other or known.get(one, one) == known.get(other, other):
            continue
        near = measured.by_pair.get((one, other))
        likeness = compare(one, ours, other, theirs, usual)
        if likeness is None and near is not None and near.chance * measured.pairs <= MOST_BY_CHANCE:
            likeness = Likeness(one=one, other=other, shared=near.share, said=_say_near(near))
        if likeness is not None:
            found.append(replace(likeness, said=f"{likeness.said}; {measured.say(near)}"))
    return tuple(sorted(found, key=lambda pair: (-pair.shared, pair.one, pair.other)))


def _find_same(
    things: Sequence[tuple[str, str]], said: str, known: Sequence[Likeness] = ()
) -> list[Likeness]:
    """Name all that are the same, each with the first of them."""
    linked = _list_linked(known)
    by_sum: dict[str, list[str]] = {}
    for name, thing in things:
        names = by_sum.setdefault(thing, [])
        if name not in names:
            names.append(name)
    found = []
    for first, *others in by_sum.values():
        many = f" ({len(others) + 1} of them)" if len(others) > 1 else ""
        found += [
            Likeness(one=first, other=other, shared=1.0, said=f"{said}{many}")
            for other in others
            if linked.get(first, first) != linked.get(other, other)
        ]
    return found


def _list_linked(found: Sequence[Likeness]) -> dict[str, str]:
    """Return the first of those that are the same, by the name of each."""
    linked: dict[str, str] = {}
    for pair in found:
        first = linked.get(pair.one, pair.one)
        linked[pair.one] = linked[pair.other] = first
    return linked


def _is_free(traits: Traits, brief: Traits | None) -> bool:
    """Tell whether enough of a plan is not the brief's own."""
    given = Usual() if brief is None else _add_brief(Usual(), brief)
    places = sum(
        _cell(number, kind, spot) not in given.places
        for number, room in enumerate(traits.rooms)
        for kind, spot in room.spots
    )
    figures = sum(one not in given.figures for one in traits.figures)
    return places >= LEAST_PLACES and places + figures >= LEAST_CHOICES


class _Measured(Struct, frozen=True, kw_only=True):
    """How near all pairs are, where they are built alike, and how many pairs there are."""

    by_pair: Mapping[tuple[str, str], Near]
    pairs: int

    def say(self, near: Near | None) -> str:
        """Say how many pairs of the class are as alike."""
        alike = 1
        if near is not None:
            alike = sum(one.chance <= near.chance for one in self.by_pair.values())
        share = 100 * alike / self.pairs
        part = f"{share:.0f} %" if share >= 10 else f"{share:.1g} %"
        verb = "is" if alike == 1 else "are"
        return f"of {count_of(self.pairs, 'pair')} in the class {alike} {verb} as alike ({part})"


def _measure_all(plans: Sequence[tuple[str, Traits]], brief: Traits | None) -> _Measured:
    spread = Spread([traits for _, traits in plans], brief)
    by_pair = {}
    pairs = 0
    for (one, ours), (other, theirs) in combinations(plans, 2):
        if one == other:
            continue
        pairs += 1
        near = measure_near(ours, theirs, spread)
        if near is not None and near.is_alike:
            by_pair[one, other] = near
    return _Measured(by_pair=by_pair, pairs=pairs)


def _say_near(near: Near) -> str:
    moved = f"{near.nudged} were moved a little, by no more than {near.farthest:.0f} mm"
    return (
        f"of {near.cells} coordinates and figures that were free to choose {near.same} are the "
        f"same and {moved}"
    )


class Usual(Struct, frozen=True, kw_only=True):
    """Figures and places (by room, kind and cell) that are nobody's own choice."""

    figures: frozenset[tuple[str, float]] = frozenset()
    places: frozenset[tuple[int, str, int, int]] = frozenset()


NOTHING_USUAL = Usual()


def _cell(room: int, kind: str, spot: Spot) -> tuple[int, str, int, int]:
    return room, kind, round(spot[0] / SAME_PLACE), round(spot[1] / SAME_PLACE)


def _cells(traits: Traits) -> set[tuple[int, str, int, int]]:
    return {
        _cell(number, kind, spot)
        for number, room in enumerate(traits.rooms)
        for kind, spot in room.spots
    }


def _find_usual(plans: Sequence[Traits]) -> Usual:
    figures: Counter[tuple[str, float]] = Counter()
    places: Counter[tuple[int, str, int, int]] = Counter()
    for traits in plans:
        figures.update(set(traits.figures))
        places.update(_cells(traits))
    many = max(2.0, USUAL * len(plans))
    return Usual(
        figures=frozenset(one for one, number in figures.items() if number > many),
        places=frozenset(one for one, number in places.items() if number > many),
    )


def _add_brief(usual: Usual, brief: Traits) -> Usual:
    return Usual(figures=usual.figures | set(brief.figures), places=usual.places | _cells(brief))


def compare(
    one: str, ours: Traits, other: str, theirs: Traits, usual: Usual = NOTHING_USUAL
) -> Likeness | None:
    """Compare two plans; None where they are not the same plan."""
    if len(ours.rooms) != len(theirs.rooms):
        return None
    strips = sum(len(r.rects) for r in ours.rooms), sum(len(r.rects) for r in theirs.rooms)
    if not min(strips) or min(strips) < LEAST_STRIPS * max(strips):
        return None
    mine_free = Counter(one for one in ours.figures if one not in usual.figures)
    yours_free = Counter(one for one in theirs.figures if one not in usual.figures)
    figures_met = sum((mine_free & yours_free).values())
    own = [
        (_own(number, mine, usual), _own(number, yours, usual))
        for number, (mine, yours) in enumerate(zip(ours.rooms, theirs.rooms, strict=True))
    ]
    free = sum(len(mine.spots) for mine, _ in own), sum(len(yours.spots) for _, yours in own)
    choices = max(free[0] + sum(mine_free.values()), free[1] + sum(yours_free.values()))
    if min(free) + figures_met < LEAST_SHARED * choices:
        return None  # however the rooms may be laid on each other
    strips_met = places_met = 0
    ways: list[str] = []
    for mine, yours in own:
        met, way = _match_room(mine, yours)
        strips_met += met[0]
        places_met += met[1]
        ways.append(way)
    if strips_met < LEAST_STRIPS * max(strips) or places_met < LEAST_PLACES:
        return None
    met_all = places_met + figures_met
    if met_all < LEAST_CHOICES or met_all < LEAST_SHARED * choices:
        return None
    said = (
        f"{strips_met} of {max(strips)} strips coincide ({', '.join(dict.fromkeys(ways))}), and "
        f"so do {met_all} of {choices} choices that are not usual in the class: "
        f"{count_of(places_met, 'place')} and {count_of(figures_met, 'figure')}"
    )
    return Likeness(one=one, other=other, shared=met_all / choices, said=said)


def _own(number: int, room: RoomTraits, usual: Usual) -> RoomTraits:
    spots = tuple(
        (kind, spot) for kind, spot in room.spots if _cell(number, kind, spot) not in usual.places
    )
    return RoomTraits(rects=room.rects, spots=spots)


def _match_room(mine: RoomTraits, yours: RoomTraits) -> tuple[tuple[int, int], str]:
    """Return how many strips and places coincide at best, and how one room is laid on the other."""
    best, how = (0, 0), "as drawn"
    for name, turn in TURNS.items():
        turned = mine.turned(turn)
        for shift in _shifts(turned, yours):
            met = _coincide(turned, yours, shift)
            if sum(met) > sum(best):
                far = math.hypot(*shift)
                best = met
                how = name if far < 1 else f"{name}, moved by {far:.0f} mm"
    return best, how


def _shifts(mine: RoomTraits, yours: RoomTraits) -> Iterator[Spot]:
    """Yield no shift, and those that bring most strips onto strips of their size."""
    yield 0.0, 0.0
    votes: Counter[tuple[int, int]] = Counter()
    for _, spot, half in mine.rects[:80]:
        for _, other, size in yours.rects[:80]:
            if abs(half[0] - size[0]) < SAME_PLACE and abs(half[1] - size[1]) < SAME_PLACE:
                dx, dy = other[0] - spot[0], other[1] - spot[1]
                if math.hypot(dx, dy) <= FARTHEST_SHIFT:
                    votes[round(dx / 5), round(dy / 5)] += 1
    for (dx, dy), _ in sorted(votes.items(), key=lambda pair: (-pair[1], pair[0]))[:3]:
        yield dx * 5.0, dy * 5.0


def _coincide(mine: RoomTraits, yours: RoomTraits, shift: Spot) -> tuple[int, int]:
    """Count the strips and the places that lie on each other, each taken once.

    A shift is the strips'; what hangs on a wall may have stayed where it was.
    """
    strips = places = 0
    left = list(yours.rects)
    for kind, spot, half in mine.rects:
        for place, (other_kind, other, size) in enumerate(left):
            if (
                kind == other_kind
                and _near((spot[0] + shift[0], spot[1] + shift[1]), other)
                and _near(half, size)
            ):
                del left[place]
                strips += 1
                break
    spots = list(yours.spots)
    for kind, spot in mine.spots:
        moved = (spot[0] + shift[0], spot[1] + shift[1])
        for place, (other_kind, other) in enumerate(spots):
            if kind == other_kind and (_near(moved, other) or _near(spot, other)):
                del spots[place]
                places += 1
                break
    return strips, places


def _near(one: Spot, other: Spot) -> bool:
    return abs(one[0] - other[0]) <= SAME_PLACE and abs(one[1] - other[1]) <= SAME_PLACE
