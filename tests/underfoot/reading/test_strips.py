import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.there import there
from tests.underfoot.reading.samples import FULL, SMALL, change, only_problem, problems_of, read
from underfoot.plan import Element, Room
from underfoot.reading.building.strips import direction_of

ROW = "A: {film: film-140, at: [60, 60], along: y, lengths: [2750, 2750], circuit: C1}"


def room_of(rows: str) -> Room:
    """The room of a small plan with these rows in place of its one."""
    reading = read(change(SMALL, ROW, rows))
    assert reading.problems == ()
    return there(reading.plan).rooms["study"]


def strips_of(rows: str) -> dict[str, Element]:
    return {strip.id: strip for strip in room_of(rows).elements}


def test_a_row_along_y_goes_towards_x() -> None:
    strips = strips_of("A: {film: film-140, at: [60, 70], along: y, lengths: [2750, 2.5 m]}")
    # 500 mm wide, butted: 60, 560
    assert [(one.id, one.at, one.along, one.length) for one in strips.values()] == [
        ("A1", (60, 70), "y", 2750),
        ("A2", (560, 70), "y", 2500),
    ]
    assert strips["A1"].path == "rooms.study.rows.A.lengths.0"
    assert strips["A1"].row == "A"
    assert strips["A1"].film.id == "film-140"


def test_a_row_along_x_goes_towards_y() -> None:
    strips = strips_of("A: {film: film-140, at: [60, 70], along: x, lengths: [2750, 2500]}")
    assert [(one.at, one.along) for one in strips.values()] == [((60, 70), "x"), ((60, 570), "x")]


def test_null_leaves_a_place_empty_and_the_later_names_as_they_were() -> None:
    room = room_of("A: {film: film-140, at: [0, 0], along: y, lengths: [1000, null, 1000]}")
    assert [(one.id, one.at[0], one.path[-1]) for one in room.elements] == [
        ("A1", 0, "0"),
        ("A3", 1000, "2"),
    ]
    assert room.rows[0].elements == ("A1", "A3")


def test_an_entry_may_start_later_and_have_a_circuit_of_its_own() -> None:
    strips = strips_of(
        "A: {film: film-140, at: [0, 100], along: y, circuit: C1, connected: end, lengths: "
        "[{length: 1 m, from: 650}, {length: 750, circuit: C2, connected: start, note: x}, 500]}"
    )
    assert strips["A1"].at == (0, 750)
    assert (strips["A1"].circuit, strips["A1"].connected) == ("C1", "end")
    assert (strips["A2"].circuit, strips["A2"].connected) == ("C2", "start")
    assert strips["A2"].note == "x"
    assert (strips["A3"].circuit, strips["A3"].connected, strips["A3"].note) == ("C1", "end", None)


def test_length_with_count_and_spacing() -> None:
    room = room_of(
        "D: {film: film-140, at: [60, 60], along: y, length: 2750, count: 3, spacing: 20}"
    )
    # 500 mm and 20 mm between: 60, 580, 1100
    assert [(one.id, one.at[0]) for one in room.elements] == [("D1", 60), ("D2", 580), ("D3", 1100)]
    assert {one.path for one in room.elements} == {"rooms.study.rows.D"}


def test_a_row_goes_on_where_another_ends() -> None:
    strips = strips_of(
        "B: {film: film-140, after: A, along: y, lengths: [500]}\n"
        "      D: {film: film-140, after: B, along: y, length: 500, count: 1, spacing: 30}\n"
        "      A: {film: film-140, at: [100, 60], along: y, lengths: [500, 500, null]}"
    )
    # A has three places of 500 mm from 100; B begins at 1600; D one spacing of its own after 2100.
    assert strips["B1"].at == (1600, 60)
    assert strips["D1"].at == (2130, 60)


def test_spacing_stands_between_places_only() -> None:
    strips = strips_of(
        "A: {film: film-140, at: [0, 0], along: x, length: 500, count: 2, spacing: 100}\n"
        "      B: {film: film-140, after: A, along: x, length: 500, count: 1}"
    )
    # 500 + 100 + 500
    assert strips["B1"].at == (0, 1100)


