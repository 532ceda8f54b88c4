"""A report arrives from another process as it was sent."""

import pickle

import numpy as np
import pytest
from msgspec.structs import replace

from tests.underfoot.reporting.reports import ATTIC, KITCHEN
from underfoot.checking.report import Measure, PlanReport, ReportedFinding

FINDING = KITCHEN.findings[0]


def measured(value: float) -> ReportedFinding:
    return replace(FINDING, measured=Measure(value=value, unit="mm"))


@pytest.mark.parametrize(
    "report",
    [
        KITCHEN,
        ATTIC,
        replace(ATTIC, path="attic-\udce9.yaml"),
        replace(KITCHEN, findings=(measured(2**70),)),
        replace(KITCHEN, findings=(measured(np.float64(0.1)),)),
        replace(KITCHEN, findings=(measured(0.1 + 0.2),)),
    ],
)
def test_what_arrives_is_what_was_sent(report: PlanReport) -> None:
    arrived = pickle.loads(pickle.dumps(report))
    assert arrived == report
    assert repr(arrived) == repr(report)
