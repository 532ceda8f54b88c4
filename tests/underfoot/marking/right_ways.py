"""Right answers to the demo class's brief, drawn otherwise than the first one: full marks each."""

from __future__ import annotations

import copy
import random
from collections.abc import Callable
from typing import Any

from tests.laws.moving import Move, move_rooms
from tests.laws.opening import open_plan
from tests.laws.renaming import rename_ids, renaming
from tests.laws.rewriting import change_units, reorder_maps

Data = dict[str, Any]
STRIP = {"film": "film-80", "circuit": "C1"}


def moved(plan: Data, move: Move) -> Data:
    """Move every room of a plan."""
    opened = open_plan(plan)
    return move_rooms(opened, dict.fromkeys(opened["rooms"], move))


def along_x(plan: Data) -> Data:
    """Fewer and longer strips the other way, in six and not seven, with two leads."""
    room = plan["rooms"]["bedroom"]
    room["rows"] = {"A": {**STRIP, "at": [60, 60], "along": "x", "lengths": [3500] * 4}}
    room["elements"] = {
        "X1": {**STRIP, "at": [1860, 2060], "along": "x", "length": 1500},
        "X2": {**STRIP, "at": [1860, 2560], "along": "x", "length": 1500},
    }
    room["junction_box"]["at"] = [0, 2300]
    room["sensor"]["at"] = [800, 1310]
    lead = {"circuit": "C1", "size": "1.5 mm2", "recessed": True}
    room["leads"] = {
        "W1": {**lead, "route": ["junction-box", [30, 2300], [30, 310], "A"]},
        "W2": {**lead, "route": ["junction-box", "X1", "X2"]},
    }
    return plan


def one_chain(plan: Data) -> Data:
    """The same floor on one lead."""
    room = along_x(plan)["rooms"]["bedroom"]
    room["junction_box"]["at"] = [0, 300]
    way = ["junction-box", [30, 300], "A", [30, 2310], [1830, 2310], "X1", "X2"]
    room["leads"] = {"W1": {**room["leads"]["W1"], "route": way}}
    return plan


def names_of_ones_own(plan: Data) -> Data:
    """Every id another one: rooms, strips, leads, circuits, films and boards."""
    return rename_ids(plan, renaming(plan, random.Random(5)))


def materials_of_the_same_content(plan: Data) -> Data:
    """Film, board and covering under other names, the film's output a metre of strip."""
    materials, room = plan["materials"], plan["rooms"]["bedroom"]
    film = materials["films"].pop("film-80")
    materials["films"]["mine"] = {**film, "output": "40 W/m", "boards": ["slab"]}
    materials["boards"]["slab"] = materials["boards"].pop("board-10")
    materials["coverings"]["floor"] = materials["coverings"].pop("oak-14")
    room["rows"]["A"]["film"] = "mine"
    room["insulation"]["board"] = "slab"
    room["covering"] = "floor"
    return plan


def a_wardrobe_by_its_corners(plan: Data) -> Data:
    """What stands there drawn corner by corner and called something else."""
    fixtures = plan["rooms"]["bedroom"]["fixtures"]
    del fixtures["wardrobe"]
    fixtures["press"] = {
        "outline": [[1800, 3120], [1800, 2520], [0, 2520], [0, 3120]], "kind": "floor-mounted",
    }  # fmt: skip
    return plan


def another_first_corner(plan: Data) -> Data:
    """The outline from another corner, the other way round, with a corner that is none."""
    room = plan["rooms"]["bedroom"]
    room["outline"] = [[3650, 3120], [3650, 1000], [3650, 0], [0, 0], [0, 3120]]
    return plan


def a_film_that_is_not_laid(plan: Data) -> Data:
    """A film beside the brief's that lies nowhere."""
    films = plan["materials"]["films"]
    films["spare"] = {**films["film-80"], "output": "150 W/m2"}
    return plan


def a_hall_with_nothing_in_it(plan: Data) -> Data:
    """A further room, drawn for the way to the board."""
    plan["rooms"]["hall"] = {"outline": [[0, 0], [1200, 0], [1200, 2000], [0, 2000]]}
    return plan


def what_the_brief_says_left_out(plan: Data) -> Data:
    """Height, use, heat loss and what the supply can spare are the brief's, and not repeated."""
    room = plan["rooms"]["bedroom"]
    for key in ("height", "use", "heat_loss"):
        del room[key]
    del plan["supply"]["available"]
    return plan


