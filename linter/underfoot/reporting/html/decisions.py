"""What a reviewer decided about each finding, as the page shows it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from underfoot.checking.report import ReportedFinding

# A finding is the same in every revision while its rule, room and items are.
Identity = tuple[str, str | None, tuple[str, ...]]


def identity_of(finding: ReportedFinding) -> Identity:
    """Give what makes a finding the same one in another revision."""
    return (finding.rule, finding.room, finding.items)


@dataclass(frozen=True, slots=True)
class Decision:
    """One decision: what was decided in a word or two, why, by whom and when.

    `note` is what a reader must know besides, such as that the plan has changed since.
    """

    decided: str
    reason: str = ""
    by: str = ""
    on: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Decisions:
    """The decisions on one plan: on each finding by its identity, and on the whole."""

    findings: Mapping[Identity, Decision] = field(default_factory=dict)
    overall: Decision | None = None


UNDECIDED = Decisions()
