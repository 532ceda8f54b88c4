"""The tiny rule set with menders that propose right, wrong and impossible things."""

from collections.abc import Iterator

from msgspec.structs import replace

from tests.underfoot.commands.tiny_set import TINY
from underfoot.api.rules import Edit, Mender, Proposal, ToMend


def raise_ceiling(found: ToMend) -> Iterator[Proposal]:
    """Propose a height that is still too low, one in words, then two that do; none for a hole."""
    for height in (1900, "tall", 2200.0, 2500) if found.room != "hole" else ():
        yield Proposal(
            says=f"Build it {height} high.",
            edits=(Edit(op="replace", path=("rooms", found.room or "", "height"), value=height),),
        )


def date_job(found: ToMend) -> Iterator[Proposal]:
    """Propose a date, and with it another room, which is too low."""
    date = Edit(op="add", path=("job", "date"), value="2026-09-14")
    room = {"outline": [[0, 0], [1, 0], [1, 1]], "height": 1000}
    low = Edit(op="add", path=("rooms", "hole"), value=room)
    yield Proposal(says="Date it, and dig a hole.", edits=(date, low))
    if found.data["job"].get("reference") != "left alone":
        yield Proposal(says="Date it.", edits=(date,))


def fail(found: ToMend) -> Iterator[Proposal]:
    """Propose nothing."""
    raise KeyError("x")
    yield


MENDERS = (
    Mender(rule="room-height", propose=fail),
    Mender(rule="room-height", propose=raise_ceiling),
    Mender(rule="job-date", propose=date_job),
)
MENDING = replace(TINY, gather_menders=lambda: MENDERS)
