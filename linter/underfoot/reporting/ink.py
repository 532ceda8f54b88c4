"""Colour for a terminal; never the only sign of anything."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct


class Ink(Struct, frozen=True, kw_only=True):
    """The codes that go before a text of each kind; all empty where there is no colour."""

    error: str = ""
    warning: str = ""
    note: str = ""
    good: str = ""
    strong: str = ""
    faint: str = ""
    end: str = ""


PLAIN = Ink()
COLOURED = Ink(
    error="\x1b[1;31m",
    warning="\x1b[1;33m",
    note="\x1b[1;36m",
    good="\x1b[1;32m",
    strong="\x1b[1m",
    faint="\x1b[2m",
    end="\x1b[0m",
)


def ink_for(terminal: bool, environment: Mapping[str, str]) -> Ink:
    """Choose colour for a terminal that has not refused it (NO_COLOR, TERM=dumb)."""
    refused = environment.get("NO_COLOR", "") != "" or environment.get("TERM") == "dumb"
    return COLOURED if terminal and not refused else PLAIN


def paint(text: str, code: str, ink: Ink) -> str:
    """Put `text` between a code and the end of it."""
    return f"{code}{text}{ink.end}" if code else text
