"""What stands where in a plan's text, whether or not it is YAML as yet."""

from functools import lru_cache

from msgspec import Struct

from underfoot.editor.scan import Entry, Here, Parts, Scan
from underfoot.editor.text_places import Place, split_lines

# Longer texts are judged, but not gone through at every key.
LONGEST_TEXT = 400_000


class Outline(Struct, frozen=True, kw_only=True):
    """The entries of a text in their order, and its lines."""

    entries: tuple[Entry, ...]
    lines: tuple[str, ...]

    def find(self, path: Parts) -> Entry | None:
        """The first entry at a path."""
        return next((each for each in self.entries if each.path == path), None)

    def below(self, path: Parts) -> tuple[Entry, ...]:
        """The entries right below a path."""
        depth = len(path) + 1
        return tuple(
            each for each in self.entries if len(each.path) == depth and each.path[:-1] == path
        )

    def at(self, place: Place) -> Entry | None:
        """The innermost entry whose key or scalar is at a place, or which holds it."""
        holding = [each for each in self.entries if each.whole.holds(place)]
        exact = [
            each
            for each in holding
            if (each.key is not None and each.key.holds(place))
            or (each.text and each.value is not None and each.value.holds(place))
        ]
        return max(exact or holding, key=lambda each: len(each.path), default=None)


@lru_cache(maxsize=16)
def outline(text: str) -> Outline:
    """Go through a whole text; of one that is too long nothing is listed."""
    lines = split_lines(text)
    if len(text) > LONGEST_TEXT:
        return Outline(entries=(), lines=tuple(lines))
    scan = Scan(lines)
    scan.run()
    return Outline(entries=scan.close(), lines=tuple(lines))


def where(text: str, place: Place) -> Here | None:
    """Tell where a cursor stands; None within a remark or a text that is too long."""
    if len(text) > LONGEST_TEXT:
        return None
    row, column = place
    lines = split_lines(text)[: row + 1]
    if row < len(lines):
        lines[row] = lines[row][:column]
    scan = Scan(lines)
    scan.run()
    return scan.here()
