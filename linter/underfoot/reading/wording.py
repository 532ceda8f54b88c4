"""How a value of the file is shown in a message, and the nearest word to a misspelt one."""

import difflib
import json
from collections.abc import Iterable
from typing import Any

from underfoot.reading.hidden import escape_invisible, write_out_mark

LONGEST_SHOWN = 60
# Among more words, only one that differs in its case or its dashes is looked for: comparing takes
# some microseconds a word.
_MOST_COMPARED = 500
# Words of so few letters are ids.
_SHORT = 3


def show(value: Any) -> str:
    """The value as the plan would write it, in backticks, cut where it is long."""
    text = value if isinstance(value, str) else json.dumps(value, ensure_ascii=False, default=str)
    text = text[:200]
    if not (text.isascii() and text.isprintable()):
        text = "".join(map(_shown, text))
    if len(text) > LONGEST_SHOWN:
        text = text[: LONGEST_SHOWN - 3] + "..."
    return f"`{text}`"


def _shown(mark: str) -> str:
    return mark if mark.isprintable() and escape_invisible(mark) == mark else write_out_mark(mark)


def describe(value: Any) -> str:
    """A value of the wrong kind in a few words: "the number `5`", "a list"."""
    if isinstance(value, bool):
        return show(value)
    if isinstance(value, int | float):
        return f"the number {show(value)}"
    if isinstance(value, str):
        return f"the text {show(value)}" if value else "an empty text"
    if isinstance(value, list):
        return "a list"
    if isinstance(value, dict):
        return "a mapping of keys"
    return "nothing"


def find_nearest(word: str, known: Iterable[str]) -> str | None:
    """The known word that is closest to `word`, or None where none is close."""
    if not word or len(word) > LONGEST_SHOWN:
        return None
    candidates = list(known)
    folded = _fold(word)
    for candidate in candidates:
        if _fold(candidate) == folded:
            return candidate
    if len(candidates) > _MOST_COMPARED:
        return None
    # Of two or three letters, one in common is close, and one is sooner wrong than missing: for
    # `A3`, `A2` is nearer than `A`.
    cutoff = 0.5 if len(word) <= _SHORT else 0.6
    groups = [candidates]
    if len(word) <= _SHORT:
        groups.insert(0, [candidate for candidate in candidates if len(candidate) == len(word)])
    for group in groups:
        found = difflib.get_close_matches(word, group, n=1, cutoff=cutoff)
        if found:
            return found[0]
    return None


def suggest(word: str, known: Iterable[str]) -> str:
    """ "; did you mean `x`?" where a known word is close, else nothing."""
    nearest = find_nearest(word, known)
    return f"; did you mean `{nearest}`?" if nearest is not None else ""


def join_words(words: Iterable[str], last: str = "or") -> str:
    """Words as a reader lists them: "a, b or c"."""
    shown = [f"`{word}`" for word in words]
    if len(shown) < 2:
        return "".join(shown)
    return f"{', '.join(shown[:-1])} {last} {shown[-1]}"


def _fold(word: str) -> str:
    return word.lower().replace("-", "_").replace(" ", "_")
