"""The fewest new rolls, against a bound that a second method proves.

Each length is given a worth so that no way to cut one roll is worth more than 1: then all pieces
together are worth no more than the rolls that they are cut from. The worths come out of a linear
programme that takes in one way to cut after the other; that they do what they must is seen by
trying every length of a roll in whole numbers, so that nothing rests on a solver being right.
"""

import random
from collections import Counter

import pytest

from underfoot.schedule.cutting import Bar, cut

pytestmark = pytest.mark.usefixtures("solver")

# A roll's worth, in the parts in which worths are counted.
WHOLE = 10_000_000


@pytest.fixture(scope="module")
def solver() -> None:
    pytest.importorskip("scipy", reason="the extra 'schedule' is not installed")


def best_way(roll: int, worths: dict[int, int]) -> tuple[int, Counter[int]]:
    """The way to cut a roll that is worth most: for each length in turn, out of all shorter."""
    best, last = [0], [0]
    for length in range(1, roll + 1):
        fitting = ((best[length - piece] + worth, piece) for piece, worth in worths.items()
                   if piece <= length)  # fmt: skip
        worth, piece = max(fitting, default=(0, 0))
        worth, piece = (worth, piece) if worth > best[-1] else (best[-1], 0)
        best.append(worth)
        last.append(piece)
    way: Counter[int] = Counter()
    at = roll
    while at > 0:
        if last[at]:
            way[last[at]] += 1
        at -= last[at] or 1
    return best[roll], way


def prove_least(pieces: list[int], roll: int) -> int:
    """A number of rolls that no way to cut all pieces falls below."""
    from scipy.optimize import linprog

    demand = Counter(pieces)
    lengths = sorted(demand)
    ways = [Counter({length: roll // length}) for length in lengths]
    while True:
        table = [[way[length] for length in lengths] for way in ways]
        found = linprog(
            [-demand[length] for length in lengths], A_ub=table, b_ub=[1] * len(ways), bounds=(0, 1)
        )
        worths = {
            length: int(WHOLE * worth) for length, worth in zip(lengths, found.x, strict=True)
        }
        most, way = best_way(roll, worths)
        if most <= WHOLE or way in ways:
            break
        ways.append(way)
    together = sum(worths[length] * count for length, count in demand.items())
    return -(-together // max(most, WHOLE))


def test_worths_prove_what_is_known_of_small_jobs() -> None:
    assert prove_least([6, 6, 6], 10) == 3
    assert prove_least([5, 5, 5, 5], 10) == 2
    # 6 3 3 and 4 4 4 fill two rolls of 12.
    assert prove_least([6, 4, 4, 4, 3, 3], 12) == 2
    # By length alone two would do: 3 x 7 is 21 of 24; but two of 7 do not go into 12.
    assert prove_least([7, 7, 7], 12) == 3


@pytest.mark.parametrize("seed", range(8))
def test_no_way_begins_fewer_rolls(seed: int) -> None:
    chance = random.Random(seed)
    # Rolls of 10 to 25 m in cut lines of 250 mm, strips of 1 to 6 m, a few lengths each.
    roll = chance.randrange(40, 101)
    lengths = [chance.randrange(4, 25) for _ in range(chance.randrange(2, 6))]
    pieces = [chance.choice(lengths) for _ in range(chance.randrange(8, 41))]
    count = len(pieces) // max(1, roll // max(lengths)) + 1
    found = cut(pieces, [Bar(units=roll, is_new=True)] * count, keep=4)
    assert found is not None
    assert sum(map(Counter, found.taken), Counter()) == Counter(pieces)
    least = prove_least(pieces, roll)
    assert found.figures[0] >= least
    assert found.is_least
    assert found.figures[0] == least
