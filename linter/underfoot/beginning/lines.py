"""Lines of a plan as it is written: keys, blanks, and what is said beside them."""

from collections.abc import Sequence

from underfoot.beginning.found import Corners
from underfoot.reading.hidden import escape_invisible

WIDTH = 100
_BESIDE = 31
_LONGEST_REMARK = 400


def entry(indent: int, key: str, value: str = "", said: str = "") -> list[str]:
    """Write a key with its value; one without a value is a blank, which says nothing yet.

    What is said stands behind it, and goes on below where it is long.
    """
    head = f"{' ' * indent}{key}:{' ' if value else ''}{value}"
    if not said:
        return [head]
    beside = max(_BESIDE, len(head) + 1)
    if WIDTH - beside < 40:
        return [*remark(said, indent), head]
    first, *rest = _wrap(said, WIDTH - beside - 2)
    return [f"{head:<{beside}}# {first}", *(f"{' ' * beside}# {line}" for line in rest)]


def example(indent: int, text: str) -> str:
    """Write a line that counts once its # is taken away."""
    return f"{' ' * indent}# {text}"


def remark(text: str, indent: int = 0) -> list[str]:
    """Write what is for people alone; nothing in it ends the remark."""
    return [f"{' ' * indent}# {line}" for line in _wrap(text, WIDTH - indent - 2)]


def shown(text: str) -> str:
    """Return text of a drawing as it may stand in a remark: on one line, and not too long."""
    clean = " ".join(escape_invisible(text[: 2 * _LONGEST_REMARK]).split())
    return clean if len(clean) <= _LONGEST_REMARK else clean[: _LONGEST_REMARK - 3] + "..."


def _wrap(text: str, width: int) -> list[str]:
    lines = [""]
    for word in shown(text).split(" "):
        if lines[-1] and len(lines[-1]) + 1 + len(word) > width:
            lines.append("")
        lines[-1] = f"{lines[-1]} {word}" if lines[-1] else word
    return lines


def outline(indent: int, key: str, corners: Corners) -> list[str]:
    """Write corners in brackets, as many on a line as it holds."""
    points = [f"[{number(x)}, {number(y)}]" for x, y in corners]
    head = f"{' ' * indent}{key}: ["
    lines = [head]
    for place, point in enumerate(points):
        piece = point + ("]" if place == len(points) - 1 else ",")
        apart = "" if lines[-1] == head else " "
        if len(lines[-1]) + len(apart) + len(piece) > WIDTH:
            lines.append(" " * len(head))
            apart = ""
        lines[-1] += apart + piece
    return lines


def number(value: float) -> str:
    """Write millimetres as a plan has them."""
    return f"{value:.1f}".removesuffix(".0")


def one_of(words: Sequence[str]) -> str:
    """Say a choice: "concrete, timber or existing floor"."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}"
