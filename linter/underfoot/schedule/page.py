"""The papers as one page that needs no network, to read on a phone and to print."""

from __future__ import annotations

from base64 import b64encode
from functools import cache
from hashlib import sha256

from jinja2 import Environment
from markupsafe import Markup

from underfoot.reporting.templates import read_part, set_up_templates
from underfoot.schedule.document import Papers, without_empty_columns, write_cell


def write_page(papers: Papers, version: str) -> str:
    """Write the papers as HTML; whatever a plan says is escaped."""
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
            policy=f"default-src 'none'; style-src 'sha256-{digest}'; "
            "base-uri 'none'; form-action 'none'",
        )
    )


@cache
def _environment() -> Environment:
    return set_up_templates(
        __package__, "templates", shown=write_cell, without_empty=without_empty_columns
    )
