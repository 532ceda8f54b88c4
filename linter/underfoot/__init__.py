"""Checks plans of electric floor heating laid as film before a roll is cut.

For programs: `check` reads and checks plans and returns a `Report`. What it is made of is imported
when it is first asked for, so that ``import underfoot`` costs next to nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from underfoot.checking.exit_status import exit_status
    from underfoot.checking.report import PlanReport, Report, ReportedFinding
    from underfoot.from_python import CannotCheckError, PlanText, check
    from underfoot.reading.problem import Problem

__version__ = "0.1.0"

__all__ = [
    "CannotCheckError",
    "PlanReport",
    "PlanText",
    "Problem",
    "Report",
    "ReportedFinding",
    "__version__",
    "check",
    "exit_status",
]

_MODULES = {
    "CannotCheckError": "from_python",
    "PlanReport": "checking.report",
    "PlanText": "from_python",
    "Problem": "reading.problem",
    "Report": "checking.report",
    "ReportedFinding": "checking.report",
    "check": "from_python",
    "exit_status": "checking.exit_status",
}


def __getattr__(name: str) -> object:
    """Import what is asked for, once."""
    if name not in _MODULES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    value: object = getattr(import_module(f"{__name__}.{_MODULES[name]}"), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    """List what there is, imported or not."""
    return sorted({*globals(), *_MODULES})
