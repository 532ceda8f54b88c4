"""A lead not stated to be let into the insulation."""

from underfoot.api.facts import Facts
from underfoot.api.plan import Lead
from underfoot.api.rules import Finding, Limits, Rule, Subject
from underfoot_rules.basis import COMMON_PRACTICE


def subjects(facts: Facts) -> tuple[Subject[Lead], ...]:
    """Every lead."""
    return facts.lead_subjects


def check(subject: Subject[Lead], facts: Facts, limits: Limits) -> Finding | None:
    """Find a lead that is not stated to be recessed."""
    lead = subject.payload
    if lead.recessed:
        return None
    said = "is stated not to be" if lead.recessed is False else "is not said to be"
    return Finding(
        message=f"Lead {lead.id} {said} recessed into the insulation.",
        remedy=f"Cut a groove for it as deep as the lead is thick, lay it flush, and state "
        f"`recessed: true` for {lead.id}.",
    )


RULE = Rule(
    severities=("warning",),
    finds="a lead not stated to be recessed into the insulation",
    why="A lead that stands proud is pressed flat under the covering, or the covering rocks on it.",
    basis=COMMON_PRACTICE,
    subjects=subjects,
    check=check,
)
