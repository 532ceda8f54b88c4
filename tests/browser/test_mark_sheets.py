"""Mark sheets and the class's page in a real browser, wide and narrow."""

from __future__ import annotations

from typing import Any

import pytest

from tests.browser.conftest import NARROW, WIDE, OpenPage
from tests.underfoot.marking.demo import FOLDER, RULES, mark_class
from underfoot.marking.pages import page_names, write_class, write_sheet

COMMENTS = (FOLDER / "comments.yaml").read_text("utf-8")
NAMES = ["apprentice-03", "apprentice-05", "apprentice-07", "apprentice-10"]


def runs_over(page: Any) -> list[str]:
    """Whatever reaches past the right edge and cannot be scrolled to."""
    found: list[str] = page.evaluate(
        """() => [...document.querySelectorAll("body *")]
          .filter(one => !one.closest(".scroll, svg") && one.getBoundingClientRect().width
            && one.getBoundingClientRect().right > document.documentElement.clientWidth + 1)
          .map(one => one.tagName + " " + one.className)"""
    )
    return found


@pytest.mark.parametrize("size", [WIDE, NARROW], ids=["wide", "narrow"])
@pytest.mark.parametrize("name", NAMES)
def test_a_sheet_fits_its_window(open_page: OpenPage, name: str, size: dict[str, int]) -> None:
    marks = mark_class(COMMENTS, draws=True)
    (sheet,) = [one for one in marks.sheets if one.name == name]
    page = open_page(write_sheet(marks, sheet, RULES), size)
    assert runs_over(page) == []
    assert page.locator("h1").inner_text() == name
    assert page.locator(".mark strong").is_visible()
    if sheet.counted.is_read:
        drawing = page.locator("svg.room-drawing").bounding_box()
        assert drawing["width"] > 300
        assert drawing["height"] > 200
        reasons = page.locator(".marks tbody tr:not(.topic) td:last-child")
        assert all(reasons.all_inner_texts())


@pytest.mark.parametrize("size", [WIDE, NARROW], ids=["wide", "narrow"])
def test_the_class_fits_its_window_and_leads_to_every_sheet(
    open_page: OpenPage, size: dict[str, int]
) -> None:
    marks = mark_class(COMMENTS, draws=True)
    pages = page_names(marks)
    page = open_page(write_class(marks, RULES, pages), size)
    assert runs_over(page) == []
    links = page.locator(".register a").evaluate_all("all => all.map(a => a.getAttribute('href'))")
    assert links == [f"pages/{pages[sheet.name]}" for sheet in marks.sheets]
    heights = page.locator(".band rect").evaluate_all(
        "all => all.map(one => one.getBoundingClientRect().height)"
    )
    assert len(heights) == 10
    # The tallest band is the one of 90 to 100 percent, six of twelve.
    assert max(heights) == heights[-1] > 80
    pair = page.locator(".pair svg.room-drawing")
    assert pair.count() == 2


def test_on_paper_the_sum_stands_once(open_page: OpenPage) -> None:
    marks = mark_class(COMMENTS, draws=True)
    (sheet,) = [one for one in marks.sheets if one.name == "apprentice-05"]
    page = open_page(write_sheet(marks, sheet, RULES))
    page.emulate_media(media="print")
    # A foot that is a foot would be printed on every page.
    shown = page.locator("tfoot").evaluate("one => getComputedStyle(one).display")
    assert shown == "table-row-group"


def test_on_paper_the_whole_mark_sheet_is_there(open_page: OpenPage) -> None:
    marks = mark_class(COMMENTS, draws=True)
    # A4 across less its edges of 14 mm, at 96 pixels an inch; then the same upright.
    for wide in (297 - 28, 210 - 28):
        size = {"width": round(wide / 25.4 * 96), "height": 700}
        page = open_page(write_class(marks, RULES, page_names(marks)), size)
        page.emulate_media(media="print")
        table = page.locator(".register").bounding_box()
        assert table["x"] + table["width"] <= size["width"] + 1
