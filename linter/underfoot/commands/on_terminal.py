"""How text is set on standard output: as wide as a terminal, and in colours where it shows them."""

import os
import shutil
import sys

from underfoot.reporting.ink import Ink, ink_for, with_links
from underfoot.reporting.layout import WIDTH

# Narrower no text can be set, and wider lines are hard to read.
_NARROWEST = 24
_WIDEST = 100


def width_out(widest: int = _WIDEST) -> int:
    """Return how wide text is set: as the terminal is, within reason; 80 columns anywhere else."""
    if not sys.stdout.isatty():
        return WIDTH
    return min(max(shutil.get_terminal_size().columns, _NARROWEST), widest)


def width_err() -> int:
    """Return how wide text is set on standard error."""
    if not sys.stderr.isatty():
        return WIDTH
    try:
        columns = os.get_terminal_size(sys.stderr.fileno()).columns
    except (OSError, ValueError):
        columns = 0
    return min(max(columns or WIDTH, _NARROWEST), _WIDEST)


def ink_out() -> Ink:
    """Return the colours of standard output, and links where it shows them."""
    is_terminal = sys.stdout.isatty()
    return with_links(ink_for(is_terminal, os.environ), is_terminal, os.environ)


def ink_err() -> Ink:
    """Return the colours of standard error."""
    return ink_for(sys.stderr.isatty(), os.environ)
