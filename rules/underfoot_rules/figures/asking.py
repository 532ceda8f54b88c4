"""Asks about a figure that can hardly be meant, with a guess at what was."""

from collections.abc import Sequence
from typing import Any

from msgspec import Struct

from underfoot.api.rules import Severity, Subject
from underfoot_rules.figures.plausible import Range
from underfoot_rules.figures.slips import guess, write_figure


class Odd(Struct, frozen=True, kw_only=True):
    """A figure outside what can be meant: said so, with a guess at what was meant."""

    said: str
    remedy: str
    severity: Severity


def list_ranged(
    room: str | None, items: tuple[str, ...], thing: Any, ranges: Sequence[Range], name: str = ""
) -> list[Subject[Odd] | None]:
    """Go over the figures of a thing; None stands for one that can be meant."""
    found: list[Subject[Odd] | None] = []
    for each in ranges:
        value = getattr(thing, each.attribute)
        if value is None:
            continue
        if each.least <= value <= each.most:
            found.append(None)
        else:
            path = f"{thing.path}.{each.key}"
            found.append(ask_about(room, (*items, each.key), path, each, value, name))
    return found


def ask_about(
    room: str | None, items: tuple[str, ...], path: str, figure: Range, value: float, name: str
) -> Subject[Odd]:
    """Ask about a figure outside its range."""
    said_else = figure.too_much if value > figure.most else ""
    meant = None if said_else else guess(value, figure)
    what = figure.what.format(name)
    usual = f"{write_figure(figure.least, figure.unit)} to {write_figure(figure.most, figure.unit)}"
    said = f"{what[0].upper()}{what[1:]} is {write_figure(value, figure.unit)}; {usual} is usual."
    remedy = f"Look at `{figure.key}` again"
    remedy += f": did you mean {meant}?" if meant else f", and write what is meant.{said_else}"
    return ask(room, items, path, said, remedy, figure.severity)


def ask(
    room: str | None,
    items: tuple[str, ...],
    path: str,
    said: str,
    remedy: str,
    severity: Severity = "warning",
) -> Subject[Odd]:
    """Ask about what stands under a path."""
    odd = Odd(said=said, remedy=remedy, severity=severity)
    return Subject(room=room, items=items, path=path, payload=odd)
