"""A patch (RFC 6902) applied to plain data."""

from collections.abc import Iterable, Sequence
from typing import Any

from underfoot.checking.mend import Edit
from underfoot.checking.patch_document import patch_document, plain_value, write_pointer

__all__ = [
    "CannotPatchError",
    "is_same",
    "patch_data",
    "patch_document",
    "plain_value",
    "write_pointer",
]


class CannotPatchError(ValueError):
    """An edit that leads nowhere in the data."""


def patch_data(data: Any, patch: Iterable[Edit]) -> Any:
    """The data after every edit, one after another; what does not change is shared, not copied.

    CannotPatchError where an edit leads nowhere.
    """
    for edit in patch:
        data = _apply(data, edit, edit.path)
    return data


def _apply(data: Any, edit: Edit, way: Sequence[str | int]) -> Any:
    if not way:
        if edit.op == "remove":
            raise CannotPatchError("the whole plan cannot be taken away")
        return edit.value
    part, further = way[0], way[1:]
    if isinstance(data, dict) and isinstance(part, str):
        return _in_mapping(data, edit, part, further)
    if isinstance(data, list) and (part == "-" or (type(part) is int and part >= 0)):
        return _in_list(data, edit, part, further)
    raise CannotPatchError(f"nothing stands at {write_pointer(edit.path)}")


def _in_mapping(
    data: dict[str, Any], edit: Edit, key: str, further: Sequence[str | int]
) -> dict[str, Any]:
    if key not in data and (further or edit.op != "add"):
        raise CannotPatchError(f"nothing stands at {write_pointer(edit.path)}")
    if edit.op == "remove" and not further:
        return {name: value for name, value in data.items() if name != key}
    return {**data, key: _apply(data.get(key), edit, further)}


def _in_list(
    data: list[Any], edit: Edit, part: str | int, further: Sequence[str | int]
) -> list[Any]:
    is_added = edit.op == "add" and not further
    at = len(data) if part == "-" else int(part)
    if at > len(data) or (at == len(data) and not is_added):
        raise CannotPatchError(f"nothing stands at {write_pointer(edit.path)}")
    if is_added:
        return [*data[:at], edit.value, *data[at:]]
    if edit.op == "remove" and not further:
        return [*data[:at], *data[at + 1 :]]
    return [*data[:at], _apply(data[at], edit, further), *data[at + 1 :]]


def is_same(one: Any, other: Any) -> bool:
    """Whether two plain values say the same: 60 is 60.0, but true is not 1."""
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(is_same(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(is_same, one, other))
    return isinstance(one, bool) is isinstance(other, bool) and bool(one == other)
