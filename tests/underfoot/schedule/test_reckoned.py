"""What papers reckon with, piece by piece, worked out by hand or by trying every way."""

from itertools import product
from typing import Any

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from tests.effort import examples
from tests.there import there
from tests.underfoot.schedule.making import checked_base, rows_of, table_of
from underfoot.checking.facts.metering import Metered
from underfoot.schedule import cutting, text
from underfoot.schedule.cuts import _count_rolls, _say_rest
from underfoot.schedule.cutting import Bar, cut
from underfoot.schedule.document import Column, Table, as_number, round_to, write_cell, write_number
from underfoot.schedule.energy import RoomEnergy, Season, Tariff, _add_up
from underfoot.schedule.gathering import Wishes, gather_papers
from underfoot.schedule.items import Item, add_up
from underfoot.schedule.marks import Walls
from underfoot.schedule.packs import _count_reels
from underfoot.schedule.stock import Offcut, Stock
from underfoot.schedule.test_sheet import Bounds, _narrow
from underfoot.schedule.what_if import _differ_in, _is_same


@examples(40)
@given(st.lists(st.integers(1, 10), min_size=1, max_size=6))
def test_no_fewer_rolls_or_reels_hold_pieces(pieces: list[int]) -> None:
    """Every way to put six pieces on reels of 10 is tried."""

    def fits(reels: int) -> bool:
        return any(
            all(
                sum(piece for piece, at in zip(pieces, places, strict=True) if at == reel) <= 10
                for reel in range(reels)
            )
            for places in product(range(reels), repeat=len(pieces))
        )

    least = next(reels for reels in range(1, 7) if fits(reels))
    assert _count_reels(pieces, 10) == least
    # The longest first may take more than the fewest, never less; it must do without offcuts.
    assert least <= _count_rolls(pieces, 10) <= -(-11 * least // 9) + 1


def test_offcuts_go_first_and_what_is_lost_is_shorter_than_is_kept() -> None:
    def figures(pieces: list[int], *offcuts: int, keep: int) -> tuple[int, int, int]:
        stock = [Bar(units=each, is_new=False) for each in offcuts]
        return there(cut(pieces, [*stock, *[Bar(units=20, is_new=True)] * 3], keep)).figures

    # 5 and 6 from an offcut of 15 leave 4: lost where 5 is kept, kept where 4 is.
    assert figures([5, 6], 15, keep=5) == (0, 4, 0)
    assert figures([5, 6], 15, keep=4) == (0, 0, 0)
    # What the offcut does not take comes from a roll, of which 9 are used.
    assert figures([9, 9], 15, keep=4) == (1, 0, 9)
    # An offcut that is not touched is not lost.
    assert figures([9], 8, keep=9) == (1, 0, 9)
    # Too short an offcut bounds nothing: 12 must come from a roll.
    found = there(cut([12], [Bar(units=11, is_new=False), Bar(units=20, is_new=True)], 1))
    assert (found.least, found.is_least) == ((1, 0, 12), True)


def test_without_the_solver_the_tightest_offcuts_go_first(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cutting, "find_spec", lambda name: None)

    def taken(pieces: list[int], *offcuts: int) -> list[dict[int, int]]:
        stock = [Bar(units=each, is_new=False) for each in offcuts]
        found = there(cut(pieces, [*stock, *[Bar(units=20, is_new=True)] * 2], 1))
        return [dict(each) for each in found.taken]

    # The longest, 9, goes into the offcut of 10; 6 into that of 8; 5 and 5 into the first roll.
    assert taken([5, 6, 5, 9], 8, 4, 10) == [{6: 1}, {}, {9: 1}, {5: 2}, {}]
    assert taken([12, 12], 11) == [{}, {12: 1}, {12: 1}]


def test_a_rest_is_kept_from_the_length_that_is_said() -> None:
    stock = Stock(keep=1000.0)
    assert [_say_rest(each, stock) for each in (None, 0.0, 0.0004, 0.0005, 0.999, 1.0, 1.2)] == [
        None, "nothing", "nothing", "waste", "waste", "kept", "kept",
    ]  # fmt: skip


def test_what_is_cut_adds_up_by_hand() -> None:
    # Seven strips of 2.75 m of a roll of 10 m: three and three and one; an offcut of 3 m takes one.
    offcuts = (Offcut(name="shed", film="film-80", length=3000.0),)
    stock = Stock(rolls={"": 10_000.0}, offcuts=offcuts)
    papers = gather_papers(checked_base({}), Wishes(stock=stock))
    rows = rows_of(papers, "sources")
    told = [(row["source"], row["pieces"], row["used_m"], row["becomes"]) for row in rows]
    assert told == [
        ("shed", 1, 2.75, "waste"), ("roll 1", 3, 8.25, "kept"), ("roll 2", 3, 8.25, "kept"),
    ]  # fmt: skip
    assert [row["rest_m"] for row in rows] == pytest.approx([0.25, 1.75, 1.75])
    (film,) = [row for row in rows_of(papers, "order") if str(row["what"]).startswith("film-80")]
    assert (film["amount"], film["packs"], film["pack"]) == (19.25, 2, 10)
    assert film["left"] == pytest.approx(3.5)
    # Where 2 m are kept both rolls' rests are waste, too: 0.25 + 1.75 + 1.75 m.
    strict = gather_papers(
        checked_base({}), Wishes(stock=Stock(rolls=stock.rolls, offcuts=offcuts, keep=2000.0))
    )
    assert "3.75 m is waste" in table_of(strict, "sources").says[0]


def room(power: float, share: float | None, loss: float | None, other: float = 0.0) -> RoomEnergy:
    return RoomEnergy(
        room="r", power_w=power, up_share=share, loss_w=loss, other_w=other, lacking=()
    )


@pytest.mark.parametrize(
    ("made", "hours", "short", "kwh"),
    [
        # 400 W asked of 800 W of which three quarters go up: 24 h x 400 / 600.
        (room(800, 0.75, 400), 16, False, 12.8),
        (room(800, 0.75, 600), 24, False, 19.2),
        (room(800, 0.75, 601), 24, True, 19.2),
        (room(800, 0.75, 500, 100), 16, False, 12.8),
        (room(800, 0.75, 100, 200), 0, False, 0),
        (room(0, 0.0, 100), 24, True, 0),
        (room(800, None, 100), None, False, None),
        (room(800, 0.75, None), None, False, None),
    ],
)
def test_hours_of_the_coldest_day(
    made: RoomEnergy, hours: float | None, short: bool, kwh: float | None
) -> None:
    assert made.hours == (None if hours is None else pytest.approx(hours))
    assert made.falls_short is short
    assert made.day_kwh == (None if kwh is None else pytest.approx(kwh))


def test_rooms_together_by_hand() -> None:
    season = Season(tariff=Tariff(price=0.5, money="EUR"), hours=1200.0)
    (row,) = _add_up([room(800, 0.75, 400), room(1000, 0.5, 250)], season)
    # 12.8 and 12 kWh; half a euro each; 1200 / 24 such days.
    assert row[:6] == ("all", 1800, None, None, None, None)
    assert row[6:] == pytest.approx((24.8, 12.4, 24.8 * 50, 12.4 * 50))
    # What is not known of one is not known of all.
    (row,) = _add_up([room(800, 0.75, 400), room(1000, 0.5, None)], season)
    assert row[6:] == (None,) * 4
    assert list(_add_up([room(800, 0.75, 400)], season)) == []


def test_items_are_added_up_where_all_is_the_same() -> None:
    def item(what: str, amount: float | None, name: str, **told: Any) -> Item:
        more = {"group": "g", "unit": "m", "reckoned": "so", **told}
        whole = () if amount is None else (amount,)
        return Item(what=what, amount=amount, rooms=(name,), whole=whole, **more)

    found = add_up(
        (item("a", 2.0, "one"), item("b", 1.0, "one", group="h"), item("a", 3.0, "two"),
         item("a", 1.0, "one"), item("a", None, "two"), item("a", None, "one"),
         item("a", 4.0, "one", unit="pieces"), item("a", 4.0, "one", reckoned="else"))
    )  # fmt: skip
    assert [(each.group, each.amount, each.unit, each.rooms) for each in found] == [
        ("g", 6.0, "m", ("one", "two")), ("g", None, "m", ("two", "one")),
        ("g", 4.0, "pieces", ("one",)), ("g", 4.0, "m", ("one",)), ("h", 1.0, "m", ("one",)),
    ]  # fmt: skip
    assert found[0].whole == (2.0, 3.0, 1.0)


def test_limits_are_rounded_so_that_nothing_within_is_outside() -> None:
    assert (round_to(1.231, 2, "up"), round_to(1.239, 2, "down")) == (1.24, 1.23)
    assert (round_to(1.23, 2, "up"), round_to(1.23, 2, "down")) == (1.23, 1.23)
    assert (round_to(1.234, 2, "near"), round_to(1.236, 2, "near")) == (1.23, 1.24)
    assert (round_to(1.23000001, 2, "up"), round_to(1.22999999, 2, "down")) == (1.23, 1.23)
    assert [write_number(each, 1) for each in (-0.04, -0.06, 12.0)] == ["0.0", "-0.1", "12.0"]
    trims = Column(key="k", title="t", decimals=2, trims=True)
    assert [write_cell(each, trims) for each in (1.5, 2.0, 10, 0.126)] == ["1.5", "2", "10", "0.13"]
    whole = Column(key="k", title="t", decimals=0)
    assert (write_cell(100, whole), as_number(1540.0, whole)) == ("100", 1540)
    assert isinstance(as_number(1540.0, whole), int)
    assert as_number(1540.26, whole) == 1540.3
    assert as_number(1.2345, trims) == pytest.approx(1.234, abs=6e-4)
    spoken = Column(key="k", title="t", spoken=True)
    assert write_cell("rcd_trip_time", spoken) == "RCD trip time"


def test_a_reading_s_band_is_narrowed_by_those_before_while_any_is_left() -> None:
    band = Metered(rated_ohm=100.0, least_ohm=90.0, most_ohm=110.0, strips=(), unknown=())

    def narrowed(drift: float | None, *read: float) -> tuple[float, float]:
        bounds = Bounds(insulation_mohm=None, test_v=None, trip_ms=None, drift_percent=drift)
        return _narrow(band, [("laid", each) for each in read], bounds)

    assert narrowed(5.0, 100.0) == pytest.approx((95, 105))
    assert narrowed(5.0, 100.0, 102.0) == pytest.approx((96.9, 105))
    assert narrowed(5.0) == narrowed(None, 100.0) == (90, 110)
    # 200 less 5 % is above all that the film may be.
    assert narrowed(5.0, 200.0) == (90, 110)


def test_what_differs_between_two_tables() -> None:
    columns = (Column(key="name", title="name"), Column(key="kind", title="kind"),
               Column(key="mm", title="length", unit="mm", decimals=1))  # fmt: skip

    def table(*rows: tuple[str, str, float]) -> Table:
        return Table(key="t", title="t", columns=columns, rows=rows, named_by=("name",))

    one = table(("a", "k", 1.0), ("b", "k", 2.0), ("c", "k", 3.0))
    other = table(("a", "k", 1.0), ("b", "l", 2.26), ("d", "k", 4.0))
    # Of a row that only one has its figures alone.
    assert list(_differ_in(one, other)) == [
        ("b", "kind", None, "k", "l"), ("b", "length", "mm", 2.0, 2.3),
        ("c", "length", "mm", 3.0, None), ("d", "length", "mm", None, 4.0),
    ]  # fmt: skip
    assert _is_same(1e6, 1e6 + 1e-4)
    assert not _is_same(1e6, 1e6 + 1e-2)
    assert not _is_same(1.0, 1.0 + 1e-8)
    assert not _is_same(None, 0.0)


@pytest.mark.parametrize(
    ("at", "way", "said"),
    [
        ((1000, 1000), (-1, 0), ("left wall", 1000)), ((1000, 1000), (1, 0), ("right wall", 3000)),
        ((1000, 1000), (0, -1), ("lower wall", 1000)), ((1000, 1000), (0, 1), ("upper wall", 2000)),
        # Nothing is measured from outside; on a wall it is nothing.
        ((-1, 1000), (1, 0), (None, None)), ((0, 1000), (-1, 0), ("left wall", 0)),
    ],
)  # fmt: skip
def test_walls_are_named_by_the_side_that_is_looked_at(
    at: tuple[float, float], way: tuple[float, float], said: tuple[str | None, float | None]
) -> None:
    outline = [[0, 0], [4000, 0], [4000, 3000], [0, 3000]]
    facts = there(checked_base({"rooms.room.outline": outline}).facts)
    assert Walls(facts.rooms["room"]).measure(at, way) == said
    assert shapely.Polygon(outline).equals(facts.rooms["room"].outline)


def test_where_two_walls_meet_the_first_is_named_whatever_the_last_digits() -> None:
    slanted = [[0, 0], [4000, 0], [4000, 3000], [1000, 3000]]
    walls = Walls(there(checked_base({"rooms.room.outline": slanted}).facts).rooms["room"])
    # At 3 to 1 the slanted wall is a third of the height in: at 900 up 300 from x = 0.
    name, far = walls.measure((2000, 900), (-1, 0))
    assert (name, far) == ("wall from [1000, 3000] to [0, 0]", pytest.approx(1700))


def test_columns_of_words_are_taken_in_until_a_table_fits() -> None:
    words, figures = Column(key="a", title="a"), Column(key="b", title="b", decimals=0)
    narrowed = text._narrowed([words, figures, words], [], [30, 5, 20], 12)
    # The widest first, level with the next; a figure's column keeps its width.
    assert narrowed == [19, 5, 19]
    assert text._narrowed([words, figures], [], [30, 5], 18) == [12, 5]
    assert text._narrowed([words, figures], [], [30, 5], 19) == []
    assert text._narrowed([words, figures], [], [8, 5], 1) == []
