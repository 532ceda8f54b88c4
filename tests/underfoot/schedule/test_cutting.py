"""Cutting stock, against every way to cut that there is, where those are few."""

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.effort import examples
from tests.there import there
from underfoot.schedule import cutting
from underfoot.schedule.cutting import Bar, Cutting, cut

NEW = True


def bars(*lengths: int, rolls: int = 0, roll: int = 0) -> list[Bar]:
    at_hand = [Bar(units=units, is_new=False) for units in lengths]
    return at_hand + [Bar(units=roll, is_new=True)] * rolls


def weigh(places: tuple[int, ...], pieces: list[int], stock: list[Bar], keep: int):
    """What one way to cut comes to: rolls begun, units lost, units from rolls; None where none."""
    used = [0] * len(stock)
    for piece, at in zip(pieces, places, strict=True):
        used[at] += piece
    if any(cut_off > bar.units for cut_off, bar in zip(used, stock, strict=True)):
        return None
    begun = [(bar, cut_off) for bar, cut_off in zip(stock, used, strict=True) if cut_off]
    return (
        sum(bar.is_new for bar, _ in begun),
        sum(bar.units - n for bar, n in begun if bar.units - n < keep),
        sum(n for bar, n in begun if bar.is_new),
    )


def best_of_all(pieces: list[int], stock: list[Bar], keep: int):
    """Try every bar for every piece."""
    ways = (
        weigh(places, pieces, stock, keep)
        for places in product(range(len(stock)), repeat=len(pieces))
    )
    return min((way for way in ways if way is not None), default=None)


def reweighed(found: Cutting, stock: list[Bar], keep: int):
    """Weigh what was found anew, from the pieces that it names alone."""
    pieces = [
        (n, at) for at, own in enumerate(found.taken) for n, m in own.items() for _ in range(m)
    ]
    return weigh(tuple(at for _, at in pieces), [n for n, _ in pieces], stock, keep)


def lengths_of(found: Cutting) -> list[int]:
    return sorted(n for own in found.taken for n, count in own.items() for _ in range(count))


@examples(40)
@given(
    pieces=st.lists(st.integers(2, 7), min_size=1, max_size=6),
    at_hand=st.lists(st.integers(1, 12), max_size=2),
    roll=st.integers(7, 13),
    keep=st.integers(1, 5),
)
def test_nothing_is_better_than_what_is_found(
    pieces: list[int], at_hand: list[int], roll: int, keep: int
) -> None:
    pytest.importorskip("scipy", reason="the extra 'schedule' is not installed")
    stock = bars(*at_hand, rolls=3, roll=roll)
    best = best_of_all(pieces, stock, keep)
    found = cut(pieces, stock, keep)
    if best is None:
        assert found is None
        return
    assert found is not None
    assert lengths_of(found) == sorted(pieces)
    assert reweighed(found, stock, keep) == found.figures == best
    assert found.is_least
    assert all(least <= figure for least, figure in zip(found.least, found.figures, strict=True))


def test_offcuts_go_before_a_new_roll() -> None:
    found = there(cut([9, 9, 12], bars(9, 10, rolls=1, roll=40), keep=4))
    # The rest of 1 of the second offcut is lost: less than to lose it were to cut both 9 elsewhere.
    assert found.figures == (1, 0, 21)
    assert [dict(own) for own in found.taken] == [{9: 1}, {}, {9: 1, 12: 1}]


def test_a_rest_of_what_is_kept_is_not_lost() -> None:
    for keep, lost in ((4, 0), (5, 4)):
        found = there(cut([6], bars(10), keep))
        assert found.figures == (0, lost, 0)


def test_what_packing_the_longest_first_misses_the_solver_finds() -> None:
    pytest.importorskip("scipy", reason="the extra 'schedule' is not installed")
    # 6 3 3 and 4 4 4 fill two rolls of 12; longest first puts 6 4 together and needs three.
    found = there(cut([6, 4, 4, 4, 3, 3], bars(rolls=3, roll=12), keep=1))
    assert found.figures == (2, 0, 24)
    assert found.is_least


def test_without_the_solver_it_says_that_nothing_is_proved(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cutting, "find_spec", lambda name: None)
    found = there(cut([6, 4, 4, 4, 3, 3], bars(rolls=3, roll=12), keep=1))
    assert (found.figures[0], found.is_least) == (3, False)
    assert found.least[0] == 2
    plain = there(cut([6, 6], bars(rolls=1, roll=12), keep=1))
    assert plain.is_least


def test_offcuts_that_spoil_the_packing_are_left() -> None:
    # Without 5, which the offcut would take, longest first into rolls of 10 needs one more.
    for at_hand in range(2, 9):
        found = cut([5, 5, 4, 4, 3, 3, 3, 3], bars(at_hand, rolls=3, roll=10), keep=1)
        assert found is not None


def test_what_is_longer_than_everything_cannot_be_cut() -> None:
    assert cut([11], bars(10, rolls=2, roll=9), keep=1) is None
    assert cut([], bars(10), keep=1) is not None


def test_a_job_too_large_for_the_solver_is_packed_all_the_same() -> None:
    pieces = [11, 13] * 150
    found = there(cut(pieces, bars(rolls=200, roll=40), keep=4))
    assert lengths_of(found) == sorted(pieces)
    assert found.figures[0] >= found.least[0] == -(-150 * 24 // 40)
    assert not found.solved
