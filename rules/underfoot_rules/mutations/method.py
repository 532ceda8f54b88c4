"""Steps of the work left out of the method statement, or stated wrongly."""

import random
from typing import Any

from underfoot.api.rules import Data
from underfoot_rules.mutations.damaging import Caused, cause, given, mutation

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


@mutation("method-statement", "step-left-out")
def leave_step_out(plan: Data, rng: random.Random) -> Caused:
    """A step of the work was left out of the method statement."""
    steps = list(plan.get("method_statement") or {})
    steps = [step for step in steps if step in WRONG or step == "busbars"]
    given(steps)
    step = rng.choice(steps)
    del plan["method_statement"][step]
    return cause("method-statement", None, step, severity="warning")


@mutation("method-statement", "step-done-wrong")
def do_step_wrong(plan: Data, rng: random.Random) -> Caused:
    """A step of the work was done as it should not be."""
    steps = [step for step in plan.get("method_statement") or {} if step in WRONG]
    given(steps)
    step = rng.choice(steps)
    plan["method_statement"][step] = rng.choice(WRONG[step])
    return cause("method-statement", None, step, severity="error")


@mutation("method-statement", "film-turned-over")
def turn_film_over(plan: Data, rng: random.Random) -> Caused:
    """The film was laid with its busbars on the wrong side."""
    said = (plan.get("method_statement") or {}).get("busbars")
    films = plan["materials"]["films"].values()
    given(said is not None and not any(film.get("lies") != f"busbars {said}" for film in films))
    plan["method_statement"]["busbars"] = "up" if said == "down" else "down"
    return cause("method-statement", None, "busbars", severity="error")
