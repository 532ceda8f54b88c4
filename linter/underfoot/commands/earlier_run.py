"""An earlier run that a check is held against (`--known`)."""

from __future__ import annotations

import os
from collections.abc import Sequence
from typing import TYPE_CHECKING

from underfoot.checking.earlier import Holding
from underfoot.commands.output_files import say
from underfoot.commands.outputs import find_path_base
from underfoot.running.errors import CommandError
from underfoot.running.plan_files import PlanFile, display_path
from underfoot.running.taking_in import take_in_option

if TYPE_CHECKING:
    from underfoot.reporting.earlier import Earliers

# A report of some ten thousand plans.
_LONGEST_KNOWN = 500_000_000


def _read_earlier(place: str) -> Earliers:
    from underfoot.reporting.earlier import EarlierReportError, read_earlier

    source = take_in_option(place, "--known", _LONGEST_KNOWN)
    try:
        return read_earlier(source)
    except EarlierReportError as error:
        raise CommandError(f"--known {place}: {error}") from None


def hold_against(place: str, files: Sequence[PlanFile], root: str | None) -> Holding:
    """Read what an earlier run wrote, to hold these plans against it; CommandError."""
    report = _read_earlier(place)
    earlier, from_top = report.plans, report.from_top
    told = find_path_base(root)
    top = (told.top or "") if from_top else ""
    name = told.path if from_top else str
    absent = {
        path for path in earlier if path != "-" and not os.path.exists(os.path.join(top, path))
    }
    may_have_moved = from_top and absent
    met = any(name(file.path) in earlier for file in files)
    if earlier and files and not met and not may_have_moved:
        say(
            f"--known {place}: none of its plans is checked here; plans are matched by the path "
            "that the report gives them"
        )
    return Holding(earlier, display_path(place), absent, name)
