"""Figures written in another unit, or with a digit too many or too few."""

from __future__ import annotations

import random

from underfoot.api.rules import Damaged, Data, Expected, Mutation
from underfoot_rules.mutations.choosing import cause
from underfoot_rules.mutations.expand_rows import copy_plan, open_rows

# Ratings that no breaker has, by one that is made.
NOT_MADE = {6: (7,), 10: (9, 11, 12), 13: (12, 14), 16: (14, 17, 18), 20: (19, 21, 22)}


def leave_unit_out(data: Data, rng: random.Random) -> Damaged | None:
    """Write a cable's length in metres, and leave the unit out."""
    plan = copy_plan(data)
    written = [
        (name, told["cable"])
        for name, told in (plan.get("circuits") or {}).items()
        if str((told.get("cable") or {}).get("length", "")).endswith(" m")
    ]
    if not written:
        return None
    name, cable = rng.choice(written)
    cable["length"] = float(str(cable["length"]).removesuffix(" m"))
    return cause(plan, "odd-figure", None, name, "length", severity="warning")


def shrink_residual_current(data: Data, rng: random.Random) -> Damaged | None:
    """Write an RCD's residual current in thousandths of what it is."""
    plan = copy_plan(data)
    # Circuits behind one RCD would have to be miswritten alike.
    named = [
        name
        for name, told in (plan.get("circuits") or {}).items()
        if "rcd" in told and "rcd_group" not in told
    ]
    if not named:
        return None
    name = rng.choice(named)
    plan["circuits"][name]["rcd"] = rng.choice(("0.03 mA", "0.01 mA"))
    return cause(plan, "odd-figure", None, name, "rcd", severity="error")


def invent_breaker(data: Data, rng: random.Random) -> Damaged | None:
    """Write down a breaker that nobody makes."""
    plan = copy_plan(data)
    rated = [
        (name, told, int(str(told["breaker"]).removesuffix(" A")))
        for name, told in (plan.get("circuits") or {}).items()
        if str(told.get("breaker", "")).removesuffix(" A").isdigit()
    ]
    rated = [each for each in rated if each[2] in NOT_MADE]
    if not rated:
        return None
    name, told, rating = rng.choice(rated)
    told["breaker"] = f"{rng.choice(NOT_MADE[rating])} A"
    return Damaged(
        data=plan,
        expected=(
            Expected(rule="odd-figure", room=None, items=(name, "breaker"), severity="warning"),
        ),
    )


def draw_in_metres(data: Data, rng: random.Random) -> Damaged | None:
    """Draw the outline of a room in metres."""
    plan = copy_plan(data)
    name = rng.choice(list(plan["rooms"]))
    room = plan["rooms"][name]
    corners = [[_metres(place) for place in corner] for corner in room["outline"]]
    room["outline"] = corners
    for opening in (room.get("openings") or {}).values():
        for end in ("from", "to"):
            opening[end] = [_metres(place) for place in opening[end]]
    return cause(plan, "odd-figure", name, "outline", severity="error")


def _metres(place: object) -> float:
    if isinstance(place, (int, float)):
        return place / 1000
    number, _, unit = str(place).partition(" ")
    return float(number) / (1 if unit == "m" else 1000)


def lose_digits(data: Data, rng: random.Random) -> Damaged | None:
    """Write a room's heat loss with two digits too few."""
    plan = copy_plan(data)
    named = [
        name for name, room in plan["rooms"].items() if str(room.get("heat_loss", "")).endswith("W")
    ]
    if not named:
        return None
    name = rng.choice(named)
    room = plan["rooms"][name]
    loss = float(str(room["heat_loss"]).removesuffix(" W"))
    room["heat_loss"] = f"{loss / 100:.2f} W"
    return cause(plan, "odd-figure", name, "heat_loss", severity="warning")


