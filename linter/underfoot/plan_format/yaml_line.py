"""A value as a plan would write it on one line."""

import json
from typing import Any


def write_inline(value: Any) -> str:
    """A value as a plan would write it on one line."""
    if isinstance(value, dict):
        rows = (f"{key}: {write_inline(inner)}" for key, inner in value.items())
        return "{" + ", ".join(rows) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(write_inline(inner) for inner in value) + "]"
    return value if isinstance(value, str) else json.dumps(value)