def three_rows(plan: Data) -> Data:
    """One row in three that go on after each other."""
    room = plan["rooms"]["bedroom"]
    row = room["rows"]["A"]
    bare = {key: row[key] for key in ("film", "along", "circuit")}
    room["rows"] = {
        "A": {**row, "lengths": [2250, 2250]},
        "B": {**bare, "after": "A", "length": 2250, "count": 2},
        "D": {**bare, "after": "B", "lengths": [3000, 3000, 3000]},
    }
    room["leads"]["W1"]["route"] = ["junction-box", [30, 1500], [30, 30], "A", "B", "D"]
    return plan


def strip_by_strip_at_right_angles(plan: Data) -> Data:
    """Every strip by itself, its direction as an angle about its other corner."""
    room = plan["rooms"]["bedroom"]
    lengths = room.pop("rows")["A"]["lengths"]
    room["elements"] = {
        f"S{at}": {**STRIP, "at": [60 + 500 * at, 60], "along": "90 deg", "length": length}
        for at, length in enumerate(lengths, 1)
    }
    room["leads"]["W1"]["route"] = ["junction-box", [30, 1500], [30, 30], *room["elements"]]
    return plan


def laid_the_other_way_below(plan: Data) -> Data:
    """Boards and sheets the other way, with another bond and more lap."""
    room = plan["rooms"]["bedroom"]
    room["insulation"]["layers"] = [{"courses": "y", "stagger": 400}]
    room["membrane"]["runs"] = [{"along": "y", "overlap": 200}]
    return plan


def from_the_other_end(plan: Data) -> Data:
    """The lead from the far strip back, the sensor below another."""
    room = plan["rooms"]["bedroom"]
    back = [f"A{at}" for at in range(7, 0, -1)]
    room["leads"]["W1"]["route"] = ["junction-box", [30, 1500], [30, 30], [3360, 30], *back]
    room["sensor"].update(at=[2810, 1500], cable="5 m")
    return plan


def two_leads(plan: Data) -> Data:
    """Two leads side by side, each to its own strips of the one circuit."""
    room = plan["rooms"]["bedroom"]
    lead = room["leads"]["W1"]
    near, far = ["A1", "A2", "A3", "A4"], ["A5", "A6", "A7"]
    room["leads"] = {
        "W1": {**lead, "route": ["junction-box", [45, 1500], [45, 45], *near]},
        "W2": {**lead, "route": ["junction-box", [20, 1500], [20, 20], [2310, 20], *far]},
    }
    return plan


RIGHT: dict[str, Callable[[Data], Data]] = {
    "along x": along_x,
    "on one lead": one_chain,
    "another origin": lambda plan: moved(plan, Move(dx=41_000, dy=-3500)),
    "mirrored": lambda plan: moved(plan, Move(mirrored=True)),
    "turned": lambda plan: moved(plan, Move(turn_deg=90)),
    "upside down": lambda plan: moved(plan, Move(turn_deg=180, dx=3650, dy=3120)),
    "axes exchanged": lambda plan: moved(plan, Move(turn_deg=90, mirrored=True)),
    "along x, mirrored, elsewhere": lambda plan: moved(
        along_x(plan), Move(turn_deg=270, mirrored=True, dx=-700)
    ),
    "other names": names_of_ones_own,
    "other units": lambda plan: change_units(plan, random.Random(4)),
    "another order": lambda plan: reorder_maps(plan, random.Random(4)),
    "all of it": lambda plan: change_units(
        reorder_maps(names_of_ones_own(moved(plan, Move(mirrored=True, dx=90))), random.Random(3)),
        random.Random(2),
    ),
    "materials by other names": materials_of_the_same_content,
    "a wardrobe by its corners": a_wardrobe_by_its_corners,
    "another first corner": another_first_corner,
    "a film that is not laid": a_film_that_is_not_laid,
    "a hall with nothing in it": a_hall_with_nothing_in_it,
    "what the brief says left out": what_the_brief_says_left_out,
    "three rows": three_rows,
    "strip by strip at right angles": strip_by_strip_at_right_angles,
    "laid the other way below": laid_the_other_way_below,
    "from the other end": from_the_other_end,
    "two leads": two_leads,
}


def draw(way: str, plan: Data) -> Data:
    """Draw the plan in a way of its own."""
    return RIGHT[way](copy.deepcopy(plan))
