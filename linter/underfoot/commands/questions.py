"""What `underfoot new` asks at a terminal, with what it takes where nothing is answered."""

import os
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TypeVar

import click

from underfoot.beginning.begin import FORMATS, room_of_size
from underfoot.beginning.found import MM_PER_UNIT, CannotBeginError
from underfoot.beginning.naming import make_id
from underfoot.beginning.new_room import USES, guess_use
from underfoot.commands.begun_plan import CATALOGUE, Wishes, find_stock, read_voltage
from underfoot.reading.wording import suggest
from underfoot.running.errors import CommandError

_UNKNOWN = "-"
_Answer = TypeVar("_Answer")


def ask_wishes(plan_file: str) -> Wishes:
    """Ask for what a plan is begun with; an answer that cannot be is asked for again."""
    click.echo(
        "Return takes what stands in brackets; - leaves a thing open. Ctrl-C ends without a plan.",
        err=True,
    )
    try:
        return _ask(plan_file)
    except click.Abort:
        raise KeyboardInterrupt from None


def _ask(plan_file: str) -> Wishes:
    size = _ask_until("Width by depth of the room, such as 4.2mx3.1m, or a drawing's name", _place)
    is_drawing = os.path.splitext(size)[1].lower() in FORMATS
    sizes, unit = [size], None
    names: list[str] = []
    uses: list[str] = []
    if is_drawing:
        if os.path.splitext(size)[1].lower() not in (".dxf", ".ifc"):
            unit = _ask_until("The drawing's unit", _one_of(list(MM_PER_UNIT)), "mm")
        uses.append(_ask_until("What are the rooms used for", _one_of(USES), "living"))
    else:
        stem = os.path.splitext(os.path.basename(plan_file))[0]
        while True:
            name = _ask_until("What is the room called", str.strip, make_id(stem, "room", names))
            names.append(name)
            likely = guess_use(make_id(name, "room")) or "living"
            uses.append(_ask_until("What is it used for", _one_of(USES), likely))
            more = _ask_until("Width by depth of a further room", _size_or_none, _UNKNOWN)
            if more == _UNKNOWN:
                break
            sizes.append(more)
            stem = f"room-{len(sizes)}"
    catalogue = _ask_until("Catalogue of materials", _catalogue(plan_file), _usual(plan_file))
    stock = None if catalogue is None else find_stock(plan_file, catalogue)
    film = covering = None
    if stock is not None:
        film = _choose("Heating film", list(stock.films))
        covering = _choose("Floor covering", list(stock.coverings))
    rated = f"{stock.films[film].voltage_v:g} V" if stock is not None and film else "230 V"
    return Wishes(
        sizes=() if is_drawing else tuple(sizes),
        outline=size if is_drawing else None,
        rooms=tuple(names),
        uses=tuple(uses),
        catalogue=catalogue,
        film=film,
        covering=covering,
        voltage=_ask_until("Voltage of the supply", read_voltage, rated),
        unit=unit,
    )


def _ask_until(
    question: str, read: Callable[[str], _Answer], default: str | None = None
) -> _Answer:
    """Ask until the answer can be read."""
    while True:
        answer = click.prompt(question, default=default, err=True, type=str).strip()
        try:
            return read(answer)
        except (CannotBeginError, CommandError) as error:
            click.echo(f"  {error}", err=True)


def _place(answer: str) -> str:
    if os.path.splitext(answer)[1].lower() in FORMATS:
        if not os.path.isfile(answer):
            raise CannotBeginError(f"there is no file {answer}")
        return answer
    room_of_size(answer, "room")
    return answer


def _size_or_none(answer: str) -> str:
    if answer != _UNKNOWN:
        room_of_size(answer, "room")
    return answer


def _one_of(words: Sequence[str]) -> Callable[[str], str]:
    def read(answer: str) -> str:
        if answer not in words:
            raise CannotBeginError(f"one of {', '.join(words)}{suggest(answer, words)}")
        return answer

    return read


def _catalogue(plan_file: str) -> Callable[[str], str | None]:
    def read(answer: str) -> str | None:
        if answer == _UNKNOWN:
            return None
        find_stock(plan_file, answer)
        return answer

    return read


def _usual(plan_file: str) -> str:
    beside = Path(plan_file).parent / CATALOGUE
    return str(beside) if beside.is_file() else _UNKNOWN


def _choose(question: str, names: Sequence[str]) -> str | None:
    """Ask for one of the catalogue's things by name, the only one where there is one."""
    if not names:
        return None
    default = names[0] if len(names) == 1 else _UNKNOWN
    answer = _ask_until(f"{question} ({', '.join(names)})", _one_of([*names, _UNKNOWN]), default)
    return None if answer == _UNKNOWN else answer
