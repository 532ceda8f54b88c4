"""The papers as text: tables within a width, or their rows one below the other."""

from collections.abc import Iterator, Sequence

from underfoot.reporting.layout import (
    both_ends,
    columns_of,
    escape_invisible,
    hanging_indent,
    wrap,
)
from underfoot.schedule.document import (
    Column,
    Head,
    Papers,
    Part,
    Table,
    without_empty_columns,
    write_cell,
)

WIDTH = 100
_BLANK = "________"
_GAP = 2


def write_text(papers: Papers, width: int = WIDTH) -> Iterator[str]:
    """Write the papers, part by part."""
    yield _joined(_head(papers.head, width))
    for part in papers.parts:
        yield _joined(["", *_part(part, width)])
    yield _joined(["", "=" * width, *hanging_indent("CAUTION  ", papers.caution, width)])


def _joined(lines: Sequence[str]) -> str:
    return "".join(f"{line.rstrip()}\n" for line in lines)


def _head(head: Head, width: int) -> list[str]:
    lines = ["=" * width, *both_ends(head.title or "SCHEDULE", head.path, width)]
    lines += wrap(head.job_line, width)
    lines += [*wrap(head.site, width)] if head.site else []
    lines += ["", *wrap(head.verdict_line, width), *wrap(head.counts, width)]
    return [*lines, *hanging_indent("  !  ", head.warning, width)] if head.warning else lines


def _part(part: Part, width: int) -> Iterator[str]:
    yield "=" * width
    yield from wrap(part.title.upper(), width)
    for said in part.says:
        yield from wrap(said, width)
    for table in part.tables:
        yield ""
        yield from wrap(table.title, width)
        yield "-" * min(width, columns_of(table.title))
        yield from _table(table, width) if table.rows else wrap(table.if_empty, width)
        for said in table.says:
            yield from hanging_indent("  * ", said, width)
    for said in part.closing:
        yield ""
        yield from wrap(said, width)


def _table(table: Table, width: int) -> Iterator[str]:
    table = without_empty_columns(table)
    cells = [
        [_shown(cell, column) for cell, column in zip(row, table.columns, strict=True)]
        for row in table.rows
    ]
    sizes = [
        max(
            *(columns_of(row[place]) for row in cells),
            *(columns_of(word) for word in column.head.split()),
        )
        for place, column in enumerate(table.columns)
    ]
    free = width - sum(sizes) - _GAP * (len(sizes) - 1)
    if free < 0:
        sizes = _narrowed(table.columns, cells, sizes, -free)
    if not sizes:
        yield from _one_below_the_other(table.columns, cells, width)
        return
    yield from _lines_of(
        [column.head for column in table.columns], table.columns, sizes, at_foot=True
    )
    yield "  ".join("-" * size for size in sizes)
    for row in cells:
        yield from _lines_of(row, table.columns, sizes)


def _shown(cell: object, column: Column) -> str:
    if cell is None and column.blank:
        return _BLANK
    return escape_invisible(write_cell(cell, column))  # type: ignore[arg-type]


def _narrowed(
    columns: Sequence[Column], cells: Sequence[Sequence[str]], sizes: list[int], over: int
) -> list[int]:
    """Take the widest columns of words in until all fit; nothing where they cannot."""
    sizes = list(sizes)
    least = [
        size if column.is_figure or column.blank else min(size, _NARROWEST)
        for column, size in zip(columns, sizes, strict=True)
    ]
    if sum(sizes) - sum(least) < over:
        return []
    while over > 0:
        at = max(range(len(sizes)), key=lambda place: sizes[place] - least[place])
        sizes[at] -= 1
        over -= 1
    return sizes


_NARROWEST = 12


def _lines_of(
    texts: Sequence[str], columns: Sequence[Column], sizes: Sequence[int], *, at_foot: bool = False
) -> Iterator[str]:
    """Write a row, its cells wrapped within their columns; heads stand on the line below them."""
    wrapped = [wrap(text, size) for text, size in zip(texts, sizes, strict=True)]
    height = max(map(len, wrapped))
    for at in range(height):
        line = []
        for lines, column, size in zip(wrapped, columns, sizes, strict=True):
            which = at - (height - len(lines)) if at_foot else at
            text = lines[which] if 0 <= which < len(lines) else ""
            blank = " " * (size - columns_of(text))
            line.append(blank + text if column.is_figure and not column.blank else text + blank)
        yield (" " * _GAP).join(line)


def _one_below_the_other(
    columns: Sequence[Column], cells: Sequence[Sequence[str]], width: int
) -> Iterator[str]:
    margin = max(columns_of(column.title) for column in columns) + 4
    for row in cells:
        for place, (column, text) in enumerate(zip(columns, row, strict=True)):
            if text:
                unit = f" {column.unit}" if column.unit and text != _BLANK else ""
                mark = "- " if place == 0 else "  "
                yield from hanging_indent(
                    f"{mark}{column.title}".ljust(margin), text + unit, width, margin
                )
