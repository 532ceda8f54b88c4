"""What a command cannot do."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from underfoot.checking.report import PlanReport


class CommandError(Exception):
    """Ends a command with one line on standard error and status 2."""


class UnreadError(CommandError):
    """Ends a command that needs a file which cannot be read; `report` says why not."""

    def __init__(self, report: PlanReport) -> None:
        super().__init__(report)
        self.report = report

    def __str__(self) -> str:
        return "; ".join(
            f"{one.file or self.report.path}:{one.line}:{one.column}: {one.message}"
            for one in self.report.problems
        )
