"""What changes on the disk, by real path: below the folder, and of files that plans stand on."""

import asyncio
import os
from collections.abc import AsyncIterator, Collection
from pathlib import Path

from watchfiles import Change, awatch

# What is saved in several steps counts once; more would be felt.
_DEBOUNCE_MS = 60
_STEP_MS = 20


def is_of_interest(path: str, root: str) -> bool:
    """Tell whether a change may matter: of YAML files and of folders, but for what is hidden."""
    whole = Path(path)
    below = whole.relative_to(root) if whole.is_relative_to(root) else Path(whole.name)
    if any(part.startswith(".") for part in below.parts):
        return False
    ending = os.path.splitext(path)[1].lower()
    return (
        ending in (".yaml", ".yml") or os.path.isdir(path) or not (ending or os.path.exists(path))
    )


async def watch(
    folders: Collection[str], root: str, stop: asyncio.Event, *, deep: bool
) -> AsyncIterator[set[str]]:
    """Yield the paths that changed since the last time, until `stop` is set."""

    def keeps(change: Change, path: str) -> bool:
        return is_of_interest(path, root)

    async for changes in awatch(
        *sorted(folders),
        watch_filter=keeps,
        debounce=_DEBOUNCE_MS,
        step=_STEP_MS,
        stop_event=stop,
        recursive=deep,
        ignore_permission_denied=True,
    ):
        yield {path for _, path in changes}
