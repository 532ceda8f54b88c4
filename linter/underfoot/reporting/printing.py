"""Sheets as PDF and PNG, through the typesetter that the extra ``print`` brings."""

from __future__ import annotations

import re
from collections.abc import Sequence
from importlib import import_module
from typing import Any, Literal

INSTALL = "pip install 'underfoot[print]'"
# Sheets are whole millimetres, so that no row of pixels is lost in fitting them to a picture.
PIXELS_PER_MM = 8

_SIZE = re.compile(r'<svg [^>]*width="([0-9.]+)mm" height="([0-9.]+)mm"')


class CannotPrintError(Exception):
    """What is needed to print is not installed; says how to get it."""


def print_pdf(sheets: Sequence[str]) -> bytes:
    """Set SVG sheets as the pages of one PDF, each at its own size; CannotPrintError."""
    return _compile(sheets, "pdf")


def print_png(sheet: str, pixels_per_mm: int = PIXELS_PER_MM) -> bytes:
    """Turn an SVG sheet into a picture; CannotPrintError."""
    return _compile([sheet], "png", pixels_per_mm * 25.4)


def _compile(
    sheets: Sequence[str], form: Literal["pdf", "png"], pixels_per_inch: float | None = None
) -> bytes:
    typesetter = _find_typesetter()
    pages = [_page(place, sheet) for place, sheet in enumerate(sheets)]
    # Without a date the same sheets give the same bytes on any day.
    source = "#set document(date: none)\n" + "#pagebreak()\n".join(pages)
    made = typesetter.compile(
        source.encode(),
        format=form,
        ppi=pixels_per_inch,
        sys_inputs={f"sheet-{place}": sheet for place, sheet in enumerate(sheets)},
    )
    assert isinstance(made, bytes)
    return made


def _page(place: int, sheet: str) -> str:
    size = _SIZE.search(sheet)
    assert size is not None, "a sheet says its size in mm"
    width, height = size.groups()
    return (
        f"#set page(width: {width}mm, height: {height}mm, margin: 0mm)\n"
        f'#image(bytes(sys.inputs.at("sheet-{place}")), format: "svg", '
        f"width: {width}mm, height: {height}mm)\n"
    )


def _find_typesetter() -> Any:
    try:
        return import_module("typst")
    except ImportError:
        raise CannotPrintError(
            f"PDF and PNG need the extra 'print', which is not installed: {INSTALL}"
        ) from None
