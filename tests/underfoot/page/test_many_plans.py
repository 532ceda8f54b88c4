"""The page of more plans than are drawn: what is not shown is not kept, either."""

import re

import pytest

from tests.underfoot.page.pages import examine_demo, standard_sets
from tests.underfoot.reporting.reports import VERSION
from underfoot.checking.report import ReportedFinding
from underfoot.checking.summing import Summary
from underfoot.page import HtmlWriter, draw_plan
from underfoot.page import page as page_module
from underfoot.reporting import templates

# The second and the last are the gravest; the first makes room for the last.
NAMES = ("kitchen", "hobby-room", "attic", "study")


@pytest.fixture
def few(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(page_module, "PAGE_PLANS_ALL_DRAWN", 2)
    monkeypatch.setattr(page_module, "PAGE_PLANS_DRAWN", 2)


def write_page() -> tuple[list[int], list[str]]:
    """How many plans were kept after each, and the pieces of the page."""
    writer = HtmlWriter([rule for one in standard_sets() for rule in one.rules], len(NAMES))
    list(writer.begin(Summary(version=VERSION)))
    drawn = [draw_plan(examine_demo(name)) for name in NAMES]
    kept = []
    for each in drawn:
        list(writer.add(each.report, each))
        kept.append(sum(part is not None for part in writer.parts))
    briefs = [each.report.in_brief for each in drawn]
    assert sorted(briefs, key=lambda each: -each.counts.error)[:2] == [briefs[1], briefs[3]]
    return kept, list(writer.end(Summary(version=VERSION, plans=briefs)))


@pytest.mark.usefixtures("few")
def test_a_plan_that_makes_room_for_a_graver_one_is_let_go() -> None:
    kept, pieces = write_page()
    page = "".join(pieces)
    assert kept == [1, 2, 2, 2]
    assert re.findall(r'<article class="plan" id="plan-([0-9])"', page) == ["2", "4"]
    assert page.count("<tr data-plan=") == len(NAMES)
    # Only what was found in plans that are shown is explained.
    found = {each.rule for name in ("hobby-room", "study") for each in _findings(name)}
    assert set(re.findall(r'id="rule-([a-z-]+)"', page)) == found


@pytest.mark.usefixtures("few")
def test_the_register_is_never_held_as_a_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    _, pieces = write_page()
    monkeypatch.setattr(templates, "_PIECE", 100)
    _, smaller = write_page()
    assert "".join(smaller) == "".join(pieces)
    assert len(smaller) > len(pieces) + len(NAMES)
    register = [each for each in smaller if "<tr data-plan=" in each]
    assert len(register) >= len(NAMES)
    assert all(each.endswith("\n") for each in register)


def _findings(name: str) -> tuple[ReportedFinding, ...]:
    return examine_demo(name).report.findings
