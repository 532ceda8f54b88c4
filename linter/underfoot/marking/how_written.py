"""How a plan is written: its steps, the forms of its figures, its routes."""

import itertools
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from msgspec import Struct

from underfoot.checking.mutation import Data

# What is made only in certain sizes stands out in any other.
MADE: Mapping[str | None, frozenset[float]] = {
    " A": frozenset((3, 6, 10, 13, 16, 20, 25, 32, 40, 50, 63)),
    " mA": frozenset((10, 30, 100, 300)),
    " mm2": frozenset((0.5, 0.75, 1, 1.5, 2.5, 4, 6, 10)),
    " V": frozenset((12, 24, 36, 48, 110, 120, 200, 220, 230, 240, 250, 400, 500, 1000)),
}
FIGURE = re.compile(r"(-?\d+(?:\.\d+)?)( .+)")
DATE = re.compile(r"\d{4}-\d\d-\d\d")
_STEPS_FROM = 50
# So large a share of a room's figures may go in no step, and the others still show one.
_FEW = 0.25


class Form(Struct, frozen=True, kw_only=True):
    """How a figure is written: its unit (None for a bare number) and its decimals."""

    unit: str | None
    decimals: int


class Style:
    """How a plan writes: the steps of its places by room and kind, its figures, dates and stops."""

    def __init__(self, plan: Data) -> None:
        self._places = {
            (name, kind): _common_step([abs(each) for each in list_places(told)], _FEW)
            for name, room in plan["rooms"].items()
            for kind, told in ((None, room), *room.items())
            if any(list_places(told))
        }
        self._forms: dict[str, set[Form]] = {}
        self._figures: dict[tuple[str, str | None], list[float]] = {}
        self.has_false = False
        self.years: set[str] = set()
        for key, value in _scalars(plan):
            form = form_of(value)
            if form is not None:
                self._forms.setdefault(key, set()).add(form)
                self._figures.setdefault((key, form.unit), []).append(number_of(value))
            self.has_false |= value is False
            if isinstance(value, str) and DATE.fullmatch(value):
                self.years.add(value[:4])
        self._routes = {
            (name, kind): list(_routes(room, kind))
            for name, room in plan["rooms"].items()
            for kind in ("leads", "sensor")
        }

    def of_places(self, room: str, kind: str | None) -> int:
        """Return the step of a room's places of a kind, in mm."""
        return self._places.get((room, kind), self._places.get((room, None), 10))

    def of_key(self, key: str, unit: str | None) -> int:
        """Return the step of a key's figures; 1 where they have none."""
        figures = self._figures.get((key, unit), [])
        if unit in MADE or min(figures, default=0.0) < _STEPS_FROM:
            return 1
        return _common_step(figures)

    def decimals(self, key: str, unit: str | None) -> int | None:
        """Return with how many decimals a key's figures in a unit are written; None for never."""
        found = [one.decimals for one in self._forms.get(key, ()) if one.unit == unit]
        return max(found) if found else None

    def has_route(self, room: str, kind: str, route: Sequence[Any]) -> bool:
        """Tell whether a room's leads, or its sensor's cable, begin so, stop and end at such.

        Nobody writes one stop twice; a route that ends at a bend is drawn too far, and no odder.
        """
        own = self._routes.get((room, kind)) or [
            each for (_, of), routes in self._routes.items() if of == kind for each in routes
        ]
        stops = {form_of_stop(each) for one in own for each in one}
        if not route or not {form_of_stop(each) for each in route} <= stops:
            return False
        return (
            form_of_stop(route[0]) in {form_of_stop(one[0]) for one in own if one}
            and form_of_stop(route[-1]) in {None, *(form_of_stop(one[-1]) for one in own if one)}
            and all(one != other for one, other in itertools.pairwise(route))
        )

    def has_size(self, figure: float) -> bool:
        """Tell whether things so large are in the plan, or nearly."""
        sizes = self._figures.get(("size", None), [figure])
        return min(sizes) / 2 <= figure <= max(sizes) * 2


def _routes(room: Data, kind: str) -> Iterator[list[Any]]:
    """Yield the routes of a room's leads, or of its sensor's cable."""
    told = room.get(kind) or {}
    for thing in told.values() if kind == "leads" else (told,):
        if thing.get("route"):
            yield thing["route"]


def form_of_stop(word: Any) -> str | None:
    """Return the form of a stop of a route: a row's name, a strip's, a strip's end."""
    return re.sub("[A-Z]+", "A", re.sub(r"\d+", "9", word)) if isinstance(word, str) else None


def _common_step(figures: Sequence[float], few: float = 0.0) -> int:
    """Return the step in which figures go, but for as many as `few` of them (a share)."""
    for step in (10, 5):
        off = sum(abs(each / step - round(each / step)) >= 1e-9 for each in figures)
        if off <= few * len(figures):
            return step
    return 1


def list_places(told: Any) -> Iterator[float]:
    """Yield the numbers of all lists in a thing."""
    if isinstance(told, dict):
        for value in told.values():
            yield from list_places(value)
    elif isinstance(told, list):
        for value in told:
            if _is_number(value):
                yield value
            else:
                yield from list_places(value)


def _scalars(told: Any, key: str = "") -> Iterator[tuple[str, Any]]:
    if isinstance(told, dict):
        for name, value in told.items():
            yield from _scalars(value, name)
    elif isinstance(told, list):
        for value in told:
            yield from _scalars(value, key)
    else:
        yield key, told


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def form_of(value: Any) -> Form | None:
    """Tell how a figure is written; None for a word."""
    if _is_number(value):
        return Form(
            unit=None,
            decimals=len(repr(value).partition(".")[2]) if isinstance(value, float) else 0,
        )
    found = FIGURE.fullmatch(value) if isinstance(value, str) else None
    if found is None:
        return None
    return Form(unit=found[2], decimals=len(found[1].partition(".")[2]))


def number_of(value: Any) -> float:
    return float(value if _is_number(value) else value.partition(" ")[0])
