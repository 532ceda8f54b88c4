"""The papers as JSON, CSV and XLSX: numbers as numbers, and text never a formula."""

import json
from typing import Any

from msgspec.structs import asdict

from underfoot.reporting.json import spell_out
from underfoot.reporting.spreadsheet import safe_text, write_book, write_table
from underfoot.schedule.document import Cell, Papers, Table, as_number

SCHEDULE_FORMAT = 1
_LONGEST_NAME = 31


def write_json(papers: Papers, version: str) -> str:
    """Write the papers as JSON, `schedule_format` 1; each row by its columns' keys."""
    whole = {
        "schedule_format": SCHEDULE_FORMAT,
        "tool": {"name": "underfoot", "version": version},
        "caution": papers.caution,
        "plan": asdict(papers.head),
        "parts": [
            {
                "key": part.key,
                "title": part.title,
                "says": [*part.says, *part.closing],
                "tables": [_table_data(table) for table in part.tables],
            }
            for part in papers.parts
        ],
    }
    return spell_out(json.dumps(whole, ensure_ascii=False, indent=1)) + "\n"


def _table_data(table: Table) -> dict[str, Any]:
    return {
        "key": table.key,
        "title": table.title,
        "says": list(table.says),
        "columns": [
            {"key": column.key, "title": column.title, "unit": column.unit}
            for column in table.columns
        ],
        "rows": [
            {
                column.key: cell if isinstance(cell, str | None) else as_number(cell, column)
                for cell, column in zip(row, table.columns, strict=True)
            }
            for row in table.rows
        ],
    }


def write_csv(table: Table) -> str:
    """Write one table as CSV, RFC 4180, its head the columns' keys."""
    return write_table(_cells(table))


def write_xlsx(papers: Papers) -> bytes:
    """Write the papers as one XLSX book: whose they are, then a sheet for each table."""
    head = papers.head
    about: list[list[Cell]] = [["what", "says"]]
    for name, said in asdict(head).items():
        about.append([name, None if said is None else safe_text(said)])
    about.append(["caution", papers.caution])
    for part in papers.parts:
        about += [[safe_text(part.title), safe_text(said)] for said in (*part.says, *part.closing)]
        about += [
            [safe_text(table.title), safe_text(said)]
            for table in part.tables
            for said in table.says
        ]
    sheets = {"about": about}
    sheets |= {
        table.key[:_LONGEST_NAME]: _cells(table) for part in papers.parts for table in part.tables
    }
    return write_book(sheets)


def _cells(table: Table) -> list[list[Cell]]:
    head: list[Cell] = [column.key for column in table.columns]
    return [
        head,
        *(
            [
                safe_text(cell)
                if isinstance(cell, str)
                else None
                if cell is None
                else as_number(cell, column)
                for cell, column in zip(row, table.columns, strict=True)
            ]
            for row in table.rows
        ),
    ]
