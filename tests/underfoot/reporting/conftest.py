"""The report of a whole run, in the forms that tests of them look at."""

from typing import Any

import pytest

from tests.underfoot.reporting.reports import ALL
from tests.underfoot.reporting.sarif_run import run_of


@pytest.fixture(scope="module")
def run() -> dict[str, Any]:
    return run_of(ALL)
