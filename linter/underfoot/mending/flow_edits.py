"""Edits within brackets: an item or entry put in, or taken away, and all else left as it stands."""

from collections.abc import Iterable, Sequence

from underfoot.checking.mend import TextEdit
from underfoot.mending.spans import (
    CannotEditError,
    Node,
    Sign,
    begins_line,
    end_of_blanks,
    end_of_part,
    line_start,
    next_line,
    read_signs,
)
from underfoot.mending.writing import Manner

Span = tuple[int, int]


def insert_in_brackets(
    text: str, holder: Node, at: int, written: str, manner: Manner
) -> list[TextEdit]:
    """Put an item, or a key with its value, before the `at`-th part, or after the last."""
    opening, closing = _within(text, holder)
    spans = list_spans(text, holder)
    if not spans:
        is_bare = not text[opening:closing].strip()
        return [TextEdit(start=opening, end=closing if is_bare else opening, text=written)]
    is_listed = _has_own_line(text, spans, min(at, len(spans) - 1))
    if at < len(spans):
        start = spans[at][0]
        between = manner.line_end + text[line_start(text, start) : start] if is_listed else " "
        return [TextEdit(start=start, end=start, text=f"{written},{between}")]
    start, end = spans[-1]
    signs = list(read_signs(text, end, closing))
    comma = _first(signs, "comma")
    after = end if comma is None else comma.end
    before, ending = (",", "") if comma is None else ("", ",")
    if is_listed:
        between = manner.line_end + text[line_start(text, start) : start]
        below = _end_of_line(signs, after)
    else:
        between, below = " ", after
    new = TextEdit(start=below, end=below, text=f"{between}{written}{ending}")
    return [TextEdit(start=end, end=end, text=before), new] if before else [new]


def remove_from_brackets(text: str, holder: Node, at: int) -> list[TextEdit]:
    """Take an item, or a key with its value, away; the comment goes where it has a line alone."""
    opening, closing = _within(text, holder)
    spans = list_spans(text, holder)
    start, end = spans[at]
    is_last = at == len(spans) - 1
    before = list(read_signs(text, spans[at - 1][1] if at else opening, start))
    after = list(read_signs(text, end, closing if is_last else spans[at + 1][0]))
    comma_before, comma_after = _first(before, "comma"), _first(after, "comma")
    stop = end if comma_after is None else comma_after.end
    edits = []
    if is_last and comma_after is None and comma_before is not None:
        # What is the last then needs no comma, as it needed none here.
        edits.append(TextEdit(start=comma_before.start, end=comma_before.end, text=""))
    stands_alone = begins_line(text, start) and _first(after, "line") is not None
    if len(spans) == 1 and not _has_comment([*before, *_below(after)]):
        begin, stop = opening, closing
    elif stands_alone:
        begin, stop = line_start(text, start), next_line(text, stop)
    elif len(spans) == 1:
        begin = start
    elif is_last:
        begin = start if _has_comment(before) or comma_before is None else comma_before.end
    elif at == 0 or not _has_lines(after):
        begin, stop = start, stop if _has_comment(after) else spans[at + 1][0]
    else:
        begin = start if _has_lines(before) or comma_before is None else comma_before.end
    return [*edits, TextEdit(start=begin, end=stop, text="")]


def _within(text: str, holder: Node) -> Span:
    """What the brackets hold; CannotEditError for ``[a: 1]``, a mapping that has none."""
    if text[holder.start] not in "[{" or text[holder.end - 1] not in "]}":
        raise CannotEditError("a mapping without brackets")
    return holder.start + 1, holder.end - 1


def list_spans(text: str, holder: Node) -> list[Span]:
    """Where each item begins and ends, or each key with its value."""
    return [(first.start, _end(text, first, last)) for first, last in holder.parts]


def _end(text: str, first: Node, last: Node) -> int:
    """Where a part ends; the blanks behind a colon without a value keep it apart from a comma."""
    end = end_of_part(text, first, last)
    return end_of_blanks(text, end) if end != first.end and last.is_left_out else end


def _has_own_line(text: str, spans: Sequence[Span], at: int) -> bool:
    """Whether a part, and the one beside it, each begin a line."""
    beside = at - 1 if at else min(1, len(spans) - 1)
    return begins_line(text, spans[at][0]) and begins_line(text, spans[beside][0])


def _first(signs: Iterable[Sign], kind: str) -> Sign | None:
    return next((each for each in signs if each.kind == kind), None)


def _has_comment(signs: Iterable[Sign]) -> bool:
    return _first(signs, "comment") is not None


def _has_lines(signs: Iterable[Sign]) -> bool:
    return _first(signs, "line") is not None or _has_comment(signs)


def _below(signs: Sequence[Sign]) -> Sequence[Sign]:
    """What stands on the lines below that on which the signs begin."""
    at = next((at for at, each in enumerate(signs) if each.kind == "line"), len(signs))
    return signs[at:]


def _end_of_line(signs: Iterable[Sign], after: int) -> int:
    """Where the line ends that something stands on, behind a comment; there, if more follows."""
    line = next((each for each in signs if each.kind == "line" and each.start >= after), None)
    return after if line is None else line.start
