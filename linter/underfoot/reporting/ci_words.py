"""What a CI service would take for a command of its own, wherever in a log it stands.

Services read what programs print. A line that begins with ``::`` is a command to some, with blanks
before it or not; to others ``##[...]``, ``##vso[...]`` and the like, anywhere in a line.
"""

import re
from collections.abc import Iterable, Iterator

# Colours that were asked for in a pipe stand before it, too; some read a line's end in a lone \r.
_BEGINS = re.compile(
    r"(?:^|(?<=[\r\v\f\x1c-\x1e\x85\u2028\u2029]))((?:\s|\x1b\[[0-9;]*m)*):(?=:)", re.M
)
_HOLDS = re.compile(r"##(?=[A-Za-z0-9_.-]*\[)")


def disarm(text: str) -> str:
    """Put a backslash where a command would begin; all other text stays as it is."""
    if "::" in text:
        text = _BEGINS.sub(r"\1\\:", text)
    return disarm_within(text)


def disarm_within(text: str) -> str:
    """Do the same for what is a command anywhere in a line."""
    return _HOLDS.sub(r"#\\#", text) if "##" in text else text


def disarm_markup(text: str) -> str:
    """Write what would begin a command so that it is none and is shown as it was."""
    if "::" in text:
        text = _BEGINS.sub(r"\1&#58;", text)
    return _HOLDS.sub("#&#35;", text) if "##" in text else text


def disarm_json(text: str) -> str:
    """Write it so in JSON, where no line begins with text."""
    return _HOLDS.sub(r"#\\u0023", text) if "##" in text else text


def disarm_lines(pieces: Iterable[str]) -> Iterator[str]:
    """Disarm text that comes in pieces, each of which may end within a line."""
    kept = ""
    for piece in pieces:
        whole, end, rest = (kept + piece).rpartition("\n")
        if end:
            yield disarm(whole) + end
        kept = rest
    if kept:
        yield disarm(kept)