def thin_membrane(data: Data, rng: random.Random) -> Damaged | None:
    """Write a sheet a tenth as thick as it is."""
    plan = copy_plan(data)
    sheets = [
        (name, told)
        for name, told in plan["materials"]["sheets"].items()
        if isinstance(told.get("thickness"), (int, float)) and told["thickness"] <= 0.4
    ]
    if not sheets:
        return None
    name, told = rng.choice(sheets)
    told["thickness"] = round(told["thickness"] / 10, 4)
    return cause(plan, "odd-figure", None, name, "thickness", severity="warning")


def write_share_of_power(data: Data, rng: random.Random) -> Damaged | None:
    """Write a film's tolerance as shares of its power, not as what it may lie off."""
    plan = copy_plan(data)
    opened = open_rows(plan)
    used = {
        strip["film"] for room in opened["rooms"].values() for strip in room["elements"].values()
    }
    films = [
        (name, told)
        for name, told in plan["materials"]["films"].items()
        if name in used and "tolerance" in told
    ]
    if not films or plan.get("tests"):  # which are judged by the tolerance
        return None
    name, told = rng.choice(films)
    told["tolerance"] = [100 + each for each in told["tolerance"]]
    return cause(plan, "odd-figure", None, name, "tolerance", severity="error")


def slip_resistance(data: Data, rng: random.Random) -> Damaged | None:
    """Write a covering's resistance a fiftieth of what it is."""
    plan = copy_plan(data)
    # As thick as that, none conducts as well as what is left of the resistance says.
    coverings = [
        (name, told)
        for name, told in plan["materials"].get("coverings", {}).items()
        if "resistance" in told and isinstance(told.get("thickness"), (int, float))
    ]
    slipped = [
        (name, told, resists)
        for name, told in coverings
        for resists in (float(str(told["resistance"]).split()[0]) / 50,)
        if resists > 0.0011 and told["thickness"] / 1000 / resists > 5.1
    ]
    if not slipped:
        return None
    name, told, resists = rng.choice(slipped)
    told["resistance"] = f"{resists:.5f} m2 K/W"
    return cause(plan, "odd-figure", None, name, "resistance", severity="warning")


def slip_year(data: Data, rng: random.Random) -> Damaged | None:
    """Date a plan decades ahead."""
    plan = copy_plan(data)
    job = plan.get("job") or {}
    if "date" not in job:
        return None
    job["date"] = rng.choice(("2062-09-14", "2096-02-11", "1926-09-14"))
    return cause(plan, "odd-figure", None, "job", "date", severity="warning")


# Who only looks for odd figures would find these, and learn nothing of floors.
_ODD = "the figure stands out by itself among those of its kind"

MUTATIONS = (
    Mutation(rule="odd-figure", name="unit-left-out",
             says="A cable's length was written in metres, without the unit.", apply=leave_unit_out,
             not_set=_ODD),
    Mutation(rule="odd-figure", name="rcd-a-thousandth",
             says="The RCD was written in the wrong unit.", apply=shrink_residual_current,
             not_set=_ODD),
    Mutation(rule="odd-figure", name="breaker-of-no-make",
             says="A breaker was written down that nobody makes.", apply=invent_breaker,
             not_set=_ODD),
    Mutation(rule="odd-figure", name="room-in-metres",
             says="The outline was drawn in metres.", apply=draw_in_metres, not_set=_ODD),
    Mutation(rule="odd-figure", name="digits-lost",
             says="Two digits of the heat loss were lost.", apply=lose_digits, not_set=_ODD),
    Mutation(rule="odd-figure", name="membrane-a-tenth",
             says="The membrane was written a tenth as thick.", apply=thin_membrane, not_set=_ODD),
    Mutation(rule="odd-figure", name="tolerance-of-shares",
             says="A film's tolerance was written as shares of its power.",
             apply=write_share_of_power, not_set=_ODD),
    Mutation(rule="odd-figure", name="resistance-slipped",
             says="A digit of the covering's resistance slipped.", apply=slip_resistance,
             not_set=_ODD),
    Mutation(rule="odd-figure", name="year-slipped",
             says="The plan was dated decades ahead, or long ago.", apply=slip_year, not_set=_ODD),
)  # fmt: skip
