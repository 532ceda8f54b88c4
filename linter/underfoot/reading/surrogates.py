"""JSON writes a character beyond U+FFFF in two halves, which YAML does not know."""

import re
from bisect import bisect_left

from msgspec import Struct
from msgspec.structs import replace

from underfoot.reading.problem import Problem

_PAIR = re.compile(
    r"(?<!\\)((?:\\\\)*)\\u([dD][89abAB][0-9a-fA-F]{2})\\u([dD][c-fC-F][0-9a-fA-F]{2})"
)
_LINE_END = re.compile(r"\r\n|\r|\n")
_SHORTER = len("\\ud83d\\ude00") - len("\\U0001f600")


class Joined(Struct, frozen=True, kw_only=True):
    """A text with its pairs written as YAML writes one character; `ends` are theirs by line.

    Lines and columns are 1-based; an end is the column that follows a pair as it is now.
    """

    text: str
    ends: dict[int, list[int]]

    def set_back(self, positions: dict[str, tuple[int, int]], problems: list[Problem]) -> None:
        """Set positions back to where things stand in the text as it was written."""
        for path, (line, column) in positions.items():
            positions[path] = (line, self.written(line, column))
        problems[:] = [
            replace(problem, column=self.written(problem.line, problem.column))
            for problem in problems
        ]

    def written(self, line: int, column: int) -> int:
        """The column at which something stands in the text as it was written."""
        ends = self.ends.get(line)
        return column if ends is None else column + _SHORTER * bisect_left(ends, column + 1)


def join_surrogates(text: str) -> Joined:
    """Write each pair of halves as one character.

    To be called for a text that cannot be read as it is: outside of double quotes a pair is text.
    """
    if "\\u" not in text:
        return Joined(text=text, ends={})
    lines: list[str] = []
    ends: dict[int, list[int]] = {}
    start = 0
    for number, end in enumerate([*_LINE_END.finditer(text), None], 1):
        line = text[start : len(text) if end is None else end.start()]
        if "\\u" in line:
            line, found = _join_line(line)
            if found:
                ends[number] = found
        lines += (line, "" if end is None else end[0])
        start = len(text) if end is None else end.end()
    return Joined(text="".join(lines), ends=ends)


def _join_line(line: str) -> tuple[str, list[int]]:
    pieces: list[str] = []
    ends: list[int] = []
    start = length = 0
    for found in _PAIR.finditer(line):
        before, high, low = found.groups()
        code = 0x10000 + (int(high, 16) - 0xD800) * 0x400 + int(low, 16) - 0xDC00
        piece = f"{line[start : found.start()]}{before}\\U{code:08x}"
        pieces.append(piece)
        length += len(piece)
        ends.append(length + 1)
        start = found.end()
    return "".join((*pieces, line[start:])), ends
