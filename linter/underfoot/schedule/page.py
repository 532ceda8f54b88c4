"""The papers as one page that needs no network, to read on a phone and to print."""

from base64 import b64encode
from collections.abc import Sequence
from functools import cache
from hashlib import sha256

from jinja2 import Environment
from markupsafe import Markup

from underfoot.page.markdown import render_line
from underfoot.reporting.templates import read_part, set_up_templates
from underfoot.schedule.document import Papers, without_empty_columns, write_cell
from underfoot.schedule.sheets import RoomSheet


def write_page(papers: Papers, version: str, sheets: Sequence[RoomSheet] = ()) -> str:
    """Write the papers as HTML; whatever a plan says is escaped.

    Each sheet is a picture of its own, so that no id or style of one is another's.
    """
    style = read_part(__package__, "styles", "papers.css")
    digest = b64encode(sha256(style.encode()).digest()).decode()
    return (
        _environment()
        .get_template("papers.html")
        .render(
            papers=papers,
            head=papers.head,
            version=version,
            style=Markup(style),
            sheets=[(sheet.title, b64encode(sheet.svg.encode()).decode()) for sheet in sheets],
            policy=f"default-src 'none'; style-src 'sha256-{digest}'; img-src data:; "
            "base-uri 'none'; form-action 'none'",
        )
    )


@cache
def _environment() -> Environment:
    return set_up_templates(
        __package__,
        "templates",
        shown=write_cell,
        without_empty=without_empty_columns,
        coded=_coded,
    )


def _coded(text: str) -> str:
    """Set what is written in a plan as code, where a sentence quotes any."""
    return render_line(text) if "`" in text else text
