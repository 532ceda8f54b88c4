"""Edits as a JSON Patch (RFC 6902) writes them, with JSON Pointers (RFC 6901)."""

from collections.abc import Iterable, Mapping
from typing import Any

from underfoot.checking.mend import Edit

# A larger whole number may not be what the reader makes of it.
_MOST_WHOLE = 1e15


def write_pointer(path: Iterable[str | int]) -> str:
    """A path as a JSON Pointer: ``/rooms/hall/rows/A/at/0``."""
    return "".join("/" + str(part).replace("~", "~0").replace("/", "~1") for part in path)


def patch_document(patch: Iterable[Edit]) -> list[dict[str, Any]]:
    """A patch as the plain data of a JSON Patch document."""
    return [
        {"op": edit.op, "path": write_pointer(edit.path)}
        | ({} if edit.op == "remove" else {"value": plain_value(edit.value)})
        for edit in patch
    ]


def plain_value(value: Any) -> Any:
    """A value as a person would write it: 60 and not 60.0, lists in place of tuples."""
    if isinstance(value, Mapping):
        return {str(key): plain_value(each) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [plain_value(each) for each in value]
    if isinstance(value, float) and value.is_integer() and abs(value) < _MOST_WHOLE:
        return int(value)
    return value
