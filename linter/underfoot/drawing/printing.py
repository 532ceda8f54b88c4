"""Sheets as PDF and PNG, through the libraries that the extra ``print`` brings."""

import re
from collections.abc import Mapping, Sequence
from importlib import import_module
from typing import Any

INSTALL = "pip install 'underfoot[print]'"
PIXELS_PER_MM = 8

_SIZE = re.compile(r'<svg [^>]*width="([0-9.]+)mm" height="([0-9.]+)mm"')


class CannotPrintError(Exception):
    """What is needed to print is not installed; says how to get it."""


def print_pdf(sheets: Sequence[str]) -> bytes:
    """Set SVG sheets as the pages of one PDF, each at its own size; CannotPrintError."""
    return print_document("", {}, sheets)


def print_document(source: str, given: Mapping[str, str], sheets: Sequence[str] = ()) -> bytes:
    """Set a text of the typesetter's, with what is given to it, and SVG sheets after it as a PDF.

    CannotPrintError where what sets it is not installed.
    """
    typesetter = _find("typst")
    pages = [_page(place, sheet) for place, sheet in enumerate(sheets)]
    # Without a date the same sheets give the same bytes on any day.
    whole = "#set document(date: none)\n" + "#pagebreak()\n".join(
        [source, *pages] if source else pages
    )
    made = typesetter.compile(
        whole.encode(),
        format="pdf",
        sys_inputs={**given, **{f"sheet-{place}": sheet for place, sheet in enumerate(sheets)}},
    )
    assert isinstance(made, bytes)
    return made


def print_png(sheet: str) -> bytes:
    """Turn an SVG sheet into a picture, whole pixels to a millimetre; CannotPrintError."""
    painter = _find("resvg_py")
    return bytes(painter.svg_to_bytes(svg_string=sheet, dpi=PIXELS_PER_MM * 25.4))


def _page(place: int, sheet: str) -> str:
    size = _SIZE.search(sheet)
    assert size is not None, "a sheet says its size in mm"
    width, height = size.groups()
    return (
        f"#set page(width: {width}mm, height: {height}mm, margin: 0mm, "
        "header: none, footer: none)\n"
        f'#image(bytes(sys.inputs.at("sheet-{place}")), format: "svg", '
        f"width: {width}mm, height: {height}mm)\n"
    )


def _find(library: str) -> Any:
    try:
        return import_module(library)
    except ImportError:
        raise CannotPrintError(
            f"PDF and PNG need the extra 'print', which is not installed: {INSTALL}"
        ) from None
