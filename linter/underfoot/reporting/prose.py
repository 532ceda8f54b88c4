"""A rule's page in Markdown -> plain words: for a terminal, and wherever marks are not rendered."""

import re

# Code stays as it is quoted; within words an asterisk is no mark.
_CODE = re.compile(r"(`[^`]*`)")
_EMPHASIS = re.compile(r"(?<![\w*])(\*{1,3})(?=[^\s*])([^*]*?[^\s*])\1(?![\w*])")
_BULLET = re.compile(r"^([ \t]*)\* +", re.MULTILINE)


def plain_words(markdown: str) -> str:
    """Take the marks of emphasis out of a text, and let lists have dashes; quotes stay."""
    parts = _CODE.split(_BULLET.sub(r"\1- ", markdown))
    # A text between marks may hold code: those marks are alone in their parts.
    words = "".join(
        part if number % 2 else _EMPHASIS.sub(r"\2", part) for number, part in enumerate(parts)
    )
    pieces = _CODE.split(words)
    return "".join(
        piece if number % 2 else piece.replace("**", "") for number, piece in enumerate(pieces)
    )
