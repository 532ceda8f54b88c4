"""Lines that edits have made too long, broken between brackets as a person would break them."""

from collections.abc import Iterator, Sequence
from itertools import pairwise

from msgspec import Struct

from underfoot.checking.mend import TextEdit
from underfoot.mending.flow_edits import list_spans
from underfoot.mending.spans import Node, line_end, line_start, next_line, read_nodes, read_signs
from underfoot.mending.writing import Manner

# What is deeper than this is not lined up behind its bracket.
_DEEPEST = 60


class _Gap(Struct, frozen=True, kw_only=True):
    """Where a line may end, behind a comma, and the next begin; how deep, and below what."""

    depth: int
    end: int
    start: int
    below: int


def break_long_lines(text: str, made: Sequence[TextEdit], manner: Manner) -> list[TextEdit]:
    """Break each line that the edits have touched and that is too long now, as far as that goes.

    CannotEditError where the text cannot be read any more.
    """
    gaps: list[_Gap] | None = None
    edits: list[TextEdit] = []
    for begin, stop in _touched_lines(text, made):
        if stop - begin <= manner.width:
            continue
        if gaps is None:
            root = read_nodes(text)
            gaps = sorted(_list_gaps(text, root, 0), key=lambda gap: gap.start)
            ends = sorted(_list_ends(root))
        last = max((end for end in ends if begin <= end <= stop), default=begin)
        on_line = [gap for gap in gaps if begin <= gap.end and gap.start <= stop]
        edits += _break(text, begin, last, on_line, manner)
    return edits


def _touched_lines(text: str, made: Sequence[TextEdit]) -> Iterator[tuple[int, int]]:
    """The lines of the new text that hold what the edits put in, each once."""
    shift = 0
    seen = -1
    for edit in made:
        at, end = edit.start + shift, edit.start + shift + len(edit.text)
        while at <= end:
            begin, stop = line_start(text, at), line_end(text, at)
            if begin > seen:
                yield begin, stop
                seen = begin
            if next_line(text, at) == at:
                break
            at = next_line(text, at)
        shift += len(edit.text) - (edit.end - edit.start)


def _list_gaps(text: str, node: Node, depth: int) -> Iterator[_Gap]:
    if node.is_flow and node.parts:
        spans = list_spans(text, node)
        for (_, end), (start, _) in pairwise(spans):
            comma = next(each for each in read_signs(text, end, start) if each.kind == "comma")
            yield _Gap(depth=depth, end=comma.end, start=start, below=spans[0][0])
    for value in (*node.items, *(value for _, value in node.entries)):
        yield from _list_gaps(text, value, depth + 1)


def _list_ends(node: Node) -> Iterator[int]:
    yield node.end
    for first, last in node.parts:
        yield first.end
        yield from _list_ends(last)


def _break(
    text: str, begin: int, last: int, gaps: Sequence[_Gap], manner: Manner
) -> Iterator[TextEdit]:
    """Break one line, between what is least deep first, each piece as long as may be."""
    columns = {begin: 0}  # where pieces begin in the text, and in which column then

    def column_of(place: int) -> int:
        if place < begin:
            return place - line_start(text, place)
        start = max(each for each in columns if each <= place)
        return columns[start] + place - start

    while column_of(last) > manner.width:
        current = max(columns)
        ahead = [gap for gap in gaps if gap.end > current and gap.start > current]
        fitting = [gap for gap in ahead if column_of(gap.end) <= manner.width]
        if not fitting:
            return
        least = min(gap.depth for gap in fitting)
        gap = max((each for each in fitting if each.depth == least), key=lambda each: each.start)
        hanging = column_of(gap.below)
        if hanging > _DEEPEST:
            hanging = len(text[begin:last]) - len(text[begin:last].lstrip(" ")) + 2 * manner.step
        if column_of(gap.start) <= hanging:
            return
        columns[gap.start] = hanging
        yield TextEdit(start=gap.end, end=gap.start, text=f"{manner.line_end}{' ' * hanging}")
