"""A step of the work that the plan does not state, or states wrongly."""

from collections.abc import Iterator

from msgspec import Struct

from underfoot.api.facts import Facts
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limit,
    Limits,
    Rule,
    Subject,
    above,
    format_quantity,
    join_names,
)
from underfoot_rules.basis import COMMON_PRACTICE, MAKER

WITHIN = 1.0


class Step(Struct, frozen=True, kw_only=True):
    """One step: how to say it, the right value (None where it must be worked out), and why."""

    key: str
    says: str
    right: str | bool | None
    why: str


STEPS = (
    Step(key="floor_cleaned", says="the floor is swept and free of nails and grit", right=True,
         why="a grain of sand under the film is pressed through it by the first chair leg"),
    Step(key="busbars", says="which way up the film lies", right=None,
         why="joints and insulation are made for one side"),
    Step(key="elements_taped", says="the strips are taped to the insulation", right=True,
         why="strips that shift under the covering end up on each other"),
    Step(key="cut_ends_insulated", says="the cut ends of the busbars are insulated", right=True,
         why="a bare busbar end is live"),
    Step(key="connector_tool", says="the tool that the connectors are closed with", right="ratchet",
         why="only a ratchet tool does not let go before the joint is tight"),
    Step(key="connectors_insulated", says="how the connectors are insulated", right="both sides",
         why="a connector is bare metal above and below the film"),
    Step(key="connectors_recessed", says="the connectors are let into the insulation", right=True,
         why="they are thicker than the film and carry the floor's load otherwise"),
    Step(key="single_conductor_folded", says="a single conductor is folded before it goes into the "
         "connector", right=True,
         why="a thin conductor alone does not fill the connector and works loose"),
    Step(key="bare_conductor", says="how long the conductor is bared", right=None,
         why="too short does not hold, too long leaves live copper outside the connector"),
    Step(key="conduit_closed", says="the end of the sensor's conduit is closed", right=True,
         why="debris in the conduit keeps a failed sensor from being drawn out"),
    Step(key="sensor_taped", says="the sensor is taped to its conduit", right=True,
         why="a sensor that slides reads another place than the one drawn"),
)  # fmt: skip


def subjects(facts: Facts) -> Iterator[Subject[Step]]:
    """Every step, where the plan has strips."""
    if not facts.elements:
        return
    statement = facts.plan.method_statement
    around = statement.path if statement else ""
    for step in STEPS:
        path = statement.paths.get(step.key, around) if statement else around
        yield Subject(room=None, items=(step.key,), path=path, payload=step)


def check(subject: Subject[Step], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Compare what is stated with what is right."""
    step = subject.payload
    statement = facts.plan.method_statement
    stated = statement.steps.get(step.key) if statement else None
    right = step.right
    basis = COMMON_PRACTICE
    if step.key == "busbars":
        ways = {film.lies for film in facts.films_in_use.values() if film.lies is not None}
        right = min(ways).removeprefix("busbars ") if len(ways) == 1 else None
        basis = MAKER
        if stated is not None and len(ways) > 1:
            return Finding(
                message="The films in use do not lie the same way up, and the plan states one "
                f"way for all: busbars {stated}.",
                remedy="Use films that lie the same way up, or lay them by separate plans.",
                severity="error",
                basis=basis,
            )
    if stated is None:
        return Finding(
            message=f"The method statement does not say: {step.says} (`{step.key}`).",
            remedy=f"State `{step.key}: {_expected(step, right, limits)}`; {step.why}.",
            severity="warning",
            basis=basis,
        )
    if step.key == "bare_conductor":
        bared = float(stated)
        wanted = limits["bare_conductor"]
        if not above(abs(bared - wanted), WITHIN):
            return None
        return Finding(
            message=f"The conductor is bared for {format_quantity(bared, 'mm', wanted)}; "
            f"{format_quantity(wanted, 'mm', bared)} within {format_quantity(WITHIN, 'mm')} is "
            "right.",
            remedy=f"Bare {format_quantity(wanted, 'mm')}: {step.why}.",
            severity="error",
            limit_key="bare_conductor",
        )
    if step.key == "busbars" and (right is None or stated == right):
        silent = [film.id for film in facts.films_in_use.values() if film.lies is None]
        if silent:
            says = "does" if len(silent) == 1 else "do"
            return CannotTell(
                why=f"film {join_names(silent)} {says} not say which side lies down (`lies`)",
                write="Write from the maker's manual which side lies down: `lies`.",
            )
    if stated == right:
        return None
    return Finding(
        message=f"The method statement says `{step.key}: {_said(stated)}`; "
        f"{_said(right)} is right.",
        remedy=f"Work by `{step.key}: {_said(right)}`: {step.why}.",
        severity="error",
        basis=basis,
    )


def _expected(step: Step, right: str | bool | None, limits: Limits) -> str:
    if step.key == "bare_conductor":
        return f"{limits['bare_conductor']:g}"
    return "down` or `up" if right is None else _said(right)


def _said(value: str | bool | float | None) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    return str(value)


RULE = Rule(
    severities=("warning", "error"),
    finds="a step of the work that the plan does not state, or states wrongly",
    why="A drawing cannot show how the work is done, and the floor hides it for good.",
    basis=COMMON_PRACTICE,
    subjects=subjects,
    check=check,
    limits=(
        Limit(
            key="bare_conductor",
            default=6,
            unit="mm",
            means="length bared for the connector",
            stricter=None,
        ),
    ),
    electrical=True,
    protects_life=True,
    serves="steps of the method statement",
)
