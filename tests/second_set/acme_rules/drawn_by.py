"""A plan that does not say who drew it."""

from underfoot.api.facts import Facts
from underfoot.api.rules import Basis, Finding, Limits, Rule, Subject


def subjects(facts: Facts) -> list[Subject[str | None]]:
    """The plan."""
    job = facts.plan.job
    return [
        Subject(
            room=None,
            items=("drawn_by",),
            path=job.path if job else "",
            payload=job and job.drawn_by,
        )
    ]


def check(subject: Subject[str | None], facts: Facts, limits: Limits) -> Finding | None:
    """Find no name."""
    if subject.payload:
        return None
    return Finding(
        message="The plan does not say who drew it.",
        remedy="Write `drawn_by:` under `job:`.",
    )


RULE = Rule(
    id="acme-drawn-by",
    topic="papers",
    severities=("note",),
    finds="a plan that does not say who drew it",
    why="Questions on site go to whoever drew the plan.",
    unit=None,
    basis=Basis(kind="own default", text="the house's own rule"),
    subjects=subjects,
    check=check,
    module=__name__,
)
