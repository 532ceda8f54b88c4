"""Edits of what stands on lines of its own: lines put in, or taken away, and all else left."""

from underfoot.checking.mend import TextEdit
from underfoot.mending.spans import (
    CannotEditError,
    Node,
    begins_line,
    end_of_part,
    line_end,
    line_start,
    next_line,
    read_signs,
)
from underfoot.mending.writing import Manner


def insert_on_lines(
    text: str, holder: Node, at: int, written: str, manner: Manner
) -> list[TextEdit]:
    """Put an item or entry before the `at`-th part of a list or mapping, or after the last.

    `written` may have several lines; its first begins in the holder's column.
    """
    blank = " " * holder.column
    if at == 0:
        start = start_of_part(text, holder, 0)
        return [TextEdit(start=start, end=start, text=f"{written}{manner.line_end}{blank}")]
    place = _end_of_lines(text, end_of_part(text, *holder.parts[at - 1]), holder.column)
    return [TextEdit(start=place, end=place, text=f"{manner.line_end}{blank}{written}")]


def remove_lines(text: str, holder: Node, at: int) -> list[TextEdit]:
    """Take one of several items or entries away, with the comment that begins on its last line."""
    start, end = start_of_part(text, holder, at), end_of_part(text, *holder.parts[at])
    if begins_line(text, start):
        return [cut_lines(text, start, _end_of_comment(text, end))]
    if at or text[line_start(text, start) : start].strip(" -"):
        raise CannotEditError("something stands before it on its line")
    following = start_of_part(text, holder, 1)
    if any(
        each.kind == "comment" and each.start > line_end(text, end)
        for each in read_signs(text, end, following)
    ):
        raise CannotEditError("a comment stands between")
    return [TextEdit(start=start, end=following, text="")]


def _end_of_comment(text: str, end: int) -> int:
    """Where the comment ends that begins on the line of `end` and goes on in the same column."""
    last = line_below(text, end)
    comment = text.find("#", end, last)
    if comment < 0:
        return end
    column = comment - line_start(text, comment)
    while last < len(text):
        start = next_line(text, last)
        if text[start : start + column + 1] != " " * column + "#":
            break
        last = line_end(text, start)
    return last


def cut_lines(text: str, start: int, end: int) -> TextEdit:
    """Cut the lines from that of `start` to that of `end`."""
    list(read_signs(text, end, line_end(text, end)))
    begin, stop = line_start(text, start), next_line(text, end)
    if stop == line_end(text, end) and begin:
        # The last line has no end: the one before it then has none, either.
        begin = line_end(text, line_start(text, begin - 1))
    return TextEdit(start=begin, end=stop, text="")


def start_of_part(text: str, holder: Node, at: int) -> int:
    """Where a key begins, or the dash of an item."""
    first, _ = holder.parts[at]
    if holder.kind == "mapping":
        return first.start
    if at == 0:
        return holder.start
    line = next_line(text, end_of_part(text, *holder.parts[at - 1]))
    while line < len(text):
        dash = line + holder.column
        if text[dash : dash + 1] == "-" and begins_line(text, dash):
            return dash
        line = next_line(text, line)
    raise CannotEditError("a list's dash is not there")


def line_below(text: str, end: int) -> int:
    """Where the line of `end` ends, on which nothing but a comment may follow."""
    last = line_end(text, end)
    list(read_signs(text, end, last))
    return last


def _end_of_lines(text: str, end: int, column: int) -> int:
    """Where the lines end that belong to what ends at `end`: comments that go on below it, too.

    What stands deeper than the next entry would is not about that.
    """
    place = line_below(text, end)
    while place < len(text):
        start = next_line(text, place)
        line = text[start : line_end(text, start)]
        remark = line.lstrip(" ")
        if not remark.startswith("#") or len(line) - len(remark) <= column:
            break
        place = start + len(line)
    return place
