"""The plan's things as an editor lists them, one inside another."""

from __future__ import annotations

from msgspec import Struct

from underfoot.editor.outline import outline
from underfoot.editor.scan import Entry, Parts
from underfoot.editor.text_places import Span

# How deep what is listed stands: rooms.hall.rows.A.
_DEEPEST = 4


class Symbol(Struct, frozen=True, kw_only=True):
    """A thing with what stands in it; `kind` is the key of the list that it is given in, or ""."""

    name: str
    kind: str
    whole: Span
    named: Span
    inside: tuple[Symbol, ...] = ()


def list_symbols(text: str) -> tuple[Symbol, ...]:
    """List the things of a text."""
    below: dict[Parts, list[Entry]] = {}
    for entry in outline(text).entries:
        if entry.key is not None and len(entry.path) <= _DEEPEST:
            below.setdefault(entry.path[:-1], []).append(entry)

    def list_below(path: Parts) -> tuple[Symbol, ...]:
        return tuple(make(entry) for entry in below.get(path, ()))

    def make(entry: Entry) -> Symbol:
        assert entry.key is not None
        inside = list_below(entry.path) if _has_things(entry.path) else ()
        ends = [entry.whole.end, *(each.whole.end for each in inside)]
        return Symbol(
            name=entry.path[-1],
            kind=entry.path[-2] if len(entry.path) > 1 else "",
            whole=Span(entry.whole.start, max(ends)),
            named=entry.key,
            inside=inside,
        )

    return list_below(())


def _has_things(path: Parts) -> bool:
    """Whether what stands in a place is listed."""
    if path[0] == "rooms":
        return len(path) < _DEEPEST and (len(path) < 3 or path[2] in _LISTS)
    return path[0] in ("materials", "circuits") and len(path) < (3 if path[0] == "materials" else 2)


_LISTS = ("rows", "elements", "leads", "fixtures", "joints", "openings")
