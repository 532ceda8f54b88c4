"""The circuits of a room: what is on each, and the lengths of its strips."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from itertools import groupby

from underfoot.checking.facts import CircuitFacts
from underfoot.checking.facts.circuit import find_circuits
from underfoot.drawing import pens
from underfoot.drawing.lettering import SMALL, shorten, wrap
from underfoot.drawing.panel import AFTER, HEADING, LINE, Panel, heading, write_lines
from underfoot.drawing.scene import Scene
from underfoot.drawing.strips import written_length
from underfoot.drawing.svg import box, letters
from underfoot.plan import Element

_SWATCH = 9.0


def draw_circuits(scene: Scene, width: float, most: float) -> Panel | None:
    """Draw the table of the room's circuits, at most `most` mm tall."""
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
    drawn = [heading("Circuits and strips, lengths in mm", width)]
    top = HEADING
    for count, name in enumerate(names):
        circuit = None if name is None else facts[name]
        lines = _lines(circuit, members[name], width - _SWATCH - 2)
        height = len(lines) * LINE + 1.0
        if count and top + height + LINE > most:
            left = f"and {len(names) - count} more circuits, on the schedule"
            drawn.append(write_lines([left], 0.0, top))
            top += LINE
            break
        place = scene.circuit_place(name)
        drawn.append(
            box(
                0.0,
                top + 0.4,
                _SWATCH,
                min(height - 1.2, 2 * LINE),
                fill=f"url(#{pens.hatch_name(scene.prefix, place)})",
                stroke=pens.circuit_colours(place)[0],
                stroke_width=pens.FINE,
            )
        )
        drawn.append(
            letters(lines[0], (_SWATCH + 2, top + SMALL), SMALL, font_weight="bold", fill=pens.INK)
        )
        drawn.append(write_lines(lines[1:], _SWATCH + 2, top + LINE))
        top += height
    return Panel(height=top + AFTER, drawn="".join(drawn))


def _lines(circuit: CircuitFacts | None, members: Sequence[Element], width: float) -> list[str]:
    metres = sum(element.length for element in members) / 1000
    count = f"{len(members)} strip{'' if len(members) == 1 else 's'}, {metres:.2f} m"
    if circuit is None:
        first = f"on no known circuit: {count}"
    else:
        elsewhere = len(circuit.elements) - len(members)
        shared = f", {elsewhere} more elsewhere" if elsewhere else ""
        first = f"{circuit.id}: {count}{shared}; {circuit.power_w:.0f} W, {circuit.current_a:.2f} A"
    lines = [shorten(first, width, SMALL, bold=True)]
    return lines + wrap(lengths_in_words(members), width, SMALL, most=3)


def lengths_in_words(elements: Sequence[Element]) -> str:
    """Write neighbours in a row with one length together: ``A1–A4 2250; A5 3000; E1, E2 750``."""
    words = []
    for (row, length), run in groupby(elements, key=lambda each: (each.row, each.length)):
        names = [element.id for element in run]
        in_line = row is not None and len(names) > 2
        named = f"{names[0]}–{names[-1]}" if in_line else ", ".join(names)
        words.append(f"{named} {written_length(length)}")
    return "; ".join(words)
