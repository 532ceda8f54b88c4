"""Places that were laid, in whole millimetres: what a tape can find."""

from collections.abc import Iterable
from typing import Any

from msgspec.structs import replace

from underfoot.checking.mend import Edit

# What holds a place, or a list of places and names of what a lead or a channel passes.
_PLACE, _WAY = "at", "route"


def in_whole_mm(edits: Iterable[Edit], but: frozenset[str] = frozenset()) -> tuple[Edit, ...]:
    """Return edits with their places in whole mm; those of the parts `but` these."""
    return tuple(
        edit
        if but.intersection(map(str, edit.path))
        else replace(edit, value=_round(edit.value, edit.path[-1] if edit.path else ""))
        for edit in edits
    )


def _round(value: Any, key: str | int) -> Any:
    if isinstance(value, dict):
        return {name: _round(each, name) for name, each in value.items()}
    if isinstance(value, list):
        if key == _PLACE:
            return [round(each) if isinstance(each, float) else each for each in value]
        inner = _PLACE if key == _WAY else ""
        return [_round(each, inner) for each in value]
    return value
