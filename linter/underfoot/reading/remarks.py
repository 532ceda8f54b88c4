"""The comments of a YAML file, each with the path that it stands above or beside."""

from collections.abc import Mapping

import yaml

from underfoot.reading.syntax import Position

END = "\x00end"


def find_comments(text: str, positions: Mapping[str, Position]) -> dict[str, tuple[str, ...]]:
    """Return comments, from their ``#`` on, by the path of the entry that follows on their line.

    A comment with nothing behind it on its line belongs to the next entry; after the last one it
    stands under END. The text must be one that can be read.
    """
    first_at: dict[int, str] = {}
    for path, (line, _) in sorted(positions.items(), key=lambda pair: pair[1]):
        if path:
            # The deepest first entry of the line: `- rule:` is the item and its first key.
            before = first_at.get(line)
            if before is None or path.startswith(f"{before}."):
                first_at[line] = path
    lines_with_entries = sorted(first_at)
    found: dict[str, list[str]] = {}
    for line, comment in _comments(text):
        at = next((each for each in lines_with_entries if each >= line), None)
        found.setdefault(END if at is None else first_at[at], []).append(comment)
    return {path: tuple(comments) for path, comments in found.items()}


def _comments(text: str) -> list[tuple[int, str]]:
    """List comments with the line that each stands on: what is between two tokens."""
    found: list[tuple[int, str]] = []
    end, line = 0, 1
    for token in yaml.scan(text, Loader=yaml.SafeLoader):
        start = token.start_mark
        if start.index > end:
            found += _in_gap(text[end : start.index], line)
        if token.end_mark.index >= end:
            end, line = token.end_mark.index, token.end_mark.line + 1
    return found + _in_gap(text[end:], line)


def _in_gap(gap: str, line: int) -> list[tuple[int, str]]:
    return [
        (line + place, part[part.index("#") :].rstrip())
        for place, part in enumerate(gap.splitlines())
        if "#" in part
    ]
