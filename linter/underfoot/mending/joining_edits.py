"""Edits of a text made one after another -> edits of the text as it was at first."""

from collections.abc import Iterable, Sequence

from underfoot.checking.mend import TextEdit


def make_edits(text: str, edits: Iterable[TextEdit]) -> str:
    """Make edits that lie apart; of two at one place the first comes first."""
    for edit in sorted(edits, key=lambda each: each.start)[::-1]:
        text = text[: edit.start] + edit.text + text[edit.end :]
    return text


def join_edits(
    made: Sequence[TextEdit], further: Iterable[TextEdit], now: str
) -> tuple[TextEdit, ...]:
    """The edits that were made, with further ones of the text `now` that they led to."""
    for edit in sorted(further, key=lambda each: each.start)[::-1]:
        made = _join(made, edit, now)
        now = make_edits(now, [edit])
    return tuple(made)


def _join(made: Sequence[TextEdit], new: TextEdit, now: str) -> list[TextEdit]:
    """Add one edit; what it meets or touches becomes one with it."""
    before: list[TextEdit] = []
    met: list[tuple[TextEdit, int]] = []
    after: list[TextEdit] = []
    shift = 0  # by how much the text is longer up to here
    shift_before = 0  # and up to the new edit
    for old in made:
        begin, end = old.start + shift, old.start + shift + len(old.text)
        if end < new.start:
            before.append(old)
        elif begin > new.end:
            after.append(old)
        else:
            met.append((old, begin))
        shift += len(old.text) - (old.end - old.start)
        if end < new.start:
            shift_before = shift
    start, stop = new.start - shift_before, new.end
    head = tail = ""
    if met:
        first, begin = met[0]
        if begin < new.start:
            head = now[begin : new.start]
        start = first.start if begin <= new.start else start
        last, begin = met[-1]
        end = begin + len(last.text)
        if end > new.end:
            tail = now[new.end : end]
        stop = last.end if end >= new.end else last.end + new.end - end
    else:
        stop = new.end - shift_before
    joined = TextEdit(start=start, end=stop, text=head + new.text + tail)
    return [*before, joined, *after]
