"""Where in a text a place is, by a way of its own."""

import re

_LINE_END = re.compile(r"\r\n|\r|\n")


def offset_of(text: str, place: tuple[int, int]) -> int:
    """How many characters of the text stand before a place."""
    row, column = place
    start = 0
    for _ in range(row):
        ending = _LINE_END.search(text, start)
        if ending is None:
            return len(text)
        start = ending.end()
    return min(start + column, len(text))
