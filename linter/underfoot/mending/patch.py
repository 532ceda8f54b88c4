"""A JSON Patch (RFC 6902) on plain data."""

from __future__ import annotations

import copy
from collections.abc import Iterable, Sequence
from typing import Any

from underfoot.checking.mend import Edit


class CannotPatchError(ValueError):
    """An operation whose place is not there."""


def patch_data(data: Any, edits: Iterable[Edit]) -> Any:
    """Give a copy of plain data with the edits made, one after another.

    CannotPatchError where the place of one is not there, as RFC 6902 demands.
    """
    patched = copy.deepcopy(data)
    for edit in edits:
        if not edit.path:
            raise CannotPatchError("the whole document is not replaced")
        *above, last = edit.path
        _apply(_find(patched, above), last, edit)
    return patched


def write_pointer(path: Sequence[str | int]) -> str:
    """Write a path as a JSON Pointer (RFC 6901)."""
    return "".join(f"/{str(part).replace('~', '~0').replace('/', '~1')}" for part in path)


def _find(data: Any, path: Sequence[str | int]) -> Any:
    for part in path:
        try:
            data = data[part]
        except (KeyError, IndexError, TypeError):
            raise CannotPatchError(f"{part!r} of {write_pointer(path)} is not there") from None
    return data


def _apply(holder: Any, last: str | int, edit: Edit) -> None:
    value = copy.deepcopy(edit.value)
    if isinstance(holder, list) and edit.op == "add":
        place = len(holder) if last == "-" else last
        if not isinstance(place, int) or not 0 <= place <= len(holder):
            raise CannotPatchError(f"{write_pointer(edit.path)} is no place in the list")
        holder.insert(place, value)
        return
    if isinstance(holder, dict) and edit.op == "add":
        holder[str(last)] = value
        return
    _find(holder, [last])
    if edit.op == "replace":
        holder[last] = value
    else:
        del holder[last]
