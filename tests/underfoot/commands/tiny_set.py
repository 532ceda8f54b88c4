"""A rule set of three rules, so that the commands are tested apart from the standard set."""

from collections.abc import Iterator

from underfoot.api.facts import Facts
from underfoot.api.rules import (
    Basis,
    CannotTell,
    Finding,
    Limit,
    Limits,
    Rule,
    RuleSet,
    Subject,
    below,
)
from underfoot.plan import Job, Room

PRACTICE = Basis(kind="common practice", text="common practice in the trade, no source")


def rooms(facts: Facts) -> Iterator[Subject[Room]]:
    """Every room."""
    for room in facts.plan.rooms.values():
        yield Subject(room=room.id, items=(), path=room.path, payload=room)


def job(facts: Facts) -> Iterator[Subject[Job | None]]:
    """The job."""
    yield Subject(
        room=None, items=("date",), path="job" if facts.plan.job else "", payload=facts.plan.job
    )


def check_height(
    subject: Subject[Room], facts: Facts, limits: Limits
) -> Finding | CannotTell | None:
    """Compare the height with the least one; a room just above it is worth a warning."""
    height = subject.payload.height
    if height is None:
        return CannotTell(why="no height is given", write="Write its `height`.")
    if not below(height, limits["planned"]):
        return None
    key = "minimum" if below(height, limits["minimum"]) else "planned"
    return Finding(
        message=f"Room {subject.room} is {{measured}} high, less than {{limit}}.",
        remedy=f"Lower the floor of {subject.room}.",
        measured=height,
        least=limits[key],
        limit_key=key,
        severity="error" if key == "minimum" else "warning",
    )


def check_date(subject: Subject[Job | None], facts: Facts, limits: Limits) -> Finding | None:
    """Look for a date."""
    if subject.payload is not None and subject.payload.date is not None:
        return None
    return Finding(message="The plan has no date.", remedy="Date it.")


def check_title(subject: Subject[Job | None], facts: Facts, limits: Limits) -> Finding | None:
    """Crash where the title asks for it."""
    if subject.payload is not None and subject.payload.title == "crash":
        raise KeyError("x")
    return None


HEIGHT = Rule(
    id="room-height",
    topic="rooms",
    severities=("error", "warning"),
    finds="a room that is too low",
    why="Nobody can stand in it | or hang a lamp.",
    unit="mm",
    basis=PRACTICE,
    subjects=rooms,
    check=check_height,
    module=__name__.replace("tiny_set", "room_height"),
    limits=(
        Limit(key="minimum", default=2000, unit="mm", means="least height", stricter="higher"),
        Limit(
            key="planned",
            default=2200,
            unit="mm",
            means="least height that should be planned",
            stricter="higher",
        ),
    ),
)
DATE = Rule(
    id="job-date",
    topic="job_papers",
    severities=("note",),
    finds="a plan without a date | or with none",
    why="Of two plans nobody knows the newer one.",
    unit=None,
    basis=PRACTICE,
    subjects=job,
    check=check_date,
    module=__name__,
    electrical=True,
)
TITLE = Rule(
    id="job-title",
    topic="job_papers",
    severities=("note",),
    finds="nothing, but it crashes where the title asks for it",
    why="A crash must be seen.",
    unit=None,
    basis=Basis(kind="own default", text="a figure of this test"),
    subjects=job,
    check=check_title,
    module=f"{__name__}_without_a_page",
)
TINY = RuleSet(name="tiny", api=3, rules=(HEIGHT, DATE, TITLE))
