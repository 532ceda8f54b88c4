"""Colour and links for a terminal; never the only sign of anything."""

import os
from collections.abc import Mapping

from msgspec import Struct
from msgspec.structs import replace


class Ink(Struct, frozen=True, kw_only=True):
    """The codes that go before a text of each kind; all empty where there is no colour.

    `links_from` is the folder from which paths are told, as a URI without an end; where it is empty
    no path is a link.
    """

    error: str = ""
    warning: str = ""
    note: str = ""
    good: str = ""
    strong: str = ""
    faint: str = ""
    end: str = ""
    links_from: str = ""


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
# Kinds of terminals that would show the codes of a link, or are known for it.
_WITHOUT_LINKS = ("dumb", "linux", "screen", "vt", "ansi", "cons", "eterm", "emacs", "unknown")
_OFF = ("0", "false", "no", "off")


def ink_for(terminal: bool, environment: Mapping[str, str]) -> Ink:
    """Choose colour for a terminal that has not refused it, or where it is asked for.

    NO_COLOR refuses it whatever else is set; FORCE_COLOR and CLICOLOR_FORCE ask for it anywhere;
    TERM=dumb and CLICOLOR=0 refuse it where nothing asks.
    """
    if environment.get("NO_COLOR", ""):
        return PLAIN
    for name in ("FORCE_COLOR", "CLICOLOR_FORCE"):
        asked = environment.get(name, "").lower()
        if asked:
            if asked not in _OFF:
                return COLOURED
            if name == "FORCE_COLOR":
                return PLAIN
    refused = environment.get("TERM") == "dumb" or environment.get("CLICOLOR") == "0"
    return COLOURED if terminal and not refused else PLAIN


def with_links(ink: Ink, terminal: bool, environment: Mapping[str, str]) -> Ink:
    """Let paths be links where a terminal shows them (FORCE_HYPERLINK says it, or 0 that not)."""
    asked = environment.get("FORCE_HYPERLINK", "").lower()
    kind = environment.get("TERM", "")
    shows = terminal and kind != "" and not kind.startswith(_WITHOUT_LINKS)
    if asked:
        shows = asked not in _OFF
    if not shows:
        return ink
    from pathlib import Path
    from socket import gethostname

    # Whoever is at the terminal may be on another machine: the URI names this one.
    here = Path.cwd().as_uri().removeprefix("file://")
    return replace(ink, links_from=f"file://{gethostname()}{here}".rstrip("/"))


def paint(text: str, code: str, ink: Ink) -> str:
    """Put `text` between a code and the end of it."""
    return f"{code}{text}{ink.end}" if code else text


def link(text: str, path: str, ink: Ink) -> str:
    """Let `text` lead to the file at `path`, where paths are links and it is one."""
    if not ink.links_from or path == "-":
        return text
    from urllib.parse import quote

    where = quote(path.replace(os.sep, "/"), errors="surrogateescape")
    root, _, _ = ink.links_from.removeprefix("file://").partition("/")
    uri = f"file://{root}{where}" if where.startswith("/") else f"{ink.links_from}/{where}"
    return f"\x1b]8;;{uri}\x1b\\{text}\x1b]8;;\x1b\\"
