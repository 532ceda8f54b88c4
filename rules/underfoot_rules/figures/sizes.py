"""Asks about rooms, fixtures and openings of a size that can hardly be meant."""

from collections.abc import Sequence
from typing import Any

from underfoot.api.rules import Severity, Subject
from underfoot_rules.figures import plausible
from underfoot_rules.figures.asking import Odd, ask
from underfoot_rules.figures.slips import write_figure


def _sides(outline: Sequence[tuple[float, float]]) -> tuple[float, float]:
    xs = [x for x, _ in outline]
    ys = [y for _, y in outline]
    return max(xs) - min(xs), max(ys) - min(ys)


def ask_room_side(room: Any) -> Subject[Odd] | None:
    """Ask about a room as small as a box, or as long as a street."""
    least, most = plausible.ROOM_SIDES.get(room.use, plausible.ROOM_SIDE)
    shorter, longer = sorted(_sides(room.outline))
    if least <= longer <= most and shorter >= plausible.ROOM_WIDTH:
        return None
    size = " × ".join(write_figure(side, "mm") for side in _sides(room.outline))
    if longer <= most:
        scale, unit = next(
            ((scale, unit) for scale, unit in ((1000.0, "m"), (10.0, "cm"), (25.4, "in"))
             if least <= longer * scale <= most and shorter * scale >= plausible.ROOM_WIDTH),
            (None, ""),
        )  # fmt: skip
        meant = "write what is meant"
        if scale is not None:
            sides = " × ".join(f"{side:g} {unit}" for side in _sides(room.outline))
            meant = f"did you mean {sides}? A number without a unit is in millimetres"
        said = f"Room {room.id} is {size}: no room is so small."
        severity: Severity = "error"
    else:
        said = f"Room {room.id} is {size}, longer than such rooms are."
        meant = f"did you mean {write_figure(longer / 10, 'mm')}?"
        severity = "warning"
    remedy = f"Look at `outline` again: {meant}.".replace("?.", "?")
    return ask(room.id, ("outline",), f"{room.path}.outline", said, remedy, severity)


def ask_fixture_side(room: str, fixture: Any) -> Subject[Odd] | None:
    """Ask about a fixture of a size that nothing in a room has."""
    fixed = fixture.kind == "fixings"
    least, most = plausible.FIXING_SIDE if fixed else plausible.FIXTURE_SIDE
    longer = max(_sides(fixture.outline))
    if least <= longer <= most:
        return None
    size = " × ".join(write_figure(side, "mm") for side in _sides(fixture.outline))
    slip = next((slip for slip in (1000.0, 10.0, 0.1) if least * 5 <= longer * slip <= most), None)
    meant = ", and write what is meant."
    if slip is not None:
        sides = " × ".join(write_figure(side * slip, "mm") for side in _sides(fixture.outline))
        meant = f": did you mean {sides}?"
    said = f"{fixture.id} is {size}: nothing that stands in a room is of such a size."
    remedy = f"Look at the size of {fixture.id} again{meant}"
    return ask(room, (fixture.id,), fixture.path, said, remedy, "error")


def ask_opening_width(room: str, opening: Any) -> Subject[Odd] | None:
    """Ask about a door through which nobody goes, or one as wide as a house."""
    least, most = plausible.OPENING_WIDTH
    if least <= opening.width <= most:
        return None
    low, high = (write_figure(each, "mm") for each in plausible.OPENING_WIDTH)
    said = (
        f"{opening.kind.capitalize()} {opening.id} is {write_figure(opening.width, 'mm')} wide; "
        f"{low} to {high} is usual."
    )
    remedy = "Look at `from` and `to` again, which are its two ends, and write what is meant."
    return ask(room, (opening.id,), opening.path, said, remedy)
