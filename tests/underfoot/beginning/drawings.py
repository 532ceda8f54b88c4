"""Drawings of our own, made for the tests."""

import io
from collections.abc import Sequence
from typing import Any

import ezdxf

Corners = Sequence[tuple[float, float]]

ROOM: Corners = ((1000, 1000), (5000, 1000), (5000, 4000), (1000, 4000))


def new_drawing(unit: int = 4, *layers: str) -> Any:
    """An empty drawing in mm, or in another of its units ($INSUNITS)."""
    document = ezdxf.new("R2010")
    document.header["$INSUNITS"] = unit
    for layer in layers:
        document.layers.add(layer)
    return document


def closed(layout: Any, corners: Sequence[Any], layer: str = "ROOMS", form: str = "xy") -> Any:
    """A closed polyline in a layout or block."""
    return layout.add_lwpolyline(corners, format=form, close=True, dxfattribs={"layer": layer})


def text(layout: Any, words: str, at: tuple[float, float], height: float = 200) -> Any:
    """A text, on a layer of its own."""
    return layout.add_text(words, height=height, dxfattribs={"layer": "WORDS", "insert": at})


def saved(document: Any) -> bytes:
    """The drawing as its file has it."""
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue().encode("utf-8", "surrogateescape")
