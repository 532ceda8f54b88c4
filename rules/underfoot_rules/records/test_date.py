"""A test whose date cannot be: after today, or before the stage that came before it."""

from collections import Counter
from collections.abc import Iterator

from underfoot.api.facts import STAGES, Facts
from underfoot.api.plan import Measurement
from underfoot.api.rules import Finding, Limits, Rule, Subject
from underfoot_rules.basis import COMMON_PRACTICE


def subjects(facts: Facts) -> Iterator[Subject[Measurement]]:
    """Every test recorded; where a stage has several, each says its date or place, too."""
    tests = facts.plan.tests
    alike = Counter((test.circuit, test.stage) for test in tests)
    for test in tests:
        items: tuple[str, ...] = (test.circuit, test.stage)
        if alike[test.circuit, test.stage] > 1:
            items = (*items, test.path)
        yield Subject(room=None, items=items, path=test.path, payload=test)


def check(subject: Subject[Measurement], facts: Facts, limits: Limits) -> Finding | None:
    """Hold the date against today, then against the tests of the stages before."""
    test = subject.payload
    named = f"The test of circuit {test.circuit} at the stage '{test.stage}'"
    if test.date is None:
        return Finding(
            message=f"{named} has no date.",
            remedy="Write the day of the test as its `date`: tests count by date, and the last of "
            "a stage counts.",
            severity="warning",
        )
    if facts.today is not None and test.date > facts.today:
        return Finding(
            message=f"{named} is dated {test.date}, which is after today, {facts.today}.",
            remedy="A test that is still to come proves nothing: write the day on which it was "
            "made, or test.",
            severity="error",
        )
    later = _latest_before(facts, test)
    if later is None or later.date is None or later.date <= test.date:
        return None
    return Finding(
        message=f"{named} is dated {test.date}, before that at the stage '{later.stage}', "
        f"{later.date}.",
        remedy=f"Look up both dates. A circuit tested '{test.stage}' before '{later.stage}' was "
        f"not tested '{later.stage}': then open it where that can be, and test.",
        severity="error",
        related=(later.path,),
    )


def _latest_before(facts: Facts, test: Measurement) -> Measurement | None:
    """Return the latest test of the circuit at a stage that comes before this one's."""
    before = STAGES[: STAGES.index(test.stage)]
    dated = [
        each
        for each in facts.plan.tests
        if each.circuit == test.circuit and each.stage in before and each.date is not None
    ]
    return max(dated, key=lambda each: (each.date, STAGES.index(each.stage)), default=None)


RULE = Rule(
    severities=("error", "warning"),
    finds="a test dated after today, before the stage that came before it, or not at all",
    why="A test shows what a stage did to the film only where it was made right after it.",
    basis=COMMON_PRACTICE,
    subjects=subjects,
    check=check,
    electrical=True,
    protects_life=True,
)
