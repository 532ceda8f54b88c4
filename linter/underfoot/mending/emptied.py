"""What loses its last part goes with it: nobody leaves an empty list or mapping standing."""

from collections.abc import Sequence
from typing import Any

from underfoot.checking.mend import Edit
from underfoot.mending.patch import patch_data


def take_emptied(data: Any, edits: Sequence[Edit]) -> tuple[Edit, ...]:
    """Return the edits that leave nothing empty that was not so before.

    CannotPatchError where the edits cannot be made. A place in a list is never taken away, since
    those after it would move.
    """
    after = patch_data(data, edits)
    told = tuple(edits)
    for edit in edits:
        above = edit.path[:-1]
        if edit.op != "remove" or not above or not all(isinstance(part, str) for part in above):
            continue
        if _value_at(after, above) not in ({}, []) or not _value_at(data, above):
            continue
        gone = Edit(op="remove", path=above)
        within = [each for each in told if each.path[: len(above)] == above]
        if within == [edit]:
            told = tuple(gone if each is edit else each for each in told)
        elif gone not in told:
            told = (*told, gone)
    return told


def _value_at(data: Any, path: Sequence[str | int]) -> Any:
    for part in path:
        data = data.get(part) if isinstance(data, dict) else None
    return data
