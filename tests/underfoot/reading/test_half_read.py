"""What can be read of a broken file is read, and what hangs on the rest is in doubt."""

from underfoot.reading.half_read import read_half

BROKEN = b"""\
plan_format: 1
materials:
  films:
    film-80: {width: 500, output: 80 W/m2, voltage: 230 V, colour: red}
rooms:
  hall:
    outline: [[0, 0], [4000, 0], [4000, 3000], [0, 3000]]
    elements:
      A1: {film: film-80, at: [60, 60], along: x, length: 2000, circuit: C9}
      A2: {film: film-80, at: [60, 600], along: x, length: two metres, circuit: C9}
"""
DOUBTFUL = (
    "materials.films.film-80.colour",
    "rooms.hall.elements.A2",
    "rooms.hall.elements.A2.length",
    "supply",
    "circuits.C9",
)


def test_what_is_left_out_and_what_stands_in_is_doubtful() -> None:
    half = read_half(BROKEN, path="plan.yaml")
    assert half is not None
    assert half.doubtful == DOUBTFUL
    plan = half.reading.plan
    assert plan is not None
    assert [each.id for each in plan.rooms["hall"].elements] == ["A1"]
    assert list(plan.circuits) == ["C9"]
    assert [each.path for each in half.reading.problems] == ["", DOUBTFUL[0], DOUBTFUL[2]]


def test_what_stands_in_is_told_at_what_it_would_belong_to() -> None:
    given = BROKEN + b"circuits:\n  C1: {thermostat: hall}\n"
    for text, line in ((BROKEN, 1), (given, 11)):
        half = read_half(text, path="plan.yaml")
        assert half is not None
        positions = half.reading.positions
        assert positions["supply"] == (1, 1)
        # Circuit C9 is told at `circuits`, where the file has such, else at the plan.
        assert positions["circuits.C9"] == (line, 1)
        assert positions["rooms.hall"] == (6, 3)


def test_a_given_supply_and_circuit_stand_for_themselves() -> None:
    whole = BROKEN + b"supply: {voltage: 230 V}\ncircuits:\n  C9: {thermostat: hall}\n"
    half = read_half(whole, path="plan.yaml")
    assert half is not None
    assert half.doubtful == DOUBTFUL[:3]
    assert half.reading.positions["supply"] == (11, 1)
    assert half.reading.positions["circuits.C9"] == (13, 3)


def test_nothing_is_read_where_there_is_no_room() -> None:
    assert read_half(b"rooms: [", path="plan.yaml") is None
    assert read_half(b"plan_format: 1\n", path="plan.yaml") is None
