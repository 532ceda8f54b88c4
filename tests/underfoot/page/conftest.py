"""Pages that several tests read, each made once."""

import pytest

from tests.underfoot.page.pages import (
    examine_demo,
    examine_text,
    hostile_plan,
    hostile_report,
    page_of,
    page_of_drawn,
)
from underfoot.page import draw_plan


@pytest.fixture(scope="session")
def kitchen() -> str:
    """The page of the demo kitchen."""
    return page_of(examine_demo("kitchen"))


@pytest.fixture(scope="session")
def folder() -> str:
    """The page of three plans."""
    return page_of(*(examine_demo(name) for name in ("kitchen", "flat", "annexe/day-room")))


@pytest.fixture(scope="session")
def hostile() -> str:
    """The page of a hostile plan and a hostile report."""
    return page_of_drawn([draw_plan(examine_text(hostile_plan())), hostile_report()])
