"""Does to a plan's data what advice says: one function a kind of change. Rows come opened."""

import math
from collections.abc import Callable, Iterable
from functools import reduce
from typing import Any, Concatenate, ParamSpec

from underfoot.api.rules import Data
from underfoot_rules.mutations.expand_rows import copy_plan, direction, film_width, mm, tidy

Step = tuple[float, float]
Do = Callable[[Data], Data]
P = ParamSpec("P")

# In the name of a lead that is drawn anew beside another.
BESIDE = "-beside-"


class CannotDoError(Exception):
    """Advice that cannot be done to the plan; says why."""


def change(doing: Callable[Concatenate[Data, P], None]) -> Callable[P, Do]:
    """Make of what is done to a plan's data something that does it to a copy."""

    def make(*args: P.args, **named: P.kwargs) -> Do:
        def do(data: Data) -> Data:
            plan: Data = copy_plan(data)
            doing(plan, *args, **named)
            return plan

        return do

    return make


def all_of(*steps: Do) -> Do:
    """Do one after the other."""
    return lambda data: reduce(lambda done, step: step(done), steps, data)


@change
def move_strips(
    plan: Data, room: str, names: Iterable[str], by: Step, leads: Iterable[str] = ()
) -> None:
    """Move strips; what joins them goes along with their ends, bends of certain leads alone."""
    elements = plan["rooms"][room]["elements"]
    for name in names:
        elements[name]["at"] = _shifted(elements[name]["at"], by)
    for lead in leads:
        route = plan["rooms"][room]["leads"][lead]["route"]
        plan["rooms"][room]["leads"][lead]["route"] = [
            _shifted(stop, by) if isinstance(stop, list) else stop for stop in route
        ]


def _shifted(at: Any, by: Step) -> list[float | int]:
    return [tidy(mm(value) + step) for value, step in zip(at, by, strict=True)]


@change
def cut_strip(plan: Data, room: str, name: str, length: float, begins: Step | None = None) -> None:
    """Make a strip so long, begun elsewhere where `begins` says."""
    strip = plan["rooms"][room]["elements"][name]
    strip["length"] = tidy(length)
    if begins is not None:
        strip["at"] = list(begins)


@change
def lay_in_pieces(plan: Data, room: str, name: str, pieces: list[float], gap: float = 0.0) -> None:
    """Lay a strip as several end to end, the last at its old far end where there is a gap."""
    elements = plan["rooms"][room]["elements"]
    old = elements.pop(name)
    along, _ = direction(old["along"])
    at = [mm(value) for value in old["at"]]
    begun = 0.0
    for number, length in enumerate(pieces):
        if gap and number:
            begun = mm(old["length"]) - length
        place = [tidy(at[0] + begun * along[0]), tidy(at[1] + begun * along[1])]
        piece = {**old, "at": place, "length": tidy(length)}
        if number:
            # Its lead comes from the far end; a strip between two has none to come from.
            piece["connected"] = "start" if old.get("connected") == "end" else "end"
        elements[name if not number else f"{name}-{number + 1}"] = piece
        begun += length


@change
def add_strip(plan: Data, room: str, name: str, strip: Data) -> None:
    """Draw a further strip."""
    plan["rooms"][room].setdefault("elements", {})[name] = strip


@change
def put_into_route(plan: Data, room: str, lead: str, name: str, beside: str | None) -> None:
    """Name a strip in a lead's route, next to another one, else at its end."""
    route = plan["rooms"][room]["leads"][lead]["route"]
    where = len(route) if beside is None else route.index(beside) + 1
    plan["rooms"][room]["leads"][lead]["route"] = [*route[:where], name, *route[where:]]


@change
def set_at(plan: Data, path: str, key: str, value: Any, *, there: bool = True) -> None:
    """Write a value at a key of the thing at a path; with `there` the thing must stand there."""
    thing: Any = plan
    for part in path.split(".") if path else ():
        try:
            thing = thing[int(part)] if isinstance(thing, list) else thing[part]
        except (KeyError, IndexError, TypeError):
            raise CannotDoError(f"nothing stands at {path}") from None
    if there and not isinstance(thing, dict):
        raise CannotDoError(f"no keys stand at {path}")
    thing[key] = value


