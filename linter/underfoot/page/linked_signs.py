"""Links from the signs in a drawing to their findings: they work without a script."""

import re
from collections.abc import Callable

from underfoot.drawing.svg import tag

_BALLOON = re.compile(r'<g data-finding="([0-9]+)"[^>]*class="balloon".*?</g>')


def numbers_of(svg: str) -> frozenset[int]:
    """Return the numbers of the findings that have a sign in a drawing."""
    return frozenset(int(found[1]) for found in _BALLOON.finditer(svg))


def link_signs(
    svg: str, target: Callable[[int], str], own_id: Callable[[int], str] | None = None
) -> str:
    """Make each sign a link to the id that `target` gives for its finding.

    With `own_id` each has an id itself, so that its finding can lead back to it.
    """

    def link(found: re.Match[str]) -> str:
        number = int(found[1])
        own = None if own_id is None else own_id(number)
        return tag("a", found[0], href=f"#{target(number)}", id=own)

    return _BALLOON.sub(link, svg)
