"""What the desk keeps of a check: the report, the drawings, the review, and what they are made of.

A plan is checked apart from the desk's own process; only this comes back.
"""

import os
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from underfoot.checking.check import CheckedPlan
from underfoot.checking.content_hash import HashedRules, hash_bytes
from underfoot.page import DrawnPlan, ReviewAtHand, draw_plan
from underfoot.reading.review_file import ReviewFile
from underfoot.running.for_review import review_at_hand
from underfoot.running.reviews import place_of_review


class Found(Struct, frozen=True, kw_only=True):
    """A plan as it was found.

    The hashes are those of the plan and of the review beside it, empty where there is none.
    `review` is brought up to the plan, None where nothing can be decided. `catalogue` is the name
    of the one that was opened.
    """

    drawn: DrawnPlan
    plan_hash: str
    review_hash: str
    review: ReviewFile | None
    catalogue: str | None


def keep_found(examined: CheckedPlan, rules: HashedRules) -> Found:
    """Keep of a checked plan what the desk shows, and what it needs to decide."""
    drawn = draw_plan(examined)
    review = review_at_hand(examined, rules)
    if review is not None:
        name = os.path.basename(place_of_review(examined.report.path))
        # The page at the desk asks for what is to be written; it holds no review itself.
        drawn = replace(drawn, review=ReviewAtHand(name=name, plan=review.plan, text=""))
    return Found(
        drawn=drawn,
        plan_hash=_hash(examined.source),
        review_hash=_hash(examined.review_source),
        review=review,
        catalogue=None if examined.taken is None else examined.taken.name,
    )


def _hash(content: bytes | None) -> str:
    return "" if content is None else hash_bytes(content)


def folders_beyond(found: Found, folder: str, root: Path) -> set[str]:
    """Return the folder of a plan's catalogue where that is not below `root`."""
    if found.catalogue is None:
        return set()
    place = (Path(folder) / found.catalogue).resolve()
    return set() if place.is_relative_to(root) else {str(place.parent)}
