"""Marks that a reader would not see, or that turn what he reads: written out."""

import re
import unicodedata

_SPACES = re.compile(r"\r\n|[\n\t\u00a0\u1680\u2000-\u200a\u202f\u205f\u3000]")
# Marks that count as printable and leave nothing to be seen: joiners, fillers, the choice between
# two shapes. The last may follow a sign, as in many an emoji.
INVISIBLE = (
    "\u034f\u115f\u1160\u17b4\u17b5\u180b-\u180d\u180f\u2800\u3164\ufe00-\ufe0f\uffa0"
    "\U000e0100-\U000e01ef"
)
_INVISIBLE = re.compile(f"[{INVISIBLE}]")
_SHAPES = "\ufe0e\ufe0f"


def escape_invisible(text: str) -> str:
    """Write out what a terminal would obey or hide: ``\\x1b``, ``\\u202e``.

    Line ends and tabs become spaces: a title of two lines is still one title.
    """
    if text.isascii() and text.isprintable():
        return text
    if text.isprintable() and _INVISIBLE.search(text) is None:
        return text
    text = _SPACES.sub(" ", text)
    return "".join(
        mark if _is_seen(mark, text[place - 1] if place else "") else write_out_mark(mark)
        for place, mark in enumerate(text)
    )


def _is_seen(mark: str, before: str) -> bool:
    if mark in _SHAPES:
        return before != "" and unicodedata.category(before) == "So"
    return mark.isprintable() and _INVISIBLE.match(mark) is None


def write_out_mark(mark: str) -> str:
    """Write one mark as its code: ``\\x1b``, ``\\u202e``, ``\\U000e0041``."""
    code = ord(mark)
    if code < 0x100:
        return f"\\x{code:02x}"
    return f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"
