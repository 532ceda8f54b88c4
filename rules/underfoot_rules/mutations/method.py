"""Steps of the work left out of the method statement, or stated wrongly."""

from __future__ import annotations

import random
from typing import Any

from underfoot.api.rules import Damaged, Data, Mutation
from underfoot_rules.mutations.choosing import cause
from underfoot_rules.mutations.expand_rows import copy_plan

WRONG: dict[str, tuple[Any, ...]] = {
    "floor_cleaned": (False,),
    "elements_taped": (False,),
    "cut_ends_insulated": (False,),
    "connector_tool": ("pliers", "other"),
    "connectors_insulated": ("one side", "no"),
    "connectors_recessed": (False,),
    "single_conductor_folded": (False,),
    "bare_conductor": (3, 9, 12),
    "conduit_closed": (False,),
    "sensor_taped": (False,),
}


def leave_step_out(data: Data, rng: random.Random) -> Damaged | None:
    """Say nothing of one step."""
    steps = list(data.get("method_statement") or {})
    steps = [step for step in steps if step in WRONG or step == "busbars"]
    if not steps:
        return None
    plan = copy_plan(data)
    step = rng.choice(steps)
    del plan["method_statement"][step]
    return cause(plan, "method-statement", None, step, severity="warning")


def do_step_wrong(data: Data, rng: random.Random) -> Damaged | None:
    """State one step as it should not be done."""
    steps = [step for step in data.get("method_statement") or {} if step in WRONG]
    if not steps:
        return None
    plan = copy_plan(data)
    step = rng.choice(steps)
    plan["method_statement"][step] = rng.choice(WRONG[step])
    return cause(plan, "method-statement", None, step, severity="error")


def turn_film_over(data: Data, rng: random.Random) -> Damaged | None:
    """Lay the film with its busbars on the wrong side."""
    said = (data.get("method_statement") or {}).get("busbars")
    films = data["materials"]["films"].values()
    if said is None or any(film.get("lies") != f"busbars {said}" for film in films):
        return None
    plan = copy_plan(data)
    plan["method_statement"]["busbars"] = "up" if said == "down" else "down"
    return cause(plan, "method-statement", None, "busbars", severity="error")


MUTATIONS = (
    Mutation(rule="method-statement", name="step-left-out",
             says="A step of the work was left out of the method statement.", apply=leave_step_out),
    Mutation(rule="method-statement", name="step-done-wrong",
             says="A step of the work was done as it should not be.", apply=do_step_wrong),
    Mutation(rule="method-statement", name="film-turned-over",
             says="The film was laid with its busbars on the wrong side.", apply=turn_film_over),
)  # fmt: skip
