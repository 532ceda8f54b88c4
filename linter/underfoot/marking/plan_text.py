"""Writes plain data as YAML in one style, so that nothing tells by its form what was changed."""

from collections.abc import Iterator, Sequence
from typing import Any

_WIDTH = 100


def write_yaml(data: Any) -> str:
    """Write a mapping: what holds mappings on lines of its own, all else in brackets."""
    return "\n".join(_lines(data, "")) + "\n"


def _lines(told: dict[str, Any], indent: str) -> Iterator[str]:
    for key, value in told.items():
        head = f"{indent}{_scalar(key)}:"
        if isinstance(value, dict) and any(
            isinstance(each, dict | list) for each in value.values()
        ):
            yield head
            yield from _lines(value, f"{indent}  ")
        elif isinstance(value, list) and any(isinstance(each, dict) for each in value):
            yield head
            for each in value:
                yield from _wrapped(f"{indent}  - ", _flow(each))
        else:
            yield from _wrapped(f"{head} ", _flow(value))


def _flow(value: Any) -> list[str]:
    """Return a value in brackets as the pieces between which a line may end."""
    if isinstance(value, dict):
        return _join("{", [_after(key, each) for key, each in value.items()], "}")
    if isinstance(value, list):
        return _join("[", [_flow(each) for each in value], "]")
    return [_scalar(value)]


def _after(key: str, value: Any) -> list[str]:
    first, *rest = _flow(value)
    return [f"{_scalar(key)}: {first}", *rest]


def _join(start: str, parts: Sequence[list[str]], end: str) -> list[str]:
    pieces = [piece for part in parts for piece in (*part[:-1], f"{part[-1]},")]
    if not pieces:
        return [start + end]
    pieces[0] = start + pieces[0]
    pieces[-1] = pieces[-1].removesuffix(",") + end
    return pieces


def _wrapped(head: str, pieces: Sequence[str]) -> Iterator[str]:
    line, is_begun = head, False
    hanging = " " * (len(head) - len(head.lstrip(" ")) + 4)
    for piece in pieces:
        if is_begun and len(line) + 1 + len(piece) > _WIDTH:
            yield line
            line, is_begun = hanging, False
        line += f" {piece}" if is_begun else piece
        is_begun = True
    yield line.rstrip()


def _scalar(value: Any) -> str:
    import yaml

    text: str = yaml.safe_dump(
        [value], default_flow_style=True, allow_unicode=True, width=float("inf")
    )
    return text.strip()[1:-1]
