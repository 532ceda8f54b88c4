"""Plain data -> how a plan's text writes it: plainly where it can be, in a mapping's own style."""

import json
import re
from collections.abc import Sequence
from typing import Any

import yaml
from msgspec import Struct

from underfoot.mending.spans import LINE_END, CannotEditError, Node, line_end_of
from underfoot.reading.syntax import read_plain

# Longer lines are broken, unless the file's own are longer.
WIDTH = 100
_PLAIN_START = re.compile(r"(?!---|\.\.\.)(?:-(?=[^\s,\[\]{}])|[^-?:,\[\]{}#&*!|>'\"%@`\s])")
_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]*")
_UNSAFE = re.compile(r": | #|:$|\s$")
_UNSAFE_IN_BRACKETS = re.compile(r"[,\[\]{}:]")
_ESCAPES = {'"': '\\"', "\\": "\\\\", "\n": "\\n", "\t": "\\t", "\r": "\\r"}
# What is deeper than this is not lined up behind a bracket.
_DEEPEST_BRACKET = 60


class Manner(Struct, frozen=True, kw_only=True):
    """How a file is written: in JSON or not, its line ends, a level's indentation, its width."""

    is_json: bool
    line_end: str
    step: int
    width: int


def manner_of(text: str, root: Node) -> Manner:
    """See how a file is written."""
    keys = [key for key, _ in root.entries]
    return Manner(
        is_json=root.is_flow and bool(keys) and all(key.style == '"' for key in keys),
        line_end=line_end_of(text),
        step=next(
            (
                value.column - root.column
                for _, value in root.entries
                if value.is_block and value.column > root.column
            ),
            2,
        ),
        width=max(WIDTH, *map(len, LINE_END.split(text))),
    )


def write_scalar(
    value: Any, manner: Manner, *, in_brackets: bool, instead_of: Node | None = None
) -> str:
    """Write a value that holds no others, in the quotes of what it stands for where it has some."""
    if not isinstance(value, str):
        try:
            return json.dumps(value, allow_nan=False)
        except (TypeError, ValueError):
            raise CannotEditError("this is no plain value") from None
    style = instead_of.style if instead_of is not None else None
    if manner.is_json or style == '"':
        return _in_double_quotes(value)
    if style == "'" and value.isprintable():
        return "'" + value.replace("'", "''") + "'"
    is_clear = _kind_of(value) == _STRING or _is_alike(instead_of, value)
    if is_clear and _may_be_plain(value, in_brackets):
        return value
    return _in_double_quotes(value)


def write_key(key: str, manner: Manner, *, in_brackets: bool) -> str:
    """Write a key; a word alone is a key whatever it would be as a value."""
    if not manner.is_json and key != "<<" and (_is_name(key) or _may_be_plain(key, in_brackets)):
        return key
    return _in_double_quotes(key)


def write_inline(value: Any, manner: Manner, *, in_brackets: bool) -> str:
    """Write a value on one line."""
    return " ".join(write_pieces(value, manner, in_brackets=in_brackets))


def write_pieces(value: Any, manner: Manner, *, in_brackets: bool) -> list[str]:
    """Write a value as the pieces between which a line may end."""
    if isinstance(value, dict):
        rows = [
            f"{write_key(key, manner, in_brackets=True)}: "
            f"{write_inline(each, manner, in_brackets=True)}"
            for key, each in value.items()
        ]
        return _bracket("{", rows, "}")
    if isinstance(value, list):
        rows = [write_inline(each, manner, in_brackets=True) for each in value]
        return _bracket("[", rows, "]")
    return [write_scalar(value, manner, in_brackets=in_brackets)]


def write_item(
    head: str, value: Any, manner: Manner, column: int, *, as_block: bool | None = None
) -> str:
    """Write an entry (`head` is its key and colon) or an item (its dash) that begins in a column.

    `as_block` says whether a mapping's entries get lines of their own; left out, they do where one
    of them is a mapping itself.
    """
    if as_block is None:
        as_block = wants_block(value)
    if not as_block or not value or not isinstance(value, dict | list):
        pieces = write_pieces(value, manner, in_brackets=False)
        return _wrap(f"{head} ", pieces, manner, column)
    # The first entry of a mapping stands behind its dash, the others below it.
    is_compact = head == "-" and isinstance(value, dict)
    inner = column + (2 if is_compact else manner.step)
    if isinstance(value, list):
        lines = [write_item("-", each, manner, inner) for each in value]
    else:
        lines = [
            write_item(f"{write_key(key, manner, in_brackets=False)}:", each, manner, inner)
            for key, each in value.items()
        ]
    start = f"{manner.line_end}{' ' * inner}"
    return f"{head}{' ' if is_compact else start}{start.join(lines)}"


def wants_block(value: Any) -> bool:
    """Whether a value of its own would be written on several lines: one that holds mappings."""
    if isinstance(value, dict):
        return any(isinstance(each, dict) and each for each in value.values())
    return isinstance(value, list) and any(isinstance(each, dict) for each in value)


def _bracket(start: str, rows: Sequence[str], end: str) -> list[str]:
    if not rows:
        return [start + end]
    pieces = [f"{row}," for row in rows[:-1]] + [rows[-1] + end]
    return [start + pieces[0], *pieces[1:]]


def _wrap(head: str, pieces: Sequence[str], manner: Manner, column: int) -> str:
    """Write pieces behind a head, on further lines below the first of them where they are many."""
    hanging = column + len(head) + 1
    if hanging > _DEEPEST_BRACKET:
        hanging = column + 2 * manner.step
    lines = [head + pieces[0]]
    room = manner.width - column
    for piece in pieces[1:]:
        if len(lines[-1]) + 1 + len(piece) > room:
            lines.append(piece)
            room = manner.width - hanging
        else:
            lines[-1] += f" {piece}"
    return f"{manner.line_end}{' ' * hanging}".join(lines)


_STRING = "tag:yaml.org,2002:str"


def _kind_of(text: str) -> str:
    """What a plain word is to programs that read YAML as its older version has it."""
    resolvers = yaml.SafeLoader.yaml_implicit_resolvers
    for tag, pattern in resolvers.get(text[:1], ()):
        if pattern.match(text):
            return str(tag)
    return _STRING


def _is_alike(old: Node | None, value: str) -> bool:
    """Whether what a text stands for is written plainly though it is of the same kind."""
    return (
        old is not None
        and old.kind == "scalar"
        and old.style is None
        and not old.is_left_out
        and _kind_of(old.value) == _kind_of(value)
    )


def _is_name(text: str) -> bool:
    return _NAME.fullmatch(text) is not None


def _may_be_plain(text: str, in_brackets: bool) -> bool:
    return (
        text.isprintable()
        and _PLAIN_START.match(text) is not None
        and _UNSAFE.search(text) is None
        and not (in_brackets and _UNSAFE_IN_BRACKETS.search(text))
        and read_plain(text) == text
    )


def _in_double_quotes(text: str) -> str:
    return '"' + "".join(map(_escape, text)) + '"'


def _escape(mark: str) -> str:
    if mark in _ESCAPES:
        return _ESCAPES[mark]
    if mark.isprintable():
        return mark
    code = ord(mark)
    return f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"
