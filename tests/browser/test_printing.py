"""The page on paper: whole, with the caution, and with room for a signature."""

import re
from typing import Any

import pytest

from tests.browser.conftest import NARROW, OpenPage
from tests.browser.expecting import expect, finding
from tests.underfoot.page.pages import examine_demo, page_of


@pytest.fixture(scope="module")
def folder() -> str:
    """The page of two plans."""
    return page_of(examine_demo("hobby-room"), examine_demo("attic"))


def pages_of(pdf: bytes) -> int:
    """Count the pages of a PDF."""
    return len(re.findall(rb"/Type\s*/Page\b", pdf))


def on_paper(page: Any) -> None:
    """Show the page as it is printed."""
    page.evaluate("window.dispatchEvent(new Event('beforeprint'))")
    page.emulate_media(media="print")


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_record_is_whole_on_paper(open_page: OpenPage, scheme: str) -> None:
    page = open_page(page_of(examine_demo("hobby-room")), color_scheme=scheme)
    page.get_by_label("errors").uncheck()
    finding(page, 12)
    on_paper(page)
    # What was hidden on the screen is printed all the same.
    assert page.locator(".finding:visible").count() == 16
    assert page.locator(".balloon:visible").count() == 5
    assert page.locator(".ring:visible").count() == 0
    expect(page.locator(".record")).to_be_visible()
    expect(page.locator(".signing")).to_contain_text("Signature")
    expect(page.locator(".checked-rules")).to_be_visible()
    # Every line is open, and says what to do.
    assert page.locator(".finding-body:visible").count() == 16
    expect(page.locator(".key .circuits")).to_be_visible()
    expect(page.locator(".record .caution-words")).to_contain_text("licensed electrician")
    for gone in (".sift", ".tools", ".caution", ".rules", ".look", ".print-plan", ".explain"):
        assert page.locator(f"{gone}:visible").count() == 0
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"
    colour = page.locator(".message").first.evaluate("each => getComputedStyle(each).color")
    assert colour == "rgb(0, 0, 0)"


@pytest.mark.parametrize("more", [{}, {"java_script_enabled": False}], ids=["", "no scripts"])
@pytest.mark.parametrize("name", ["hobby-room", "sun-room"])
def test_it_prints_on_three_sheets(open_page: OpenPage, name: str, more: dict[str, bool]) -> None:
    page = open_page(page_of(examine_demo(name)), **more)
    # 16 findings; the longest reckonings.
    assert 2 <= pages_of(page.pdf(prefer_css_page_size=True)) <= 3
    page.emulate_media(media="print")
    page.set_viewport_size({"width": 680, "height": 960})
    record = page.locator(".record").bounding_box()
    assert record["y"] + record["height"] < 960
    assert page.locator(".finding-body dd:visible").count() > 10


# Lettering of a legend in pixels of print, from the scale of its drawing.
LETTERING = """(room) => Math.min(...[...room.querySelectorAll(".sheet text")].map(
  each => each.getScreenCTM().a * parseFloat(getComputedStyle(each).fontSize)))"""


@pytest.mark.parametrize("name", ["flat", "linen-room"])
def test_of_several_rooms_each_has_its_legend_beside_its_drawing(
    open_page: OpenPage, name: str
) -> None:
    page = open_page(page_of(examine_demo(name)))
    assert pages_of(page.pdf(prefer_css_page_size=True)) <= 3
    # The paper between its margins: 180 mm of 96 pixels to the inch.
    page.set_viewport_size({"width": 680, "height": 960})
    on_paper(page)
    rooms = page.locator(".room")
    assert rooms.count() in (3, 4)
    for room in rooms.all():
        assert room.evaluate("each => getComputedStyle(each).breakInside") == "avoid"
        box = room.bounding_box()
        drawing = room.locator(".view svg").bounding_box()
        legend = room.locator(".sheet svg").first.bounding_box()
        assert drawing["y"] - 3 <= legend["y"] < drawing["y"] + drawing["height"]
        assert legend["x"] >= drawing["x"] + drawing["width"]
        assert legend["x"] + legend["width"] <= box["x"] + box["width"]
        # 5 pt, 1.8 mm, and more.
        assert room.evaluate(LETTERING) >= 6.7


def test_a_phone_prints_the_same_record(open_page: OpenPage) -> None:
    text = page_of(examine_demo("nursery"))
    wide = pages_of(open_page(text).pdf(prefer_css_page_size=True))
    assert pages_of(open_page(text, NARROW).pdf(prefer_css_page_size=True)) == wide


def test_closed_plans_stand_in_the_register_alone(open_page: OpenPage, folder: str) -> None:
    page = open_page(folder)
    page.locator("#plan-1 summary").first.click()
    expect(page.locator("#plan-1 .view svg")).to_be_visible()
    on_paper(page)
    expect(page.locator(".register")).to_be_visible()
    expect(page.locator("#plan-1 .record")).to_be_visible()
    expect(page.locator("#plan-2")).to_be_hidden()
    expect(page.locator(".register")).to_contain_text("open on the screen are printed in full")


def test_one_plan_is_printed_by_itself(open_page: OpenPage, folder: str) -> None:
    page = open_page(folder)
    page.evaluate("window.print = () => { window.printed = true; }")
    page.get_by_role("button", name="Open all plans").click()
    page.locator("#plan-2").scroll_into_view_if_needed()
    page.locator("#plan-2 [data-print]").click()
    assert page.evaluate("window.printed")
    on_paper(page)
    expect(page.locator("#plan-2 .record")).to_be_visible()
    expect(page.locator("#plan-1")).to_be_hidden()
    expect(page.locator(".register")).to_be_hidden()
    page.evaluate("window.dispatchEvent(new Event('afterprint'))")
    expect(page.locator("#plan-1")).to_be_visible()
