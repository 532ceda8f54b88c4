"""Phrases that several rules need: places, directions, lists."""

import math
from collections.abc import Iterable, Sequence


def join_names(things: Sequence[str], most: int | None = None) -> str:
    """Join ids as a sentence does: ``A1, A2 and A3``; of too many ``A1, A2 and 5 others``.

    `most` are named, and one more where it would be the only other.
    """
    if most is not None and len(things) > most + 1:
        things = [*things[:most], f"{len(things) - most} others"]
    if len(things) < 2:
        return "".join(things)
    return f"{', '.join(things[:-1])} and {things[-1]}"


def with_article(word: str) -> str:
    """Put a or an before a word."""
    return f"{'an' if word[:1] in 'aeiou' else 'a'} {word}"


def name_runs(things: Iterable[str]) -> str:
    """Name ids in short, those numbered on in one: ``A1 to A7, B2``."""
    runs: list[list[str]] = []
    for thing in things:
        if runs and thing == _next_id(runs[-1][-1]):
            runs[-1].append(thing)
        else:
            runs.append([thing])
    return ", ".join(", ".join(run) if len(run) < 3 else f"{run[0]} to {run[-1]}" for run in runs)


def _next_id(thing: str) -> str | None:
    stem = thing.rstrip("0123456789")
    number = thing[len(stem) :]
    return f"{stem}{int(number) + 1}" if 0 < len(number) < 10 else None


def point_text(x: float, y: float) -> str:
    """Write a place as a plan does: ``[810, 1500]``."""
    return f"[{_whole(x)}, {_whole(y)}]"


def move_text(dx: float, dy: float) -> str:
    """Say a move in the plane: ``12 mm to the right (+x) and 5 mm up (+y)``.

    Each part is rounded up to a tenth of a millimetre, so that the move clears what it must.
    """
    parts = []
    if abs(dx) > 1e-6:
        parts.append(f"{_up(dx)} mm to the {'right (+x)' if dx > 0 else 'left (-x)'}")
    if abs(dy) > 1e-6:
        parts.append(f"{_up(dy)} mm {'up (+y)' if dy > 0 else 'down (-y)'}")
    return " and ".join(parts) or "0 mm"


def _up(value: float) -> str:
    return _whole(math.ceil(abs(value) * 10 - 1e-4) / 10)


def _whole(value: float) -> str:
    text = f"{value:.1f}"
    text = text[:-2] if text.endswith(".0") else text
    return "0" if text == "-0" else text
