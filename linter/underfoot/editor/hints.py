"""What is shown between the words of a text: the names of a row's strips, and their sum."""

from collections.abc import Iterator, Mapping

from msgspec import Struct

from underfoot.checking.numbers import format_quantity
from underfoot.editor.ids import list_ids
from underfoot.editor.judgement import RowSum
from underfoot.editor.outline import outline
from underfoot.editor.text_places import Place, Span
from underfoot.reading.paths import join_path
from underfoot.reporting.layout import count_of


class Hint(Struct, frozen=True, kw_only=True):
    """A few words to be shown at a place, before or after what stands there."""

    place: Place
    label: str
    before: bool


def list_hints(text: str, rows: Mapping[str, RowSum], within: Span) -> tuple[Hint, ...]:
    """List what is shown within a part of a text; `rows` are the sums that are known."""
    found = [*_name_strips(text), *_sum_rows(text, rows)]
    return tuple(each for each in found if within.holds(each.place))


def _name_strips(text: str) -> Iterator[Hint]:
    for each in list_ids(text).given:
        if each.kind == "strip" and each.path[-2] == "lengths":
            yield Hint(place=each.span.start, label=f"{each.name}:", before=True)


def _sum_rows(text: str, rows: Mapping[str, RowSum]) -> Iterator[Hint]:
    entries = outline(text)
    for entry in entries.entries:
        if len(entry.path) != 4 or entry.path[0] != "rooms" or entry.path[2] != "rows":
            continue
        total = rows.get(join_path(entry.path))
        if total is None or not total.strips:
            continue
        lengths = entries.find((*entry.path, "lengths")) or entries.find((*entry.path, "count"))
        if lengths is None:
            continue
        metres = format_quantity(total.length / 1000, "m")
        power = format_quantity(total.power_w, "W")
        yield Hint(
            place=(lengths.value or lengths.whole).end,
            label=f"{count_of(total.strips, 'strip')}, {metres}, {power}",
            before=False,
        )