@change
def move_sensor(plan: Data, room: str, at: Step) -> None:
    """Move the sensor, or draw one with its conduit straight from the junction box."""
    drawn = plan["rooms"][room]
    box = drawn.get("junction_box")
    if "sensor" not in drawn:
        away = 0.0 if box is None else math.dist([mm(v) for v in box["at"]], at)
        drawn["sensor"] = {
            "route": ["junction-box"] if box is not None else [],
            "channel": {"width": 13, "depth": 7, "cut_into": "insulation"},
            "conduit": {"width": 12, "depth": 7},
            "cable": f"{math.ceil(away / 500 + 4) / 2} m",
        }
    drawn["sensor"]["at"] = list(at)


@change
def straighten_conduit(plan: Data, room: str) -> None:
    """Take the sensor's conduit straight from the junction box."""
    plan["rooms"][room]["sensor"]["route"] = ["junction-box"]


@change
def move_boards(plan: Data, room: str, name: str, by: Step) -> None:
    """Move a piece of board."""
    for layer in plan["rooms"][room]["insulation"]["layers"]:
        if name in (layer.get("pieces") or {}):
            piece = layer["pieces"][name]
            piece["at"] = _shifted(piece["at"], by)
            return
    raise CannotDoError(f"no piece of board is called {name}")


@change
def lap_sheets(plan: Data, room: str, more: float) -> None:
    """Lap the runs of the membrane by so much more."""
    runs = plan["rooms"][room]["membrane"].get("runs")
    if runs is None:
        raise CannotDoError("sheet by sheet: which of the two goes where is not said")
    for run in runs if isinstance(runs, list) else [runs]:
        run["overlap"] = tidy(mm(run.get("overlap", 0)) + more)


@change
def add_layers(plan: Data, room: str, count: int, *, crossing: bool) -> None:
    """Lay further layers of boards like the last, across it where `crossing` says."""
    layers = plan["rooms"][room]["insulation"]["layers"]
    for _ in range(count):
        last = layers[-1]
        if "courses" not in last:
            raise CannotDoError("its boards are drawn piece by piece")
        courses = {"x": "y", "y": "x"}[last["courses"]] if crossing else last["courses"]
        layers.append({**last, "courses": courses})


@change
def split_circuit(plan: Data, circuit: str, parts: list[list[str]]) -> None:
    """Put the strips on several circuits, each with a protection like the first's.

    Each gets a lead that names its strips where the first's named them, and goes the same way.
    """
    names = [circuit, *(f"{circuit}-{number}" for number in range(2, len(parts) + 1))]
    of = {strip: name for name, strips in zip(names, parts, strict=True) for strip in strips}
    for name in names[1:]:
        own = plan["circuits"][circuit]
        carrying = plan["circuits"].get(own.get("shares"), {})
        plan["circuits"][name] = {
            key: value for key, value in {**carrying, **own}.items() if key != "shares"
        }
    for room in plan["rooms"].values():
        for strip, drawn in (room.get("elements") or {}).items():
            if strip in of:
                drawn["circuit"] = of[strip]
        for lead, drawn in list((room.get("leads") or {}).items()):
            if drawn["circuit"] == circuit:
                _share_lead(room["leads"], lead, names, of)


def _share_lead(leads: Data, lead: str, names: list[str], of: dict[str, str]) -> None:
    drawn = leads.pop(lead)
    for number, name in enumerate(names):
        route = [
            stop
            for stop in drawn["route"]
            if not isinstance(stop, str) or of.get(stop.split(".")[0], name) == name
        ]
        if any(isinstance(stop, str) and stop.split(".")[0] in of for stop in route):
            own = lead if not number else f"{lead}{BESIDE}{number + 1}"
            leads[own] = {**drawn, "circuit": name, "route": route}


def width_of(data: Data, room: str, name: str) -> float:
    """Return the width of a strip."""
    return film_width(data, data["rooms"][room]["elements"][name]["film"])
