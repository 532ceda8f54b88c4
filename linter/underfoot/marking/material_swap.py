"""Materials of one's own give way to the brief's."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from underfoot.marking.brief_changes import BriefChanges
from underfoot.marking.content import is_given, is_same, list_differing
from underfoot.plan import Film, Materials, Plan, Room
from underfoot.plan_format.fields import words_of

# Boards first: films name those that they may lie on.
_KINDS = {"boards": "board", "films": "film", "sheets": "sheet", "coverings": "covering"}


class Swap(Struct, frozen=True, kw_only=True):
    """Which of a plan's materials give way to which of the brief's."""

    materials: Materials
    by_kind: Mapping[str, Mapping[str, Any]]

    @classmethod
    def of(cls, plan: Plan, given: Materials, fixed: Collection[str], told: BriefChanges) -> Swap:
        """See what of the plan's materials in use is none of the brief's."""
        used = _list_used(plan)
        by_kind: dict[str, Mapping[str, Any]] = {}
        merged: dict[str, dict[str, Any]] = {}
        for kind in _KINDS:
            found, models = getattr(plan.materials, kind), getattr(given, kind)
            if kind == "films":
                names = _name_boards(plan.materials, given, by_kind["boards"])
                models = {name: _on_boards(film, names) for name, film in models.items()}
            swaps: dict[str, Any] = {}
            if "materials" in fixed or kind in fixed:
                swaps = _swap(kind, found, models, used[kind], told)
            by_kind[kind] = swaps
            merged[kind] = {**found, **swaps}
        return cls(materials=Materials(**merged), by_kind=by_kind)

    def in_room(self, room: Room) -> Room:
        """Return the room made of the brief's materials."""
        films, boards = self.by_kind["films"], self.by_kind["boards"]
        sheets, coverings = self.by_kind["sheets"], self.by_kind["coverings"]
        elements = tuple(
            replace(one, film=films[one.film.id]) if one.film.id in films else one
            for one in room.elements
        )
        laid = room.insulation
        if laid is not None and laid.board is not None and laid.board.id in boards:
            laid = replace(laid, board=boards[laid.board.id])
        membrane = room.membrane
        if membrane is not None and membrane.sheet is not None and membrane.sheet.id in sheets:
            membrane = replace(membrane, sheet=sheets[membrane.sheet.id])
        subfloor = room.subfloor
        if subfloor is not None and subfloor.barrier is not None and subfloor.barrier.id in sheets:
            subfloor = replace(subfloor, barrier=sheets[subfloor.barrier.id])
        areas = tuple(
            replace(area, covering=coverings[area.covering.id])
            if area.covering.id in coverings
            else area
            for area in room.coverings
        )
        return replace(
            room,
            elements=elements,
            insulation=laid,
            membrane=membrane,
            subfloor=subfloor,
            coverings=areas,
        )

    def as_called(self, model: Room) -> Room:
        """Return a room of the brief on its board under the name that the plan has for it."""
        laid = model.insulation
        if laid is None or laid.board is None or laid.board.id in self.materials.boards:
            return model
        boards = self.materials.boards.values()
        same = next((board for board in boards if is_same(board, laid.board)), laid.board)
        return replace(model, insulation=replace(laid, board=same))


def _name_boards(
    ours: Materials, theirs: Materials, swaps: Mapping[str, Any]
) -> Mapping[str, tuple[str, ...]]:
    """Return what the plan calls each board of the brief: the same board, or one taken for it."""
    return {
        name: tuple(
            own
            for own, thing in ours.boards.items()
            if is_same(swaps.get(own, thing), board) and (own == name or name not in ours.boards)
        )
        or (name,)
        for name, board in theirs.boards.items()
    }


def _is_any(thing: Any, given: Mapping[str, Any]) -> bool:
    return any(is_same(thing, one) for one in given.values())


def _on_boards(film: Film, names: Mapping[str, tuple[str, ...]]) -> Film:
    if film.boards is None:
        return film
    return replace(
        film, boards=tuple(own for name in film.boards for own in names.get(name, (name,)))
    )


def _list_used(plan: Plan) -> Mapping[str, set[str]]:
    used: dict[str, set[str]] = {kind: set() for kind in _KINDS}
    for room in plan.rooms.values():
        used["films"].update(one.film.id for one in room.elements)
        used["coverings"].update(area.covering.id for area in room.coverings)
        if room.insulation is not None and room.insulation.board is not None:
            used["boards"].add(room.insulation.board.id)
        for sheet in (
            None if room.membrane is None else room.membrane.sheet,
            None if room.subfloor is None else room.subfloor.barrier,
        ):
            if sheet is not None:
                used["sheets"].add(sheet.id)
    return used


def _swap(
    kind: str,
    found: Mapping[str, Any],
    given: Mapping[str, Any],
    used: Collection[str],
    told: BriefChanges,
) -> dict[str, Any]:
    swaps: dict[str, Any] = {}
    word = _KINDS[kind]
    for name, thing in found.items():
        # What is not laid anywhere changes nothing.
        if not given or name not in used or _is_any(thing, given):
            continue
        model = given.get(name)
        if model is None:
            model = min(given.values(), key=lambda one: len(list_differing(thing, one)))
            said = f"the {word} {name} is none of the brief's; {model.id} was taken for it"
        else:
            fields = list_differing(thing, model)
            parts = ", ".join(words_of(type(thing), field) for field in fields)
            said = f"the {word} {name} is not the brief's ({parts})"
            if not any(is_given(getattr(thing, field)) for field in fields):
                said = f"What the brief gives of the {word} {name} was left out ({parts})"
                told.remark(f"{said}, and was put back.")
        if not said.startswith("What"):
            told.change("materials", said)
        # Where the plan has the brief's own as well, that is laid in its place.
        same = next((own for own, one in found.items() if is_same(one, model)), name)
        swaps[name] = replace(model, id=same, path=thing.path)
    return swaps
