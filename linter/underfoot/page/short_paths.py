"""Paths written with as few letters as they take, to a hundredth of a drawing's millimetre."""

import re
from collections.abc import Iterator

# A hundredth of a millimetre on paper is finer than any screen.
_NUMBER = re.compile(r"-?[0-9]*\.?[0-9]+")
_STEP = re.compile(r"([MLHVz])([^A-Za-z]*)")


def shorten_numbers(text: str) -> str:
    """Write each number of a text to a hundredth."""
    return _NUMBER.sub(lambda found: _write(_hundredths(found[0])), text)


def shorten_path(path: str) -> str:
    """Write each step of a path from where it begins, or where it ends, whichever is shorter.

    A path of other steps than to places, or back, is left as it is.
    """
    if _STEP.sub("", path):
        return path
    return "".join(_steps(path))


def _steps(path: str) -> Iterator[str]:
    begun = x = y = 0
    begun_y = 0
    for way, places in _STEP.findall(path):
        if way == "z":
            x, y = begun, begun_y
            yield "z"
            continue
        figures = [_hundredths(each) for each in _NUMBER.findall(places)]
        to_x = figures[0] if way != "V" else x
        to_y = figures[-1] if way != "H" else y
        if way == "M":
            begun, begun_y = to_x, to_y
            yield _shorter("M", (to_x, to_y), (to_x - x, to_y - y))
        elif to_x == x:
            yield _shorter("V", (to_y,), (to_y - y,))
        elif to_y == y:
            yield _shorter("H", (to_x,), (to_x - x,))
        else:
            yield _shorter("L", (to_x, to_y), (to_x - x, to_y - y))
        x, y = to_x, to_y


def _shorter(way: str, place: tuple[int, ...], move: tuple[int, ...]) -> str:
    return min(f"{way}{_join(place)}", f"{way.lower()}{_join(move)}", key=len)


def _join(figures: tuple[int, ...]) -> str:
    return " ".join(map(_write, figures)).replace(" -", "-")


def _hundredths(figure: str) -> int:
    return round(float(figure) * 100)


def _write(hundredths: int) -> str:
    whole, rest = divmod(abs(hundredths), 100)
    decimals = f".{rest:02d}".rstrip("0") if rest else ""
    sign = "-" if hundredths < 0 else ""
    return f"{sign}{whole or (not decimals and '0') or ''}{decimals}"
