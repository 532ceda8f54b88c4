"""A waiver that covers nothing."""

from collections.abc import Iterator

from underfoot.api.facts import Facts, WaiverState
from underfoot.api.rules import Finding, Limits, Rule, Subject
from underfoot_rules.basis import COMMON_PRACTICE


def subjects(facts: Facts) -> Iterator[Subject[WaiverState]]:
    """Every waiver of the plan."""
    for state in facts.waivers:
        waiver = state.waiver
        items = (waiver.rule,) if waiver.item is None else (waiver.rule, waiver.item)
        yield Subject(room=None, items=items, path=waiver.path, payload=state)


def check(subject: Subject[WaiverState], facts: Facts, limits: Limits) -> Finding | None:
    """Tell what speaks against the waiver."""
    lapsed = subject.payload.lapsed
    if lapsed is None:
        return None
    about = " for ".join(subject.items)
    remedy = "Take it out, or agree on it anew with a reason, a name and a date."
    if subject.payload.forbidden:
        remedy = (
            "Take it out, and put right what it was to cover; or ask whoever keeps the settings."
        )
    return Finding(message=f"The waiver of {about} does not hold: {lapsed}.", remedy=remedy)


RULE = Rule(
    severities=("warning",),
    finds="a waiver past its date, without reason or name, not allowed, or that nothing needs",
    why="A waiver that no longer fits hides what nobody has agreed to.",
    basis=COMMON_PRACTICE,
    subjects=subjects,
    check=check,
    last=True,
)
