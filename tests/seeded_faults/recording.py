"""Records the tests of a right plan, every strip read by itself."""

import random
from datetime import date, timedelta

from tests.seeded_faults.wiring import Supply
from underfoot.api.rules import Data
from underfoot_rules.mutations.expand_rows import open_rows


def record_tests(rng: random.Random, plan: Data, supply: Supply) -> None:
    """Record the tests that the status calls for, every strip read by itself."""
    laid = date(2026, 10, rng.randint(1, 20))
    days = {"laid": laid, "covered": laid + timedelta(days=rng.randint(1, 7))}
    stages = ["laid"] if plan["status"] == "laid" else ["laid", "covered"]
    plan["tests"] = []
    strips = _rated_ohms(plan, supply)
    with_grid = _circuits_with_grid(plan)
    if rng.random() < 0.3:
        days["made up"] = laid - timedelta(days=rng.randint(0, 3))
        stages.insert(0, "made up")
    for circuit in plan["circuits"]:
        factors = {strip: rng.uniform(0.98, 1.06) for strip in strips[circuit]}
        for stage in stages:
            drift = rng.uniform(0.995, 1.005)
            read = {s: ohm * factors[s] * drift for s, ohm in strips[circuit].items()}
            test: Data = {
                "circuit": circuit,
                "stage": stage,
                "date": days[stage].isoformat(),
                "load_resistance": f"{1 / sum(1 / ohm for ohm in read.values()):.2f} ohm",
                "strips": {strip: f"{ohm:.1f} ohm" for strip, ohm in read.items()},
                "insulation_resistance": f"{rng.randint(20, 400)} Mohm",
                "test_voltage": "250 V" if supply.selv else "500 V",
                "against": rng.choice(("grid", "earth")) if circuit in with_grid else "earth",
                "thermostat_disconnected": True,
                "ambient": "18 degC",
                "tested_by": "site electrician",
            }
            if not supply.selv:
                test["rcd_trip_time"] = f"{rng.randint(15, 40)} ms"
            plan["tests"].append(test)


def _circuits_with_grid(plan: Data) -> set[str]:
    return {
        told["circuit"]
        for room in open_rows(plan)["rooms"].values()
        for told in room["elements"].values()
        if room.get("grid")
    }


def _rated_ohms(plan: Data, supply: Supply) -> dict[str, dict[str, float]]:
    """Work out each strip's rated resistance, circuit by circuit."""
    found: dict[str, dict[str, float]] = {circuit: {} for circuit in plan["circuits"]}
    for room in open_rows(plan)["rooms"].values():
        for name, told in room["elements"].items():
            film = plan["materials"]["films"][told["film"]]
            number, unit = film["output"].split()
            per_m = float(number) * (film["width"] / 1000 if unit == "W/m2" else 1)
            watts = per_m * told["length"] / 1000
            found[told["circuit"]][name] = supply.film_volts**2 / watts
    return found
