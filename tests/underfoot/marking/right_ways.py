"""Right answers to the demo class's brief, drawn otherwise than the first one: full marks each."""

import copy
import random
from collections.abc import Callable
from functools import partial
from typing import Any

from tests.laws.moving import Move, move_rooms
from tests.laws.opening import open_plan
from tests.laws.renaming import rename_ids, renaming
from tests.laws.rewriting import change_units, reorder_maps
from tests.underfoot_rules.plans import change_plan

Data = dict[str, Any]
STRIP = {"film": "film-80", "circuit": "C1"}
GOES_ON = {"film": "film-80", "along": "y", "circuit": "C1"}
LEAD = {"circuit": "C1", "size": "1.5 mm2", "recessed": True}
AT_THE_BOX = ("junction-box", [30, 1500], [30, 30])


def moved(plan: Data, move: Move) -> Data:
    """Move every room of a plan."""
    opened = open_plan(plan)
    return move_rooms(opened, dict.fromkeys(opened["rooms"], move))


# Fewer and longer strips the other way, in six and not seven, with two leads.
ALONG_X: Data = {
    "rows.A": {"along": "x", "lengths": [3500] * 4},
    "elements.X1": {**STRIP, "at": [1860, 2060], "along": "x", "length": 1500},
    "elements.X2": {**STRIP, "at": [1860, 2560], "along": "x", "length": 1500},
    "junction_box.at": [0, 2300],
    "sensor.at": [800, 1310],
    "leads.W1.route": ["junction-box", [30, 2300], [30, 310], "A"],
    "leads.W2": {**LEAD, "route": ["junction-box", "X1", "X2"]},
}


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


# By what is drawn otherwise in the bedroom.
OTHERWISE: dict[str, Data] = {
    "along x": ALONG_X,
    # The same floor on one lead.
    "on one lead": ALONG_X | {
        "junction_box.at": [0, 300],
        "leads.W1.route": ["junction-box", [30, 300], "A", [30, 2310], [1830, 2310], "X1", "X2"],
        "leads.W2": None,
    },
    # What stands there drawn corner by corner and called something else.
    "a wardrobe by its corners": {
        "fixtures.wardrobe": None,
        "fixtures.press": {
            "outline": [[1800, 3120], [1800, 2520], [0, 2520], [0, 3120]], "kind": "floor-mounted",
        },
    },
    # The outline from another corner, the other way round, with a corner that is none.
    "another first corner": {
        "outline": [[3650, 3120], [3650, 1000], [3650, 0], [0, 0], [0, 3120]],
    },
    # One row in three that go on after each other.
    "three rows": {
        "rows.A.lengths": [2250, 2250],
        "rows.B": {**GOES_ON, "after": "A", "length": 2250, "count": 2},
        "rows.D": {**GOES_ON, "after": "B", "lengths": [3000, 3000, 3000]},
        "leads.W1.route": [*AT_THE_BOX, "A", "B", "D"],
    },
    # Every strip by itself, its direction as an angle about its other corner.
    "strip by strip at right angles": {
        "rows": None,
        "elements": {
            f"S{at}": {**STRIP, "at": [60 + 500 * at, 60], "along": "90 deg", "length": length}
            for at, length in enumerate([2250] * 4 + [3000] * 3, 1)
        },
        "leads.W1.route": [*AT_THE_BOX, *(f"S{at}" for at in range(1, 8))],
    },
    # Boards and sheets the other way, with another bond and more lap.
    "laid the other way below": {
        "insulation.layers": [{"courses": "y", "stagger": 400}],
        "membrane.runs": [{"along": "y", "overlap": 200}],
    },
    # The lead from the far strip back, the sensor below another.
    "from the other end": {
        "leads.W1.route": [*AT_THE_BOX, [3360, 30], *(f"A{at}" for at in range(7, 0, -1))],
        "sensor": {"at": [2810, 1500], "cable": "5 m"},
    },
    # Two leads side by side, each to its own strips of the one circuit.
    "two leads": {
        "leads.W1.route": ["junction-box", [45, 1500], [45, 45], "A1", "A2", "A3", "A4"],
        "leads.W2": {**LEAD, "route": ["junction-box", [20, 1500], [20, 20], [2310, 20],
                                       "A5", "A6", "A7"]},
    },
}  # fmt: skip


def otherwise(way: str, plan: Data) -> Data:
    """Draw the bedroom in one of the ways above."""
    bedroom = change_plan(plan["rooms"]["bedroom"], OTHERWISE[way])
    return {**plan, "rooms": {**plan["rooms"], "bedroom": bedroom}}


RIGHT: dict[str, Callable[[Data], Data]] = {
    **{way: partial(otherwise, way) for way in OTHERWISE},
    "another origin": lambda plan: moved(plan, Move(dx=41_000, dy=-3500)),
    "mirrored": lambda plan: moved(plan, Move(mirrored=True)),
    "turned": lambda plan: moved(plan, Move(turn_deg=90)),
    "upside down": lambda plan: moved(plan, Move(turn_deg=180, dx=3650, dy=3120)),
    "axes exchanged": lambda plan: moved(plan, Move(turn_deg=90, mirrored=True)),
    "along x, mirrored, elsewhere": lambda plan: moved(
        otherwise("along x", plan), Move(turn_deg=270, mirrored=True, dx=-700)
    ),
    "other names": names_of_ones_own,
    "other units": lambda plan: change_units(plan, random.Random(4)),
    "another order": lambda plan: reorder_maps(plan, random.Random(4)),
    "all of it": lambda plan: change_units(
        reorder_maps(names_of_ones_own(moved(plan, Move(mirrored=True, dx=90))), random.Random(3)),
        random.Random(2),
    ),
    "materials by other names": materials_of_the_same_content,
    # A film beside the brief's that lies nowhere.
    "a film that is not laid": lambda plan: change_plan(plan, {
        "materials.films.spare": {**plan["materials"]["films"]["film-80"], "output": "150 W/m2"},
    }),
    # A further room, drawn for the way to the board.
    "a hall with nothing in it": lambda plan: change_plan(plan, {
        "rooms.hall.outline": [[0, 0], [1200, 0], [1200, 2000], [0, 2000]],
    }),
    # Height, use, heat loss and what the supply can spare are the brief's, and not repeated.
    "what the brief says left out": lambda plan: change_plan(plan, {
        "rooms.bedroom": dict.fromkeys(("height", "use", "heat_loss")), "supply.available": None,
    }),
}  # fmt: skip


def draw(way: str, plan: Data) -> Data:
    """Draw the plan in a way of its own."""
    return RIGHT[way](copy.deepcopy(plan))
