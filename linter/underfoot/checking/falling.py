"""Says where the tool itself fell down."""

from __future__ import annotations

import traceback


def where_it_fell(error: BaseException) -> str:
    """Say kind, place and words of an exception in one line, the same on every machine."""
    frames = traceback.extract_tb(error.__traceback__)
    place = ""
    if frames:
        file = frames[-1].filename.replace("\\", "/").rsplit("/", 2)
        place = f" at {'/'.join(file[-2:])}:{frames[-1].lineno}"
    text = " ".join(str(error).split())
    return f"{type(error).__name__}{place}: {text}" if text else f"{type(error).__name__}{place}"
