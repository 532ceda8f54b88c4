"""Mark sheets and the class's page in a real browser, wide and narrow."""

import re
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


DARK = "rgb(30, 34, 38)"


# The words whose contrast with the ground behind them is below 4.5 to 1.
FAINT = """() => {
  const parts = colour => colour.match(/[0-9.]+/g).map(Number);
  const light = colour => parts(colour).slice(0, 3).map(v => v / 255)
    .map(v => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4)
    .reduce((sum, v, at) => sum + v * [0.2126, 0.7152, 0.0722][at], 0);
  const ground = one => {
    for (; one; one = one.parentElement) {
      const colour = getComputedStyle(one).backgroundColor;
      if (parts(colour)[3] !== 0) return colour;
    }
    return "rgb(255, 255, 255)";
  };
  const faint = [];
  for (const one of document.querySelectorAll("body *")) {
    const own = [...one.childNodes].some(node => node.nodeType === 3 && node.data.trim());
    if (!own || one.closest("svg") || !one.getClientRects().length) continue;
    const [a, b] = [light(getComputedStyle(one).color), light(ground(one))];
    const contrast = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
    if (contrast < 4.5) faint.push(one.outerHTML.slice(0, 80));
  }
  return faint;
}"""


@pytest.mark.parametrize("size", [WIDE, NARROW], ids=["wide", "narrow"])
def test_the_pages_have_a_dark_look(open_page: OpenPage, size: dict[str, int]) -> None:
    marks = mark_class(COMMENTS, draws=True)
    sheet = marks.sheets[4]
    for text in (write_sheet(marks, sheet, RULES), write_class(marks, RULES, page_names(marks))):
        page = open_page(text, size, color_scheme="dark")
        ground = "one => getComputedStyle(one).backgroundColor"
        assert page.locator("body").evaluate(ground) == DARK
        # Every word stands out from what lies behind it, drawings aside: they are paper.
        assert page.evaluate(FAINT) == []
        # Paper is white, whatever the screen is.
        page.emulate_media(media="print", color_scheme="dark")
        assert page.locator("body").evaluate(ground) == "rgb(255, 255, 255)"


def test_on_a_phone_the_class_table_needs_no_scrolling_and_bars_have_one_foot(
    open_page: OpenPage,
) -> None:
    marks = mark_class(COMMENTS, draws=True)
    page = open_page(write_class(marks, RULES, page_names(marks)), NARROW)
    scrolled = "one => one.scrollWidth - one.clientWidth"
    assert page.locator(".scroll").evaluate(scrolled) <= 1
    feet = page.locator(".band svg").evaluate_all(
        "all => all.map(one => one.getBoundingClientRect().bottom)"
    )
    assert max(feet) - min(feet) < 0.5
    # Each figure says what it is of, as no head of a column does so here.
    cells = page.locator(".register tbody tr:first-child td.figure[data-of]")
    said = cells.evaluate_all("all => all.map(one => getComputedStyle(one, '::before').content)")
    assert said[0] == '"strips"'
    assert '"none"' not in said


def test_a_class_needs_few_sheets_of_paper(open_page: OpenPage) -> None:
    marks = mark_class(COMMENTS, draws=True)
    page = open_page(write_class(marks, RULES, page_names(marks)))
    paper = page.pdf(prefer_css_page_size=True)
    assert len(re.findall(rb"/Type\s*/Page[^s]", paper)) <= 4
