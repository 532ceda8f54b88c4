"""Things read by their declaration alone, whatever let the data through."""

from typing import Any

import pytest

from underfoot.plan import Film, Subfloor
from underfoot.plan_format.declaration import Thing
from underfoot.plan_format.fields import words_of
from underfoot.plan_format.kinds import LENGTH, LENGTH_FROM_ZERO
from underfoot.plan_format.materials import BOARD, FILM
from underfoot.plan_format.rooms import SUBFLOOR, SURFACE
from underfoot.plan_format.strips import ROW
from underfoot.plan_format.wiring import LEAD, THERMOSTAT
from underfoot.reading.building.points import count_points
from underfoot.reading.building.problem_log import ProblemLog
from underfoot.reading.building.thing_reader import (
    NOTHING_KNOWN,
    maker_of,
    reader_of,
    value_reader,
)

GOOD = {"width": 500, "output": "140 W/m2", "voltage": "230 V"}


def fields(thing: Thing, data: dict[str, Any], **known: Any) -> tuple[dict[str, Any], list[str]]:
    log = ProblemLog(positions={})
    # A row's lengths are opened into strips, which is not reading alone.
    read = reader_of(thing, but=("lengths",) if thing is ROW else ())
    found = read(log, data, "here", known)
    return found, [f"{problem.path}: {problem.message}" for problem in log.problems]


@pytest.mark.parametrize("left_out", GOOD)
def test_nothing_is_made_without_what_it_needs(left_out: str) -> None:
    make = maker_of(FILM)
    film = make(ProblemLog(positions={}), GOOD, "films.f", id="f")
    assert isinstance(film, Film)
    assert (film.path, film.width, film.output_w_m2) == ("films.f", 500.0, 140.0)
    rest = {key: value for key, value in GOOD.items() if key != left_out}
    assert make(ProblemLog(positions={}), rest, "films.f", id="f") is None


def test_a_catalogue_s_things_say_so_in_their_path() -> None:
    log = ProblemLog(positions={}, prefix="catalogue.")
    assert maker_of(FILM)(log, GOOD, "films.f", id="f").path == "catalogue.films.f"


@pytest.mark.parametrize("nought", [0, 0.0, "0 mm"])
def test_nought_is_a_length_only_where_it_may_be(nought: Any) -> None:
    log = ProblemLog(positions={})
    assert value_reader(LENGTH)(log, nought, "here", "width", NOTHING_KNOWN) is None
    assert [problem.message for problem in log.problems] == [
        f"`width`: `{nought}` must be more than 0"
    ]
    assert value_reader(LENGTH_FROM_ZERO)(log, nought, "here", "clear", NOTHING_KNOWN) == 0


def test_a_list_of_a_set_length_is_read_whole_or_not() -> None:
    assert fields(BOARD, {"size": [1200, "0.6 m"]}) == ({"size": (1200.0, 600.0)}, [])
    found, said = fields(BOARD, {"size": [1200, "0.6 kg"]})
    assert found == {}
    assert said[0].startswith("here.size.1: `size`: ")
    assert fields(BOARD, {"size": [1200, None]}) == ({}, [])
    assert fields(BOARD, {"size": [1200]}) == ({}, [])


def test_ids_are_held_against_those_that_there_are() -> None:
    data = {"room": "hall", "reads": ["hall", "attic", "hall"]}
    found, said = fields(THERMOSTAT, data, room={"hall": None})
    assert found == {"room": "hall", "reads": ("hall", "attic")}
    assert said == ["here.reads.1: `attic` names no room; there is `hall`"]
    assert fields(THERMOSTAT, data) == (found, [])


def test_a_quantity_of_several_units_and_a_word_or_a_quantity() -> None:
    assert fields(FILM, {"output": "70 W/m"}) == ({"output_w_m": 70.0}, [])
    assert fields(SURFACE, {"beyond": "ground"}) == ({"beyond": "ground"}, [])
    assert fields(SURFACE, {"beyond": "10 degC"}) == ({"beyond_c": 10.0}, [])
    row, said = fields(ROW, {"along": "30 deg"})
    assert (row["along"], row["angle_deg"], said) == ("angle", 30.0, [])


def test_a_size_of_conductors_is_kept_as_written_too() -> None:
    found, _ = fields(LEAD, {"size": "1.5 mm2"})
    assert found == {"size_mm2": 1.5, "size_text": "1.5 mm2"}


def test_a_reading_with_how_it_was_measured() -> None:
    told = {"value": "1.7 %", "method": "CM", "note": "twice"}
    found, _ = fields(SUBFLOOR, {"moisture": told})
    assert found == {
        "moisture_percent": 1.7, "moisture_method": "CM", "moisture_note": "twice"
    }  # fmt: skip
    assert fields(SUBFLOOR, {"moisture": "1.7 %"}) == ({"moisture_percent": 1.7}, [])


def test_a_default_stands_where_a_value_is_left_out_or_faulty() -> None:
    assert fields(ROW, {})[0] == {"spacing": 0.0, "connected": "start"}
    found, said = fields(ROW, {"spacing": "-5 mm", "connected": "end"})
    assert (found, len(said)) == ({"spacing": 0.0, "connected": "end"}, 1)


def test_fields_in_words() -> None:
    assert words_of(Subfloor, "exposed_perimeter") == "exposed perimeter"
    assert words_of(Film, "busbar_resistance_ohm_m") == "busbar resistance"
    assert words_of(Film, "no_such_field") == "no such field"


def test_points_are_counted_wherever_they_stand() -> None:
    corners = [[0, 0], [1, 0], [1, 1]]
    room = {
        "outline": corners,
        "fixtures": {"chest": {"outline": corners}, "note": "two"},
        "coverings": [{"covering": "oak", "over": corners}, None, {"over": corners[:2]}],
        "leads": {"W1": {"route": ["junction-box", [3, 4], "A1"]}},
    }
    assert list(count_points({"rooms": {"hall": room}})) == [
        ("rooms.hall.outline", 3),
        ("rooms.hall.fixtures.chest.outline", 3),
        ("rooms.hall.coverings.0.over", 3),
        ("rooms.hall.coverings.2.over", 2),
        ("rooms.hall.leads.W1.route", 1),
    ]
