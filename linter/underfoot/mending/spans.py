"""A plan's text -> what stands where in it, by the marks of PyYAML's parser."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from typing import Any

import yaml
from msgspec import Struct
from yaml.events import (
    DocumentStartEvent,
    MappingEndEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
)

from underfoot.reading.events import open_events
from underfoot.reading.surrogates import Joined, join_surrogates

LINE_END = re.compile(r"\r\n|\r|\n")
_SIGN = re.compile(r"[ \t]+|(?P<comment>#[^\r\n]*)|(?P<line>\r\n|\r|\n)|(?P<comma>,)|(?P<colon>:)")


class CannotEditError(ValueError):
    """What stands in the text is written in a way that an edit would not leave whole."""


class Node(Struct, frozen=True, kw_only=True):
    """A scalar, list or mapping, and where it stands: from `start` up to `end`.

    Of what is written in block style `end` is that of its last value, without comments and line
    ends that follow. `style` is a scalar's: None where it is written plainly, else its quote, or
    ``|`` and ``>``. A value that is left out has no length.
    """

    kind: str
    start: int
    end: int
    column: int
    is_flow: bool = False
    style: str | None = None
    value: str = ""
    items: tuple[Node, ...] = ()
    entries: tuple[tuple[Node, Node], ...] = ()

    @property
    def is_block(self) -> bool:
        """Whether it is a list or mapping on lines of its own."""
        return self.kind != "scalar" and not self.is_flow

    @property
    def is_left_out(self) -> bool:
        """Whether nothing stands here."""
        return self.start == self.end

    @property
    def parts(self) -> Sequence[tuple[Node, Node]]:
        """The entries, or the items each by itself: what each begins and ends with."""
        return self.entries or [(item, item) for item in self.items]


class _Places:
    """From the parser's lines and columns to places in the text as it is written."""

    def __init__(self, text: str, joined: Joined | None) -> None:
        self.text = text
        self.starts = [0, *(match.end() for match in LINE_END.finditer(text))]
        self.joined = joined

    def of(self, mark: Any) -> int:
        column: int = mark.column
        if self.joined is not None:
            column = self.joined.written(mark.line + 1, column + 1) - 1
        return self.starts[mark.line] + column if mark.line < len(self.starts) else len(self.text)


def read_nodes(text: str) -> Node:
    """Read the document of a text that holds no byte order mark and was read before.

    CannotEditError where it cannot be read after all.
    """
    try:
        return _read_document(text, None)
    except yaml.YAMLError:
        joined = join_surrogates(text)
        try:
            return _read_document(text, joined)
        except yaml.YAMLError:
            raise CannotEditError("the text cannot be read") from None


def _read_document(text: str, joined: Joined | None) -> Node:
    next_event = open_events(text if joined is None else joined.text)
    while next_event().__class__ is not DocumentStartEvent:
        pass
    return _read(next_event(), next_event, _Places(text, joined))


def _read(event: Any, next_event: Callable[[], Any], places: _Places) -> Node:
    kind = event.__class__
    start, column = places.of(event.start_mark), event.start_mark.column
    if kind is ScalarEvent:
        end = places.of(event.end_mark)
        if event.style in ("|", ">"):
            end = start + len(places.text[start:end].rstrip())
        return Node(
            kind="scalar", start=start, end=end, column=column, style=event.style or None,
            value=event.value,
        )  # fmt: skip
    inside: list[Node] = []
    each = next_event()
    while each.__class__ is not SequenceEndEvent and each.__class__ is not MappingEndEvent:
        inside.append(_read(each, next_event, places))
        each = next_event()
    end = places.of(each.end_mark) if event.flow_style else inside[-1].end
    is_list = kind is SequenceStartEvent
    return Node(
        kind="list" if is_list else "mapping",
        start=start,
        end=end,
        column=column,
        is_flow=event.flow_style,
        items=tuple(inside) if is_list else (),
        entries=() if is_list else tuple(zip(inside[::2], inside[1::2], strict=True)),
    )


def find_node(root: Node, path: Sequence[str | int]) -> Node:
    """The value that stands at a path; CannotEditError where none does."""
    node = root
    for part in path:
        at = find_place(node, part)
        if at is None:
            raise CannotEditError("nothing stands there")
        node = node.parts[at][1]
    return node


def find_place(node: Node, part: str | int) -> int | None:
    """The place of a key's entry, or of a list's item, among the parts; None where it is not."""
    if node.kind == "mapping":
        return next((at for at, (key, _) in enumerate(node.entries) if key.value == part), None)
    return part if isinstance(part, int) and 0 <= part < len(node.items) else None


class Sign(Struct, frozen=True, kw_only=True):
    """What stands between two values: a comma, a colon, a comment, a line's end."""

    kind: str
    start: int
    end: int


def read_signs(text: str, start: int, end: int) -> Iterator[Sign]:
    """Read what stands between two values. CannotEditError where it is more than that."""
    at = start
    while at < end:
        match = _SIGN.match(text, at, end)
        if match is None:
            raise CannotEditError("something else stands between the values")
        if match.lastgroup is not None:
            yield Sign(kind=match.lastgroup, start=match.start(), end=match.end())
        at = match.end()


def find_colon(text: str, key: Node, value: Node) -> int | None:
    """Where the colon between a key and its value ends; None where there is none."""
    signs = read_signs(text, key.end, value.start)
    return next((each.end for each in signs if each.kind == "colon"), None)


def end_of_part(text: str, first: Node, last: Node) -> int:
    """Where an item ends, or an entry whose value may be left out."""
    if first is last or not last.is_left_out:
        return last.end
    return find_colon(text, first, last) or first.end


def line_start(text: str, at: int) -> int:
    """Where the line of a place begins."""
    return max(text.rfind("\n", 0, at), text.rfind("\r", 0, at)) + 1


def line_end(text: str, at: int) -> int:
    """Where the line of a place ends, before its line end."""
    match = LINE_END.search(text, at)
    return len(text) if match is None else match.start()


def next_line(text: str, at: int) -> int:
    """Where the line after that of a place begins."""
    match = LINE_END.search(text, at)
    return len(text) if match is None else match.end()


def line_end_of(text: str) -> str:
    """How lines end in a text: as its first does."""
    match = LINE_END.search(text)
    return "\n" if match is None else match[0]


def end_of_blanks(text: str, at: int) -> int:
    """Where the blanks end that begin at a place."""
    return len(text) - len(text[at:].lstrip(" \t"))


def is_bare(text: str, node: Node) -> bool:
    """Whether there is nothing between a pair of brackets, not even a remark."""
    return node.is_flow and not text[node.start + 1 : node.end - 1].strip()


def begins_line(text: str, at: int) -> bool:
    """Whether nothing but blanks stands before a place on its line."""
    return not text[line_start(text, at) : at].strip(" \t")
