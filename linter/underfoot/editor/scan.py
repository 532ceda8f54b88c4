"""A plan's text gone through line by line, by indentation, and within `{}` and `[]` sign by sign.

What is not closed ends where a line stands no deeper than the one that opened it. Nothing is judged
here: that is for the reader.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

from msgspec import Struct

from underfoot.editor.text_places import Place, Span

_DEEPEST = 64

Parts = tuple[str, ...]

_KEY = re.compile(
    r"(\"(?:[^\"\\]|\\.)*\"|'(?:[^']|'')*'|[^\s?:,\[\]{}#&*!|>'\"%@`][^:#{}\[\]]*?)\s*:(?=\s|$)"
)
_ITEM = re.compile(r"-(?=\s|$)[ \t]*")
_TOKEN = re.compile(
    r"(?P<quoted>\"(?:[^\"\\]|\\.)*(?:\"|$)|'(?:[^']|'')*(?:'|$))"
    r"|(?P<sign>[{}\[\],]|:(?=[\s,\[\]{}]|$))"
    r"|(?P<remark>(?:^|(?<=\s))\#.*)"
    r"|(?P<space>\s+)"
    r"|(?P<word>[^\s{}\[\],:\"']+|.)"
)
_REMARK = re.compile(r"(?:^|\s)#.*$")


class Entry(Struct, frozen=True, kw_only=True):
    """A key with its value, or an item of a list (`key` is None).

    `value` is where its scalar or its `{}` or `[]` stands; `text` is the scalar's, without quotes.
    `whole` reaches from the key to the last line that belongs to it.
    """

    path: Parts
    key: Span | None
    value: Span | None
    text: str
    whole: Span
    inline: bool


class Here(Struct, frozen=True, kw_only=True):
    """Where a cursor stands: within the thing at `path`, at a key, or at the value of one.

    `word` is what of it stands before the cursor already, from `start` on.
    """

    path: Parts
    at: Literal["key", "value"]
    word: str
    start: Place
    inline: bool


@dataclass(slots=True)
class _Open:
    """An entry that is not at its end yet; `indent` is -1 within `{}` and `[]`."""

    path: Parts
    indent: int
    key: Span | None
    start: Place
    value: Span | None = None
    text: str = ""
    is_item: bool = False
    items: int = 0
    inline: bool = False


@dataclass(slots=True)
class _Frame:
    """A `{` or `[` that is open; `entry` is what waits for its value in it."""

    opens: str
    holder: _Open
    start: Place
    entry: _Open | None = None
    items: int = 0
    word: list[tuple[str, Place, Place]] = field(default_factory=list)


class Scan:
    """Goes through lines; what is open at their end says where a cursor there stands."""

    def __init__(self, lines: Sequence[str]) -> None:
        self.lines = lines
        self.root = _Open((), -1, None, (0, 0))
        self.blocks: list[_Open] = []
        self.frames: list[_Frame] = []
        self.done: list[tuple[Place, Entry]] = []
        self.last = (0, 0)
        self.text_below = -1  # deeper lines belong to a text after `|` or `>`
        self.head = 0  # how far the line that opened the outermost bracket is indented
        self.in_remark = False

    def run(self) -> None:
        """Go through all lines."""
        for row, line in enumerate(self.lines):
            self._line(row, line, is_last=row == len(self.lines) - 1)

    def close(self) -> tuple[Entry, ...]:
        """End all that is open, and give the entries in the order of the text."""
        self._give_up_frames()
        self._pop(-1)
        self.done.sort(key=lambda each: (each[0], len(each[1].path)))
        return tuple(entry for _, entry in self.done)

    def _line(self, row: int, line: str, *, is_last: bool) -> None:
        self.in_remark = False
        stripped = line.lstrip(" ")
        indent = len(line) - len(stripped)
        bare = _REMARK.sub("", line).strip()
        if not bare:
            self.in_remark = "#" in line
            if is_last and (not self.frames or indent <= self.head):
                self._give_up_frames()
                self._pop(indent)
            return
        if self.text_below >= 0:
            if indent > self.text_below:
                self.last = (row, len(line))
                return
            self.text_below = -1
        if self.frames:
            if indent > self.head or bare[0] in "]}":
                self._flow(row, line, indent)
                return
            self._give_up_frames()
        self._block(row, line, indent)

    def _block(self, row: int, line: str, indent: int) -> None:
        column = indent
        dash = _ITEM.match(line, column)
        self._pop(indent, keep_key=dash is not None)
        while dash is not None:
            holder = self._top()
            path = (*holder.path, str(holder.items))
            item = _Open(path, column, None, (row, column), is_item=True)
            holder.items += 1
            self._push(item)
            column = dash.end()
            self.last = (row, len(line.rstrip()))
            dash = _ITEM.match(line, column)
        if column >= len(line):
            return
        found = _KEY.match(line, column)
        if found is not None:
            word = found.group(1)
            span = Span((row, column), (row, column + len(word)))
            entry = _Open((*self._top().path, _unquote(word)), column, span, (row, column))
            self._push(entry)
            self.last = (row, found.end())
            column = found.end()
            while column < len(line) and line[column] in " \t":
                column += 1
        if column < len(line):
            self._value(row, line, column, indent)

    def _value(self, row: int, line: str, column: int, indent: int) -> None:
        first = line[column]
        if first in "{[":
            self.head = indent
            self._flow(row, line, column)
            return
        top = self._top()
        if first in "|>":
            self.text_below = indent
            self.last = (row, len(line))
            return
        rest = line[column:]
        if first not in "\"'":
            rest = _REMARK.sub("", rest)
            self.in_remark = len(rest) < len(line) - column
        rest = rest.rstrip()
        if rest and (top.key is not None or top.is_item):
            top.value = Span((row, column), (row, column + len(rest)))
            top.text = _unquote(rest)
        self.last = max(self.last, (row, column + len(rest)))

    def _flow(self, row: int, line: str, column: int) -> None:
        for found in _TOKEN.finditer(line, column):
            start, end = (row, found.start()), (row, found.end())
            kind = found.lastgroup
            if kind == "remark":
                self.in_remark = True
                break
            if kind == "space":
                continue
            self.last = end
            if kind == "sign":
                self._sign(found.group(), start, end)
                if not self.frames:
                    return
            elif self.frames:
                self.frames[-1].word.append((found.group(), start, end))

    def _sign(self, sign: str, start: Place, end: Place) -> None:
        frame = self.frames[-1] if self.frames else None
        if sign in "{[":
            holder = self._top() if frame is None else self._open_entry(frame, start)
            if frame is not None:
                frame.word.clear()
            if len(self.frames) < _DEEPEST:
                self.frames.append(_Frame(sign, holder, start))
            return
        if frame is None:
            return
        if sign == ":":
            if frame.opens == "{" and frame.entry is None and frame.word:
                path, begin = (*frame.holder.path, _join(frame.word)), frame.word[0][1]
                key = Span(begin, frame.word[-1][2])
                frame.entry = _Open(path, -1, key, begin, inline=True)
                frame.word.clear()
            else:
                frame.word.append((":", start, end))
            return
        self._end_value(frame)
        if sign == ",":
            return
        self.frames.pop()
        frame.holder.value = Span(frame.start, end)
        if self.frames:
            self._end_value(self.frames[-1], keep=True)

    def _open_entry(self, frame: _Frame, start: Place) -> _Open:
        """The entry whose value begins here."""
        if frame.opens == "[":
            path = (*frame.holder.path, str(frame.items))
            frame.entry = _Open(path, -1, None, start, is_item=True, inline=True)
            frame.items += 1
        elif frame.entry is None:
            return _Open((*frame.holder.path, ""), -1, None, start, inline=True)
        return frame.entry

    def _end_value(self, frame: _Frame, *, keep: bool = False) -> None:
        """A value ends: with the sign after it, or (`keep`) with its own bracket."""
        if frame.word and not keep:
            begin, finish = frame.word[0][1], frame.word[-1][2]
            if frame.opens == "[" and frame.entry is None:
                self._open_entry(frame, begin)
            if frame.entry is not None:
                frame.entry.value = Span(begin, finish)
                frame.entry.text = _join(frame.word)
            elif frame.opens == "{":
                path = (*frame.holder.path, _join(frame.word))
                self._finish(_Open(path, -1, Span(begin, finish), begin, inline=True), finish)
        if keep:
            return
        frame.word.clear()
        if frame.entry is not None:
            ends = frame.entry.value or frame.entry.key
            self._finish(frame.entry, frame.entry.start if ends is None else ends.end)
            frame.entry = None

    def _give_up_frames(self) -> None:
        while self.frames:
            frame = self.frames[-1]
            self._end_value(frame)
            self.frames.pop()
            frame.holder.value = Span(frame.start, self.last)

    def _top(self) -> _Open:
        return self.blocks[-1] if self.blocks else self.root

    def _push(self, entry: _Open) -> None:
        if len(self.blocks) < _DEEPEST:
            self.blocks.append(entry)

    def _pop(self, indent: int, *, keep_key: bool = False) -> None:
        """End the blocks that a line so far indented does not belong to."""
        while self.blocks and self.blocks[-1].indent >= indent:
            top = self.blocks[-1]
            if keep_key and not top.is_item and top.indent == indent and top.value is None:
                return  # a list may stand no deeper than its key
            self.blocks.pop()
            self._finish(top, self.last)

    def _finish(self, entry: _Open, end: Place) -> None:
        done = Entry(
            path=entry.path,
            key=entry.key,
            value=entry.value,
            text=entry.text,
            whole=Span(entry.start, max(end, entry.start)),
            inline=entry.inline,
        )
        self.done.append((entry.start, done))

    def here(self) -> Here | None:
        """Where the end of the lines stands."""
        if self.in_remark or self.text_below >= 0:
            return None
        row = len(self.lines) - 1
        line = self.lines[row] if self.lines else ""
        end = (row, len(line))
        if self.frames:
            frame = self.frames[-1]
            word, start = _typed(frame.word, end)
            if frame.opens == "[":
                path = (*frame.holder.path, str(frame.items))
                return Here(path=path, at="value", word=word, start=start, inline=True)
            if frame.entry is not None:
                return Here(path=frame.entry.path, at="value", word=word, start=start, inline=True)
            return Here(path=frame.holder.path, at="key", word=word, start=start, inline=True)
        return self._here_in_block(row, line, end)

    def _here_in_block(self, row: int, line: str, end: Place) -> Here:
        top = self._top()
        indent = len(line) - len(line.lstrip(" -"))
        started = top.start[0] == row if self.blocks else False
        if started and top.key is not None and line[top.key.end[1] :].lstrip().startswith(":"):
            column = top.value.start[1] if top.value is not None else len(line)
            word = line[column:]
            return Here(path=top.path, at="value", word=word, start=(row, column), inline=False)
        word = line[indent:]
        return Here(path=top.path, at="key", word=word, start=(row, indent), inline=False)


def _typed(words: list[tuple[str, Place, Place]], end: Place) -> tuple[str, Place]:
    if not words:
        return "", end
    return _join(words), words[0][1]


def _join(words: list[tuple[str, Place, Place]]) -> str:
    """A scalar's text out of its words, with the spaces that stood between them as one."""
    told = ""
    before: Place | None = None
    for word, start, end in words:
        if before is not None and before != start:
            told += " "
        told += word
        before = end
    return _unquote(told)


def _unquote(text: str) -> str:
    if len(text) > 1 and text[0] == text[-1] and text[0] in "\"'":
        return text[1:-1]
    return text
