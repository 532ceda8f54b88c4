"""What is said of rooms that were laid: how much, of how much at the most, and what was taken."""

import math
from collections.abc import Iterator

from underfoot.checking.numbers import format_quantity
from underfoot.checking.report_builder import say_message
from underfoot.laying.demand import Demand
from underfoot.laying.trying import LaidRoom
from underfoot.laying.writing import CABLE, Laying
from underfoot.reporting.layout import count_of


def _tell_demand(laying: Laying, demand: Demand) -> Iterator[str]:
    if demand.unknown:
        yield f"  All that fits is laid: how much the room needs is not known: {demand.unknown}."
        return
    yield (
        f"  The room needs {format_quantity(demand.needed_w, 'W')} of its floor, its heat loss "
        f"less what other heaters give: {laying.heated_m2:.2f} m2 are laid of the "
        f"{demand.most_m2:.2f} m2 that fit."
    )
    for found in demand.against:
        rule = f"{found.severity} {found.rule.id}"
        yield f"  Less is not laid, for then: {rule}: {say_message(found)}"


def _say_new(laying: Laying) -> str:
    """Say what strips and leads are new; and how many strips were there."""
    circuits = count_of(len(set(laying.circuits)), "circuit")
    rows = count_of(laying.rows, "row")
    if not laying.drawn:
        return f"{count_of(laying.strips, 'strip')} of {laying.film} in {rows} on {circuits}"
    kept = f"{count_of(laying.drawn, 'strip')} {'stays' if laying.drawn == 1 else 'stay'} as drawn"
    more = (
        f"{count_of(laying.strips, 'strip')} more of {laying.film} in {rows}"
        if laying.strips
        else "none is added"
    )
    leads = count_of(laying.leads, "new lead") if laying.leads else "no new lead"
    return f"{kept}, {more}; {leads}"


def tell_room(room: LaidRoom) -> Iterator[str]:
    """Tell how a room came out, in sentences, but for what still stands against it."""
    laying = room.laying
    if laying is None:
        yield f"{room.room}: cannot be laid: {room.why}."
        return
    if not room.edits:
        yield f"{room.room}: nothing is missing."
        return
    share = 100 * laying.heated_m2 / laying.open_m2 if laying.open_m2 else 0.0
    yield (
        f"{room.room}: {_say_new(laying)}, {laying.heated_m2:.2f} m2: {share:.0f} % of the "
        f"{laying.open_m2:.2f} m2 that strips may reach."
    )
    if laying.strips:
        # Rounded down: no more than all of it is all of it.
        of_bound = math.floor(100 * laying.heated_m2 / laying.bound_m2 + 1e-6)
        beside = " beside what is drawn" if laying.drawn else ""
        yield (
            f"  No strips of {laying.film} side by side heat more than {laying.bound_m2:.2f} m2 "
            f"here{beside}, in any direction tried; this is {of_bound} % of that."
        )
    for why in laying.less:
        yield f"  It is not more because {why}."
    for found in room.with_more:
        rule = f"{found.severity} {found.rule.id}"
        yield f"  More strips are not added, for then: {rule}: {say_message(found)}"
    if laying.cables_taken:
        yield (
            f"  The cable to the board is taken as {CABLE['length']} of {CABLE['size']}: measure "
            "it, and write what it is."
        )
    if room.demand is not None:
        yield from _tell_demand(laying, room.demand)
    for says in room.mended:
        yield f"  Also: {says}"
