"""An edit of a whole list or mapping -> the edits of what differs in it."""

from collections.abc import Iterator
from typing import Any

from msgspec.structs import replace

from underfoot.checking.mend import Edit
from underfoot.mending.patch import is_same, plain_value

Path = tuple[str | int, ...]


def split_edit(data: Any, edit: Edit) -> Iterator[Edit]:
    """Yield the edits, one after another, that change no more than differs.

    `data` is the plan before the edit, in which the edit can be made.
    """
    holder = data
    for part in edit.path[:-1]:
        holder = holder[part]
    last = edit.path[-1] if edit.path else None
    if isinstance(holder, list) and last == "-":
        edit = replace(edit, path=(*edit.path[:-1], len(holder)))
    edit = replace(edit, value=plain_value(edit.value))
    is_new = edit.op == "add" and (isinstance(holder, list) or last not in holder)
    if edit.op == "remove" or is_new:
        yield edit
    else:
        yield from _changes(data if last is None else holder[last], edit.value, edit.path)


def _changes(old: Any, new: Any, path: Path) -> Iterator[Edit]:
    if is_same(old, new):
        return
    if isinstance(old, dict) and isinstance(new, dict) and old and new:
        yield from _changes_of_mapping(old, new, path)
    elif isinstance(old, list) and isinstance(new, list) and old and new:
        yield from _changes_of_list(old, new, path)
    else:
        yield Edit(op="replace", path=path, value=new)


def _changes_of_mapping(old: dict[str, Any], new: dict[str, Any], path: Path) -> Iterator[Edit]:
    for key, value in new.items():
        if key in old:
            yield from _changes(old[key], value, (*path, key))
    # What is new comes before what goes, so that the mapping is never empty.
    for key, value in new.items():
        if key not in old:
            yield Edit(op="add", path=(*path, key), value=value)
    for key in old:
        if key not in new:
            yield Edit(op="remove", path=(*path, key))


def _changes_of_list(old: list[Any], new: list[Any], path: Path) -> Iterator[Edit]:
    shorter = min(len(old), len(new))
    head = next((at for at in range(shorter) if not is_same(old[at], new[at])), shorter)
    tail = next(
        (at for at in range(shorter - head) if not is_same(old[-1 - at], new[-1 - at])),
        shorter - head,
    )
    both = shorter - tail
    for at in range(head, both):
        yield from _changes(old[at], new[at], (*path, at))
    for at in range(both, len(new) - tail):
        yield Edit(op="add", path=(*path, at), value=new[at])
    for at in reversed(range(both, len(old) - tail)):
        yield Edit(op="remove", path=(*path, at))