def test_a_row_with_an_angle_is_turned_whole() -> None:
    strips = strips_of(
        "A: {film: film-140, at: [1000, 200], along: 30 deg, lengths: [500, {length: 500, "
        "from: 100}]}"
    )
    assert strips["A1"].at == (1000, 200)
    assert (strips["A1"].along, strips["A1"].angle_deg) == ("angle", 30)
    # Laid along x the second begins at (100, 500); turned by 30 degrees about (1000, 200):
    # x = 100 cos 30 - 500 sin 30, y = 100 sin 30 + 500 cos 30
    assert strips["A2"].at == pytest.approx(
        (1000 + 100 * math.sqrt(3) / 2 - 250, 200 + 50 + 500 * math.sqrt(3) / 2)
    )


def test_a_quarter_turn_is_exact_and_is_not_along_y() -> None:
    strips = strips_of("A: {film: film-140, at: [1000, 200], along: 90 deg, lengths: [500, 500]}")
    # Turned by 90 degrees the second, above the first along x, lies to its left.
    assert strips["A2"].at == (500, 200)


@given(st.integers(-1440, 1440))
def test_directions_are_unit_vectors(angle_deg: int) -> None:
    x, y = direction_of(angle_deg)
    assert x == pytest.approx(math.cos(math.radians(angle_deg)), abs=1e-12)
    assert y == pytest.approx(math.sin(math.radians(angle_deg)), abs=1e-12)
    if angle_deg % 90 == 0:
        assert sorted((abs(x), abs(y))) == [0, 1]


@given(
    st.integers(0, 3),
    st.lists(st.integers(1, 2000), min_size=1, max_size=6),
    st.integers(0, 50),
)
def test_a_row_turned_by_quarters_has_the_places_of_one_along_x(
    quarters: int, lengths: list[int], spacing: int
) -> None:
    body = f"film: film-140, at: [300, 400], lengths: {lengths}, spacing: {spacing}"
    flat = room_of(f"A: {{{body}, along: x}}").elements
    turned = room_of(f"A: {{{body}, along: {90 * quarters} deg}}").elements
    for one, other in zip(flat, turned, strict=True):
        x, y = one.at[0] - 300, one.at[1] - 400
        for _ in range(quarters):
            x, y = -y, x
        assert other.at == (300 + x, 400 + y)
        assert other.length == one.length


def test_single_strips_come_before_rows() -> None:
    reading = read(FULL)
    room = there(reading.plan).rooms["day-room"]
    assert [strip.id for strip in room.elements] == [
        *("E1", "A1", "A2", "A4", "B1", "B2", "B3", "D1", "D2")
    ]
    single = room.elements[0]
    assert (single.film.id, single.at, single.along, single.angle_deg) == (
        "film-70",
        (60, 60),
        "angle",
        30,
    )
    assert (single.length, single.circuit, single.connected, single.row, single.note) == (
        1000,
        "C2",
        "end",
        None,
        "in the corner",
    )


