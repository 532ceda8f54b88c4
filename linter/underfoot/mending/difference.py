"""Two texts -> a unified diff, that a terminal shows and that can be applied."""

from collections.abc import Iterator
from difflib import unified_diff

from underfoot.mending.spans import LINE_END
from underfoot.reading.hidden import escape_invisible
from underfoot.reporting.ink import Ink, paint


def write_difference(old: str, new: str, path: str, ink: Ink) -> Iterator[str]:
    """Write the lines that differ with three around them, nothing hidden in any."""
    name = escape_invisible(path)
    for line in unified_diff(_lines(old), _lines(new), name, name):
        text = line.rstrip("\r\n")
        code = {"+": ink.good, "-": ink.error, "@": ink.note}.get(line[:1], "")
        end = "\r\n" if line.endswith("\r\n") else "\n"
        shown = "\t".join(map(escape_invisible, text.split("\t")))
        yield paint(shown, code, ink) + end
        if text == line:
            yield "\\ No newline at end of file\n"


def _lines(text: str) -> list[str]:
    """Take a text apart as YAML does, each line with its end."""
    ends = [match.end() for match in LINE_END.finditer(text)]
    starts = [0, *ends]
    lines = [text[start:end] for start, end in zip(starts, ends, strict=False)]
    return [*lines, text[starts[-1] :]] if starts[-1] < len(text) else lines
