"""The page's own style and script, and the policy that lets nothing else run."""

from base64 import b64encode
from functools import cache
from hashlib import sha256
from typing import Literal

from underfoot.drawing import LAYERS
from underfoot.drawing.lettering import FAMILY, SMALL
from underfoot.drawing.svg import number
from underfoot.reporting.templates import read_part

# That of a drawing, in its own millimetres.
LETTERING = f"{number(SMALL)}px {FAMILY}"
# What can be done at a page: it is read, decisions are made and saved, or it lives at the desk.
Kind = Literal["read", "decide", "desk"]

_SCRIPTS = (
    "start.js",
    "drawing.js",
    "findings.js",
    "sifting.js",
    "navigating.js",
    "register.js",
    "printing.js",
)
_STYLES = (
    "colours.css",
    "page.css",
    "plan.css",
    "slim.css",
    "drawing.css",
    "narrow.css",
    "print.css",
)
# What readies a plan stands before what opens the first one.
_MORE_SCRIPTS: dict[Kind, tuple[str, ...]] = {
    "read": (),
    "decide": ("deciding.js", "review_text.js", "keeping.js"),
    "desk": ("deciding.js", "asking.js", "mending.js"),
}
_LAST_SCRIPTS: dict[Kind, tuple[str, ...]] = {
    "read": (),
    "decide": (),
    "desk": ("view.js", "following.js"),
}
_MORE_STYLES: dict[Kind, tuple[str, ...]] = {
    "read": (),
    "decide": ("deciding.css",),
    "desk": ("deciding.css", "desk.css"),
}


@cache
def write_style(kind: Kind) -> str:
    """Write the style sheet."""
    names = (*_STYLES, *_MORE_STYLES[kind])
    text = "\n".join(read_part(__package__, "styles", name) for name in names)
    off = "\n".join(
        f'[data-layers-off~="{layer}"] :is([data-layer="{layer}"], [data-shows="{layer}"]) '
        "{ display: none; }"
        for layer in LAYERS
    )
    return f"{text}\n{off}\n".replace("@lettering@", LETTERING)


@cache
def write_script(kind: Kind) -> str:
    """Write the script, closed in itself."""
    first = _SCRIPTS.index("findings.js") + 1
    names = (
        *_SCRIPTS[:first], *_MORE_SCRIPTS[kind], *_SCRIPTS[first:], *_LAST_SCRIPTS[kind],
    )  # fmt: skip
    text = "\n".join(read_part(__package__, "scripts", name) for name in names)
    return f'(function () {{\n"use strict";\n{text}\n}})();\n'


def write_policy(style: str, script: str, kind: Kind) -> str:
    """Say what the page may do: run its own script, use its own style, and fetch nothing.

    At the desk it may ask where it came from, and nobody else.
    """
    asks = "connect-src 'self'; " if kind == "desk" else ""
    return (
        f"default-src 'none'; script-src '{_hash(script)}'; style-src '{_hash(style)}'; {asks}"
        "img-src data:; base-uri 'none'; form-action 'none'"
    )


def _hash(text: str) -> str:
    return f"sha256-{b64encode(sha256(text.encode()).digest()).decode()}"
