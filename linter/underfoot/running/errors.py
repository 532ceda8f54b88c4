"""What a command cannot do, said in one line."""

from __future__ import annotations


class CommandError(Exception):
    """Ends a command with one line on standard error and status 2."""
