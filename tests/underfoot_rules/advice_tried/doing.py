"""Does to a plan's data what advice says: one function a kind of change. Rows come opened."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from typing import Any

from underfoot.api.rules import Data
from underfoot_rules.mutations.expand_rows import copy_plan, direction, film_width, mm, tidy

Step = tuple[float, float]
Do = Callable[[Data], Data]


# In the name of a lead that is drawn anew beside another.
BESIDE = "-beside-"


class CannotDoError(Exception):
    """Advice that cannot be done to the plan; says why."""


def all_of(steps: Iterable[Do]) -> Do:
    """Do one after the other."""
    kept = tuple(steps)

    def do(data: Data) -> Data:
        for step in kept:
            data = step(data)
        return data

    return do


def move_strips(room: str, names: Iterable[str], by: Step, leads: Iterable[str] = ()) -> Do:
    """Move strips; what joins them goes along with their ends, bends of certain leads alone."""
    moved, bent = tuple(names), tuple(leads)

    def do(data: Data) -> Data:
        plan = copy_plan(data)
        elements = plan["rooms"][room]["elements"]
        for name in moved:
            elements[name]["at"] = _shifted(elements[name]["at"], by)
        for lead in bent:
            route = plan["rooms"][room]["leads"][lead]["route"]
            plan["rooms"][room]["leads"][lead]["route"] = [
                _shifted(stop, by) if isinstance(stop, list) else stop for stop in route
            ]
        return plan

    return do


def _shifted(at: Any, by: Step) -> list[float | int]:
    return [tidy(mm(value) + step) for value, step in zip(at, by, strict=True)]


def cut_strip(room: str, name: str, length: float, begins: Step | None = None) -> Do:
    """Make a strip so long, begun elsewhere where `begins` says."""

    def do(data: Data) -> Data:
        plan = copy_plan(data)
        strip = plan["rooms"][room]["elements"][name]
        strip["length"] = tidy(length)
        if begins is not None:
            strip["at"] = list(begins)
        return plan

    return do


def lay_in_pieces(room: str, name: str, pieces: list[float], gap: float = 0.0) -> Do:
    """Lay a strip as several end to end, the last at its old far end where there is a gap."""

    def do(data: Data) -> Data:
        plan = copy_plan(data)
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
        return plan

    return do


def add_strip(room: str, name: str, strip: Data) -> Do:
    """Draw a further strip."""

    def do(data: Data) -> Data:
        plan = copy_plan(data)
        plan["rooms"][room].setdefault("elements", {})[name] = strip
        return plan

    return do


def put_into_route(room: str, lead: str, name: str, beside: str | None) -> Do:
    """Name a strip in a lead's route, next to another one, else at its end."""

    def do(data: Data) -> Data:
        plan = copy_plan(data)
        route = plan["rooms"][room]["leads"][lead]["route"]
        where = len(route) if beside is None else route.index(beside) + 1
        plan["rooms"][room]["leads"][lead]["route"] = [*route[:where], name, *route[where:]]
        return plan

    return do


def set_at(path: str, key: str, value: Any, *, there: bool = True) -> Do:
    """Write a value at a key of the thing at a path; with `there` the thing must stand there."""

    def do(data: Data) -> Data:
        plan = copy_plan(data)
        thing: Any = plan
        for part in path.split(".") if path else ():
            try:
                thing = thing[int(part)] if isinstance(thing, list) else thing[part]
            except (KeyError, IndexError, TypeError):
                raise CannotDoError(f"nothing stands at {path}") from None
        if there and not isinstance(thing, dict):
            raise CannotDoError(f"no keys stand at {path}")
        thing[key] = value
        return plan

    return do


def move_sensor(room: str, at: Step) -> Do:
    """Move the sensor, or draw one with its conduit straight from the junction box."""

    def do(data: Data) -> Data:
        plan = copy_plan(data)
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
        return plan

    return do


def straighten_conduit(room: str) -> Do:
    """Take the sensor's conduit straight from the junction box."""

    def do(data: Data) -> Data:
        plan = copy_plan(data)
        plan["rooms"][room]["sensor"]["route"] = ["junction-box"]
        return plan

    return do


def move_boards(room: str, name: str, by: Step) -> Do:
    """Move a piece of board."""

    def do(data: Data) -> Data:
        plan = copy_plan(data)
        for layer in plan["rooms"][room]["insulation"]["layers"]:
            if name in (layer.get("pieces") or {}):
                piece = layer["pieces"][name]
                piece["at"] = _shifted(piece["at"], by)
                return plan
        raise CannotDoError(f"no piece of board is called {name}")

    return do


def lap_sheets(room: str, more: float) -> Do:
    """Lap the runs of the membrane by so much more."""

    def do(data: Data) -> Data:
        plan = copy_plan(data)
        runs = plan["rooms"][room]["membrane"].get("runs")
        if runs is None:
            raise CannotDoError("sheet by sheet: which of the two goes where is not said")
        for run in runs if isinstance(runs, list) else [runs]:
            run["overlap"] = tidy(mm(run.get("overlap", 0)) + more)
        return plan

    return do


def add_layers(room: str, count: int, *, crossing: bool) -> Do:
    """Lay further layers of boards like the last, across it where `crossing` says."""

    def do(data: Data) -> Data:
        plan = copy_plan(data)
        layers = plan["rooms"][room]["insulation"]["layers"]
        for _ in range(count):
            last = layers[-1]
            if "courses" not in last:
                raise CannotDoError("its boards are drawn piece by piece")
            courses = {"x": "y", "y": "x"}[last["courses"]] if crossing else last["courses"]
            layers.append({**last, "courses": courses})
        return plan

    return do


def split_circuit(circuit: str, parts: list[list[str]]) -> Do:
    """Put the strips on several circuits, each with a protection like the first's.

    Each gets a lead that names its strips where the first's named them, and goes the same way.
    """

    def do(data: Data) -> Data:
        plan = copy_plan(data)
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
        return plan

    return do


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
    """Give the width of a strip."""
    return film_width(data, data["rooms"][room]["elements"][name]["film"])
