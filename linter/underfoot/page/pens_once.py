"""What drawings say of line, fill and letters, said once on the page: a class for each way."""

import re

# What style sheets know by the same name and, but for sizes of letters, by the same value.
_PEN = re.compile(
    r" (fill|stroke|stroke-width|stroke-dasharray|stroke-opacity|fill-opacity|stroke-linecap"
    r'|stroke-linejoin|text-anchor|font-weight|font-size)="([^"()]*)"'
)
_ELEMENT = re.compile(r'(<[a-z]+)((?: [\w:-]+="[^"]*")+)')
_CLASS = re.compile(r' class="([^"]*)"')
_DIGITS = "0123456789abcdefghijklmnopqrstuvwxyz"


class PensOnce:
    """Takes pens out of drawings and keeps them for the page's style; the first used come first.

    A class weighs as little as what it stands for: every other rule of the page goes before it.
    """

    def __init__(self) -> None:
        self._names: dict[str, str] = {}

    def take_out(self, svg: str) -> str:
        """Write classes in place of the pens of a drawing that is part of the page."""
        return _ELEMENT.sub(self._write_class, svg)

    def write_style(self) -> str:
        """Say of each class what it stands for."""
        return "".join(f":where(.{name}){{{pen}}}\n" for pen, name in self._names.items())

    def _write_class(self, element: re.Match[str]) -> str:
        attributes = element[2]
        pen = ";".join(sorted(_declare(*found) for found in _PEN.findall(attributes)))
        if not pen:
            return element[0]
        name = self._names.setdefault(pen, f"_{_short(len(self._names))}")
        rest = _PEN.sub("", attributes)
        own = _CLASS.search(rest)
        if own is None:
            return f'{element[1]}{rest} class="{name}"'
        return f"{element[1]}{rest[: own.end() - 1]} {name}{rest[own.end() - 1 :]}"


def _declare(key: str, value: str) -> str:
    return f"{key}:{value}px" if key == "font-size" else f"{key}:{value}"


def _short(place: int) -> str:
    """Write a number in as few letters as it takes."""
    high, low = divmod(place, len(_DIGITS))
    return (_short(high) if high else "") + _DIGITS[low]
