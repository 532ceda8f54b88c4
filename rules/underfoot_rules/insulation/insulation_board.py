"""Boards that the film's maker does not allow below it."""

from underfoot.api.facts import Facts, RoomFacts
from underfoot.api.plan import Film
from underfoot.api.rules import CannotTell, Finding, Limits, Rule, Subject, join_names
from underfoot_rules import not_given
from underfoot_rules.absent import NO_INSULATION
from underfoot_rules.basis import MAKER


def subjects(facts: Facts) -> tuple[Subject[RoomFacts], ...]:
    """The kind of board of every room with strips."""
    found = []
    for room in facts.heated_rooms:
        insulation = room.drawn.insulation
        board = insulation.board if insulation is not None else None
        if insulation is not None and board is not None:
            found.append(Subject(room=room.id, items=(board.id,), path=board.path, payload=room))
        else:
            path = insulation.path if insulation is not None else room.path
            found.append(Subject(room=room.id, items=(), path=path, payload=room))
    return tuple(found)


def check(subject: Subject[RoomFacts], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Look for the board among those that each film of the room may lie on."""
    room = subject.payload
    if room.drawn.insulation is None:
        return NO_INSULATION
    if not subject.items:
        return not_given.BOARD
    board = subject.items[0]
    films = {element.film.id: element.film for element in room.elements}.values()
    wrong = [film for film in films if film.boards is not None and board not in film.boards]
    if wrong:
        names = join_names([film.id for film in wrong])
        return Finding(
            message=f"Film {names} lies on {board} in room {room.id}, and is not made for it.",
            remedy=_remedy(wrong),
            related=(room.drawn.insulation.path, *(film.path for film in wrong)),
        )
    silent = [film.id for film in films if film.boards is None]
    if silent:
        named = join_names(silent)
        return CannotTell(
            why=f"film {named} does not say what boards it may lie on (`boards`)",
            write="Write from the maker's manual what boards it may lie on: `boards`.",
        )
    return None


def _remedy(films: list[Film]) -> str:
    allowed = [set(film.boards or ()) for film in films]
    common = sorted(set.intersection(*allowed))
    if common:
        return f"Use {_any_of(common)}, or get the film maker's word that this board will do."
    return "Ask the film's maker for a board, or choose a film that is made for this one."


def _any_of(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} or {names[-1]}"


RULE = Rule(
    finds="a board that the film is not made to lie on",
    why="A board too soft lets film be crushed; one not made for the heat shrinks or melts.",
    basis=MAKER,
    subjects=subjects,
    check=check,
    electrical=True,
)
