"""Floor that boards or sheets were to cover and leave bare, for the rules about both."""

from typing import Any

from underfoot.api.facts import RoomFacts
from underfoot.api.rules import Finding, above, format_quantity, point_text


def find_bare_floor(
    room: RoomFacts, cover: Any, tolerance: float, *, leaves: str, remedy: str, path: str
) -> Finding | None:
    """Compare the share of the floor left bare; `leaves` says of which cover it is that share."""
    share, bare = room.floor_left_bare(cover)
    if not above(share, tolerance):
        return None
    x, y = bare.representative_point().coords[0]
    area = format_quantity(float(bare.area) / 1e6, "m2")
    among = ", among other places" if bare.geom_type != "Polygon" else ""
    return Finding(
        message=f"{leaves} ({area}), near {point_text(x, y)}{among}; at most {{limit}} may be.",
        remedy=remedy,
        measured=share,
        most=tolerance,
        limit_key="tolerance",
        shape=bare,
        path=path,
    )