@pytest.mark.parametrize(
    ("rows", "path", "message"),
    [
        (
            "A: {film: film-140, after: A, along: y, lengths: [500]}",
            "A.after",
            "`after`: row `A` cannot go on after itself: give one of them `at`",
        ),
        (
            "A: {film: film-140, after: B, along: y, lengths: [500]}\n"
            "      B: {film: film-140, after: D, along: y, lengths: [500]}\n"
            "      D: {film: film-140, after: B, along: y, lengths: [500]}",
            "D.after",
            "`after`: the rows `B`, `D` go on after one another in a circle: give one of them `at`",
        ),
        (
            "A: {film: film-140, after: AA, along: y, lengths: [500]}",
            "A.after",
            "`AA` names no row of this room; did you mean `A`?",
        ),
        (
            "A: {film: film-140, at: [0, 0], along: y, lengths: [500]}\n"
            "      B: {film: film-140, after: A, along: x, lengths: [500]}",
            "B.after",
            "`after`: row `A` does not lie along the same direction: give this row `at`",
        ),
        (
            "A: {film: film-140, at: [0, 0], along: y, lengths: [500]}\n"
            "      B: {film: film-140, at: [0, 0], after: A, along: y, lengths: [500]}",
            "B.after",
            "a row lies `at` a point or goes on `after` another row: delete one",
        ),
        (
            "A: {film: film-140, at: [0, 0], along: y, lengths: [500], length: 500}",
            "A.length",
            "a row has `lengths`, or `length` with `count`: delete one of the two",
        ),
        (
            "A: {film: film-140, at: [0, 0], along: y, lengths: [500], count: 5}",
            "A.count",
            "a row has `lengths`, or `length` with `count`: delete one of the two",
        ),
        (
            "A: {film: film-140, at: [0, 0], along: y, lengths: [500, -1 mm]}",
            "A.lengths.1",
            "`lengths`: `-1 mm` must be more than 0",
        ),
        (
            "A: {film: film-140, at: [0, 0], along: y, lengths: [{length: 500, from: -1 mm}]}",
            "A.lengths.0.from",
            "`from`: `-1 mm` must not be less than 0",
        ),
        (
            "A: {film: film-140, at: [0, 0], along: y, length: 500, count: 2, spacing: -1 mm}",
            "A.spacing",
            "`spacing`: `-1 mm` must not be less than 0",
        ),
        (
            "A: {film: film-140, at: [900 m, 0], along: y, length: 500, count: 500}",
            "A",
            "this row would reach more than 1 km from the room's origin",
        ),
    ],
)
def test_rows_that_cannot_be_laid(rows: str, path: str, message: str) -> None:
    problem = only_problem(change(SMALL, ROW, rows))
    assert (problem.path, problem.message) == (f"rooms.study.rows.{path}", message)


def test_a_row_goes_on_in_its_own_room_only() -> None:
    text = change(SMALL, "at: [60, 60]", "after: Z")
    text = change(
        text,
        "circuits:",
        "  hall:\n    outline: [[0, 0], [9, 0], [0, 9]]\n"
        "    rows: {Z: {film: film-140, at: [0, 0], along: y, lengths: [500]}}\ncircuits:",
    )
    assert only_problem(text).message == (
        "`after`: row `Z` lies in room `hall`; a row goes on after one of its own room"
    )


def test_a_long_chain_of_rows_is_followed() -> None:
    rows = ["R0x: {film: film-140, at: [0, 0], along: y, lengths: [500]}"]
    rows += [
        f"R{n}x: {{film: film-140, after: R{n - 1}x, along: y, lengths: [500]}}"
        for n in range(1, 1900)
    ]
    strips = strips_of("\n      ".join(reversed(rows)))
    assert strips["R1899x1"].at == (1899 * 500, 0)


def test_more_strips_than_are_read() -> None:
    row = "A: {film: film-140, at: [0, 0], along: y, length: 500, count: %d}"
    narrow = change(SMALL, "width: 500", "width: 5")
    assert len(read(change(narrow, ROW, row % 100_000)).plan.rooms["study"].elements) == 100_000  # type: ignore[union-attr]
    problem = only_problem(change(narrow, ROW, row % 100_001))
    assert problem.path == "rooms.study.rows.A"
    assert problem.message == "with these, the plan has more than 100,000 strips"
    problem = only_problem(change(narrow, ROW, row % 10**17))
    assert "more than 100,000 strips" in problem.message


def test_faults_of_rows_are_reported_though_their_film_is_faulty() -> None:
    text = change(SMALL, "width: 500", "width: -500")
    text = change(text, "lengths: [2750, 2750]", "lengths: [2750, 5 A]")
    assert [path for _, path, _ in problems_of(text)] == [
        "materials.films.film-140.width",
        "rooms.study.rows.A.lengths.1",
    ]
