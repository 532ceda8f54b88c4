"""A paper, or a field of the plan's head, that is missing."""

from collections.abc import Iterator

from underfoot.api.facts import Facts
from underfoot.api.rules import Finding, Limits, Rule, Subject
from underfoot_rules.basis import COMMON_PRACTICE

HEAD = {
    "title": "which job the plan is for",
    "reference": "the number that the plan is filed under",
    "revision": "which revision this is, so that nobody works from an old one",
    "date": "when it was drawn",
}
PAPERS = {
    "diagram": (
        "There is no drawing of the floor as laid among the papers handed over.",
        "Hand over the drawing: whoever drills or mends later needs it (`diagram: true`).",
    ),
    "certificate": (
        "There is no signed certificate among the papers handed over.",
        "Have a licensed electrician test and sign (`certificate: signed`).",
    ),
    "left_with_customer": (
        "The papers are not stated to have been left with the customer.",
        "Leave them with the customer (`left_with_customer: true`).",
    ),
}


def subjects(facts: Facts) -> Iterator[Subject[object]]:
    """Every field of the head, and on handing over every paper."""
    plan = facts.plan
    around = plan.job.path if plan.job else ""
    for key in HEAD:
        yield Subject(
            room=None, items=(key,), path=around, payload=plan.job and getattr(plan.job, key)
        )
    if plan.status == "handed over":
        handover = plan.handover
        around = handover.path if handover else ""
        for key in PAPERS:
            right: object = "signed" if key == "certificate" else True
            held = handover is not None and getattr(handover, key) == right
            yield Subject(room=None, items=(key,), path=around, payload="held" if held else None)


def check(subject: Subject[object], facts: Facts, limits: Limits) -> Finding | None:
    """Find what is missing; in a draft that is a note."""
    if subject.payload is not None and str(subject.payload).strip():
        return None
    key = subject.items[0]
    if key in HEAD:
        message = f"The plan has no {key}: {HEAD[key]}."
        remedy = f"Write `{key}:` under `job:`."
    else:
        message, remedy = PAPERS[key]
    return Finding(
        message=message,
        remedy=remedy,
        severity="note" if facts.plan.status == "draft" else "warning",
    )


RULE = Rule(
    severities=("warning", "note"),
    finds="a plan without title, reference, revision or date; papers not handed over",
    why="Years later these papers are all that shows where live film lies under the floor.",
    basis=COMMON_PRACTICE,
    subjects=subjects,
    check=check,
)
