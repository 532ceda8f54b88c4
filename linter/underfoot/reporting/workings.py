"""How something was worked out, where much of it stood under a finding above."""

from collections.abc import Sequence

from underfoot.checking.report import ReportedFinding

Rows = Sequence[tuple[str, str]]

# So many rows that stood above are only pointed to.
_FEWEST_TOLD = 4


def shorten_working(finding: ReportedFinding, told: list[ReportedFinding]) -> list[tuple[str, str]]:
    """Return a finding's working, rows that stood under one of those `told` before put into one.

    The finding is one of them from then on.
    """
    rows: list[tuple[str, str]] = []
    details: Rows = finding.details
    while details:
        many, number = max(
            ((_count_told(details, each.details), -each.number) for each in told), default=(0, 0)
        )
        if many >= _FEWEST_TOLD:
            rows.append((f"{details[0][0]} to {details[many - 1][0]}", f"as under {-number}"))
        else:
            many = 1
            rows.append(details[0])
        details = details[many:]
    if finding.details:
        told.append(finding)
    return rows


def _count_told(details: Rows, told: Rows) -> int:
    """Count with how many rows of what was told a working begins."""
    return next((at for at, row in enumerate(details) if row not in told), len(details))
