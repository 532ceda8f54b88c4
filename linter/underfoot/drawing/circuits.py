"""The circuits of a room: what is on each, and the lengths of its strips."""

from collections import defaultdict
from collections.abc import Sequence
from itertools import groupby

from underfoot.checking.facts import CircuitFacts
from underfoot.checking.facts.circuit import find_circuits
from underfoot.drawing import pens
from underfoot.drawing.lettering import SMALL, wrap
from underfoot.drawing.panel import LINE, Entry, Panel, Section, write_lines
from underfoot.drawing.scene import Scene
from underfoot.drawing.strips import written_length
from underfoot.drawing.svg import box
from underfoot.plan import Element

_SWATCH = 11.0


def list_circuits(scene: Scene) -> Section | None:
    """List the room's circuits; None where there are no strips.

    Lengths stand on the strips; here where these are too small for them.
    """
    members: defaultdict[str | None, list[Element]] = defaultdict(list)
    for element in scene.facts.elements:
        known = element.circuit in scene.plan.circuits
        members[element.circuit if known else None].append(element)
    if not members:
        return None
    facts = find_circuits(scene.plan)
    names: list[str | None] = [name for name in scene.plan.circuits if name in members]
    if None in members:
        names.append(None)
    return Section(
        title="Circuits, lengths in mm",
        name="circuits",
        entries=tuple(
            _entry(
                scene.prefix,
                scene.circuit_place(name),
                _first_line(None if name is None else facts[name], members[name]),
                "" if scene.names_strips else lengths_in_words(members[name]),
            )
            for name in names
        ),
    )


def _entry(prefix: str, place: int | None, first: str, lengths: str) -> Entry:
    def draw(width: float) -> Panel:
        room = width - _SWATCH - 2.0
        heads = wrap(first, room * 0.93, SMALL)
        lines = wrap(lengths, room, SMALL)
        height = (len(heads) + len(lines)) * LINE + 1.4
        swatch = box(
            0.0,
            0.6,
            _SWATCH,
            min(height - 1.6, 2 * LINE),
            fill=f"url(#{pens.hatch_name(prefix, place)})",
            **pens.pen(pens.circuit_colours(place)[0], pens.FINE),
        )
        return Panel(
            height=height,
            drawn=swatch
            + write_lines(heads, _SWATCH + 2.0, 0.0, weight="bold")
            + write_lines(lines, _SWATCH + 2.0, len(heads) * LINE),
        )

    return draw


def _first_line(circuit: CircuitFacts | None, members: Sequence[Element]) -> str:
    metres = sum(element.length for element in members) / 1000
    count = f"{len(members)} strip{'' if len(members) == 1 else 's'}, {metres:.2f} m"
    if circuit is None:
        return f"on no known circuit: {count}"
    elsewhere = len(circuit.elements) - len(members)
    shared = f", {elsewhere} more elsewhere" if elsewhere else ""
    return f"{circuit.id}: {count}{shared}; {circuit.power_w:.0f} W, {circuit.current_a:.2f} A"


def lengths_in_words(elements: Sequence[Element]) -> str:
    """Write neighbours in a row with one length together: ``A1–A4 2250; A5 3000; E1, E2 750``."""
    words = []
    for (row, length), run in groupby(elements, key=lambda each: (each.row, each.length)):
        names = [element.id for element in run]
        in_line = row is not None and len(names) > 2
        named = f"{names[0]}–{names[-1]}" if in_line else ", ".join(names)
        words.append(f"{named} {written_length(length)}")
    return "; ".join(words)
