"""The papers as one PDF on paper sizes of ISO 216, the rooms' sheets after them."""

import json
from collections.abc import Sequence
from typing import Any

from underfoot.drawing.printing import print_document
from underfoot.reporting.layout import escape_invisible
from underfoot.reporting.templates import read_part
from underfoot.schedule.document import Papers, Table, without_empty_columns, write_cell

_MANY_ROWS = 200
_LONGEST = 12
_MOST_DISTINCT = 400


def print_papers(papers: Papers, paper: str, sheets: Sequence[str] = ()) -> bytes:
    """Set the papers and SVG sheets as one PDF; CannotPrintError.

    What a plan says goes to the typesetter as data and is never read as its language.
    """
    source = read_part(__package__, "templates", "papers.typ")
    data = json.dumps(_data(papers), ensure_ascii=False)
    return print_document(source, {"papers": data, "paper": paper.lower()}, sheets)


def _data(papers: Papers) -> dict[str, Any]:
    head = papers.head
    return {
        "title": _plain(head.title or "Schedule"),
        "path": _plain(head.path),
        "job": _plain(head.job_line),
        "site": _plain(head.site or ""),
        "verdict": _plain(head.verdict_line),
        "counts": _plain(head.counts),
        "warning": _plain(head.warning),
        "caution": papers.caution,
        "parts": [
            {
                "title": part.title,
                "says": [_plain(said) for said in part.says],
                "tables": [_table(table) for table in part.tables],
                "closing": [_plain(said) for said in part.closing],
            }
            for part in papers.parts
        ],
    }


def _table(table: Table) -> dict[str, Any]:
    table = without_empty_columns(table)
    rows = [
        [_plain(write_cell(cell, column)) for cell, column in zip(row, table.columns, strict=True)]
        for row in table.rows
    ]
    many = zip(*rows, strict=True) if len(rows) > _MANY_ROWS else ()
    # The widest of a column is among the longest.
    columns = [sorted(set(said), key=lambda each: (-len(each), each)) for said in many]
    return {
        "title": table.title,
        "longest": [distinct[:_LONGEST] for distinct in columns],
        "distinct": [
            distinct if len(distinct) <= _MOST_DISTINCT else [] for distinct in columns
        ],
        "heads": [
            {
                "title": column.title,
                "unit": column.unit or "",
                "figure": column.is_figure and not column.blank,
            }
            for column in table.columns
        ],
        "figures": [column.is_figure and not column.blank for column in table.columns],
        "blanks": [column.blank for column in table.columns],
        "rows": rows,
        "says": [_plain(said) for said in table.says] if table.rows else [table.if_empty],
    }  # fmt: skip


def _plain(text: str) -> str:
    """Write a text for paper, where what stands in a plan is quoted."""
    return escape_invisible(text.replace("`", '"'))
