"""Figures written in another unit, or with a digit too many or too few."""

import random
from functools import partial

from underfoot.api.rules import Data
from underfoot_rules.mutations.damaging import Caused, cause, given, mutation, pick
from underfoot_rules.mutations.expand_rows import open_rows

# Who only looks for odd figures would find these, and learn nothing of floors.
odd_figure = partial(
    mutation, "odd-figure", not_set="the figure stands out by itself among those of its kind"
)

# Ratings that no breaker has, by one that is made.
NOT_MADE = {6: (7,), 10: (9, 11, 12), 13: (12, 14), 16: (14, 17, 18), 20: (19, 21, 22)}


@odd_figure("unit-left-out")
def leave_unit_out(plan: Data, rng: random.Random) -> Caused:
    """A cable's length was written in metres, without the unit."""
    written = [
        (name, told["cable"])
        for name, told in (plan.get("circuits") or {}).items()
        if str((told.get("cable") or {}).get("length", "")).endswith(" m")
    ]
    name, cable = pick(rng, written)
    cable["length"] = float(str(cable["length"]).removesuffix(" m"))
    return cause("odd-figure", None, name, "length", severity="warning")


@odd_figure("rcd-a-thousandth")
def shrink_residual_current(plan: Data, rng: random.Random) -> Caused:
    """The RCD was written in the wrong unit."""
    # Circuits behind one RCD would have to be miswritten alike.
    named = [
        name
        for name, told in (plan.get("circuits") or {}).items()
        if "rcd" in told and "rcd_group" not in told
    ]
    name = pick(rng, named)
    plan["circuits"][name]["rcd"] = rng.choice(("0.03 mA", "0.01 mA"))
    return cause("odd-figure", None, name, "rcd", severity="error")


@odd_figure("breaker-of-no-make")
def invent_breaker(plan: Data, rng: random.Random) -> Caused:
    """A breaker was written down that nobody makes."""
    rated = [
        (name, told, int(str(told["breaker"]).removesuffix(" A")))
        for name, told in (plan.get("circuits") or {}).items()
        if str(told.get("breaker", "")).removesuffix(" A").isdigit()
    ]
    name, told, rating = pick(rng, (each for each in rated if each[2] in NOT_MADE))
    told["breaker"] = f"{rng.choice(NOT_MADE[rating])} A"
    return cause("odd-figure", None, name, "breaker", severity="warning")


@odd_figure("room-in-metres")
def draw_in_metres(plan: Data, rng: random.Random) -> Caused:
    """The outline was drawn in metres."""
    name = rng.choice(list(plan["rooms"]))
    room = plan["rooms"][name]
    corners = [[_metres(place) for place in corner] for corner in room["outline"]]
    room["outline"] = corners
    for opening in (room.get("openings") or {}).values():
        for end in ("from", "to"):
            opening[end] = [_metres(place) for place in opening[end]]
    return cause("odd-figure", name, "outline", severity="error")


def _metres(place: object) -> float:
    if isinstance(place, (int, float)):
        return place / 1000
    number, _, unit = str(place).partition(" ")
    return float(number) / (1 if unit == "m" else 1000)


@odd_figure("digits-lost")
def lose_digits(plan: Data, rng: random.Random) -> Caused:
    """Two digits of the heat loss were lost."""
    named = [
        name for name, room in plan["rooms"].items() if str(room.get("heat_loss", "")).endswith("W")
    ]
    name = pick(rng, named)
    room = plan["rooms"][name]
    loss = float(str(room["heat_loss"]).removesuffix(" W"))
    room["heat_loss"] = f"{loss / 100:.2f} W"
    return cause("odd-figure", name, "heat_loss", severity="warning")


@odd_figure("membrane-a-tenth")
def thin_membrane(plan: Data, rng: random.Random) -> Caused:
    """The membrane was written a tenth as thick."""
    sheets = [
        (name, told)
        for name, told in plan["materials"]["sheets"].items()
        if isinstance(told.get("thickness"), (int, float)) and told["thickness"] <= 0.4
    ]
    name, told = pick(rng, sheets)
    told["thickness"] = round(told["thickness"] / 10, 4)
    return cause("odd-figure", None, name, "thickness", severity="warning")


@odd_figure("tolerance-of-shares")
def write_share_of_power(plan: Data, rng: random.Random) -> Caused:
    """A film's tolerance was written as shares of its power."""
    opened = open_rows(plan)
    used = {
        strip["film"] for room in opened["rooms"].values() for strip in room["elements"].values()
    }
    films = [
        (name, told)
        for name, told in plan["materials"]["films"].items()
        if name in used and "tolerance" in told
    ]
    given(not plan.get("tests"))  # which are judged by the tolerance
    name, told = pick(rng, films)
    told["tolerance"] = [100 + each for each in told["tolerance"]]
    return cause("odd-figure", None, name, "tolerance", severity="error")


@odd_figure("resistance-slipped")
def slip_resistance(plan: Data, rng: random.Random) -> Caused:
    """A digit of the covering's resistance slipped."""
    # Write a covering's resistance a fiftieth of what it is.
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
    name, told, resists = pick(rng, slipped)
    told["resistance"] = f"{resists:.5f} m2 K/W"
    return cause("odd-figure", None, name, "resistance", severity="warning")


@odd_figure("year-slipped")
def slip_year(plan: Data, rng: random.Random) -> Caused:
    """The plan was dated decades ahead, or long ago."""
    job = plan.get("job") or {}
    given("date" in job)
    job["date"] = rng.choice(("2062-09-14", "2096-02-11", "1926-09-14"))
    return cause("odd-figure", None, "job", "date", severity="warning")
