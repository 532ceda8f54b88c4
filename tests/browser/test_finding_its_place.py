"""A click on a finding lights its place, and back; by keyboard as well."""

import re
from typing import Any

import pytest

from tests.browser.conftest import NARROW, WIDE, OpenPage
from tests.browser.expecting import expect, finding
from tests.underfoot.page.pages import PLANS, examine_demo, examine_text, page_of


@pytest.fixture(scope="module")
def hobby_room() -> str:
    """The page of the demo plan with most findings."""
    return page_of(examine_demo("hobby-room"))


def lit_numbers(page: Any) -> set[str]:
    """The numbers of the findings lit in the drawing."""
    return set(
        page.locator(".view .is-lit[data-finding]").evaluate_all(
            "marks => marks.map(mark => mark.dataset.finding)"
        )
    )


def test_a_click_on_a_finding_lights_its_place(open_page: OpenPage, hobby_room: str) -> None:
    page = open_page(hobby_room)
    line = page.locator('.finding[data-number="4"]')
    expect(line.locator(".about")).to_be_hidden()
    line.locator(".message").click()
    expect(line).to_have_class(re.compile("is-lit"))
    expect(line.locator(".about")).to_be_visible()
    assert lit_numbers(page) == {"4"}
    expect(page.locator(".view")).to_be_in_viewport()
    # Strip A4 is ringed over all that lies beside it.
    assert page.locator(".view svg > .ring").count() >= 1
    expect(page.locator(".lit-words")).to_contain_text("Finding 4, error hobby-room · A4")
    fifth = finding(page, 5)
    assert lit_numbers(page) == {"5"}
    expect(line).not_to_have_class(re.compile("is-lit"))
    # What is open already is lit by a click on it, or on its link.
    line.locator("dd").first.click()
    assert lit_numbers(page) == {"4"}
    fifth.locator(".locate").click()
    assert lit_numbers(page) == {"5"}
    expect(fifth.locator(".locate")).to_have_attribute("aria-current", "true")
    page.keyboard.press("Escape")
    assert lit_numbers(page) == set()
    assert page.locator(".ring").count() == 0
    # Closing it puts it out, too.
    line.locator("dd").first.click()
    line.locator("summary").first.click()
    expect(line.locator(".about")).to_be_hidden()
    assert lit_numbers(page) == set()


def test_one_starts_with_what_is_worst(open_page: OpenPage, hobby_room: str) -> None:
    page = open_page(hobby_room)
    page.get_by_role("link", name="No RCD is given for circuit C1.").click()
    ninth = page.locator('.finding[data-number="9"]')
    expect(ninth.locator("summary").first).to_be_focused()
    expect(ninth.locator(".about")).to_be_visible()
    expect(ninth).to_have_class(re.compile("is-lit"))
    assert page.locator(".view svg > .ring").count() == 6  # the strips of C1


@pytest.mark.parametrize("size", [WIDE, {"width": 1280, "height": 720}, NARROW])
def test_a_drawing_is_no_taller_than_the_screen(
    open_page: OpenPage, hobby_room: str, size: dict[str, int]
) -> None:
    page = open_page(hobby_room, size)
    bar = page.locator("aside.caution").bounding_box()
    view = page.locator(".view").bounding_box()
    assert view["height"] < bar["y"]
    if size is not NARROW:
        # All of it is seen at once, beside the findings, and stays while they are read.
        assert view["y"] + view["height"] < bar["y"]
        page.evaluate("window.scrollTo(0, document.querySelector('.checked').offsetTop - 900)")
        stays = page.locator(".view").bounding_box()
        assert 0 < stays["y"] < view["y"]
        assert stays["y"] + stays["height"] < bar["y"]


def test_a_click_on_a_finding_of_a_circuit_lights_its_strips(open_page: OpenPage) -> None:
    page = open_page(page_of(examine_demo("kitchen")))
    line = page.locator('.finding[data-rule="circuit-current"]')
    line.locator(".message").click()
    expect(line).to_have_class(re.compile("is-lit"))
    # Nine strips, all on C1; no ring runs through lettering.
    assert page.locator(".view svg > .ring").count() == 9
    assert page.locator(".view svg > g:has(.label) ~ .ring").count() == 0
    expect(page.locator(".lit-words")).to_contain_text("error C1")
    expect(page.locator('[data-zoom="place"]')).to_be_disabled()
    page.locator(".to-finding").click()
    expect(line.locator("summary").first).to_be_focused()
    page.keyboard.press("Escape")
    assert page.locator(".ring").count() == 0


def test_a_circuit_in_two_rooms_is_lit_in_both(open_page: OpenPage) -> None:
    text = (PLANS / "flat.yaml").read_text("utf-8")
    # The bedroom's strips join those of the living room on C1, which then has too many.
    page = open_page(page_of(examine_text(text.replace("circuit: C3", "circuit: C1"))))
    page.locator('.finding[data-circuits*="C1"]').first.locator(".message").click()
    assert page.locator('.room[data-room="1"] .ring').count() == 4
    assert page.locator('.room[data-room="2"] .ring').count() == 6


def test_a_click_in_the_drawing_leads_to_the_finding(open_page: OpenPage, hobby_room: str) -> None:
    page = open_page(hobby_room)
    page.locator('.balloon[data-finding="12"]').click()
    line = page.locator('.finding[data-number="12"]')
    expect(line).to_have_class(re.compile("is-lit"))
    expect(line.locator(".about")).to_be_in_viewport()
    expect(line.locator("summary").first).to_be_focused()


def test_all_of_it_goes_by_keyboard(open_page: OpenPage, hobby_room: str) -> None:
    page = open_page(hobby_room)
    page.locator(".view").focus()
    page.keyboard.press("Tab")
    balloons = page.locator(".balloon")
    expect(balloons.nth(0)).to_be_focused()
    page.keyboard.press("ArrowRight")
    expect(balloons.nth(1)).to_be_focused()
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("ArrowLeft")
    expect(balloons.nth(balloons.count() - 1)).to_be_focused()
    page.keyboard.press("Home")
    number = balloons.nth(0).get_attribute("data-finding")
    page.keyboard.press("Enter")
    line = page.locator(f'.finding[data-number="{number}"]')
    expect(line.locator("summary").first).to_be_focused()
    expect(balloons.nth(0)).to_have_attribute("aria-pressed", "true")
    assert lit_numbers(page) == {number}
    page.keyboard.press("Escape")
    assert lit_numbers(page) == set()
    # From its line to its place, and on to what else there is.
    page.keyboard.press("Tab")
    expect(line.locator(".locate")).to_be_focused()
    page.keyboard.press("Enter")
    assert lit_numbers(page) == {number}


def test_the_drawing_grows_and_moves_by_keys_and_buttons(
    open_page: OpenPage, hobby_room: str
) -> None:
    page = open_page(hobby_room)
    view = page.locator(".view")
    whole = view.locator("svg").bounding_box()["width"]
    view.focus()
    for _ in range(4):
        page.keyboard.press("+")
    # 1.4 to the fourth power is 3.84.
    assert view.locator("svg").bounding_box()["width"] == pytest.approx(3.8416 * whole, rel=0.01)
    before = view.evaluate("view => view.scrollLeft")
    page.keyboard.press("ArrowRight")
    assert view.evaluate("view => view.scrollLeft") == pytest.approx(before + 60, abs=1)
    page.keyboard.press("0")
    assert view.locator("svg").bounding_box()["width"] == pytest.approx(whole, abs=1)
    page.get_by_role("button", name="Larger").click()
    assert view.locator("svg").bounding_box()["width"] == pytest.approx(1.4 * whole, rel=0.01)
    page.get_by_role("button", name="The whole room").click()
    assert view.locator("svg").bounding_box()["width"] == pytest.approx(whole, abs=1)


def test_a_mouse_drags_what_was_enlarged(open_page: OpenPage, hobby_room: str) -> None:
    page = open_page(hobby_room)
    view = page.locator(".view")
    for _ in range(4):
        page.get_by_role("button", name="Larger").click()
    box = view.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    before = view.evaluate("view => [view.scrollLeft, view.scrollTop]")
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x - 50, y - 30, steps=4)
    page.mouse.up()
    after = view.evaluate("view => [view.scrollLeft, view.scrollTop]")
    assert after[0] - before[0] == pytest.approx(50, abs=3)
    assert after[1] - before[1] == pytest.approx(30, abs=3)
    # A drag is no click.
    assert lit_numbers(page) == set()


def test_the_place_is_enlarged_and_in_the_middle(open_page: OpenPage, hobby_room: str) -> None:
    page = open_page(hobby_room)
    finding(page, 4)
    page.get_by_role("button", name="To the place").click()
    fault = page.locator('.fault[data-finding="4"]').bounding_box()
    view = page.locator(".view").bounding_box()
    assert abs(fault["x"] + fault["width"] / 2 - view["x"] - view["width"] / 2) < view["width"] / 4
    assert fault["y"] >= view["y"]
    assert fault["y"] + fault["height"] <= view["y"] + view["height"]


def test_on_a_phone_one_goes_there_and_back(open_page: OpenPage, hobby_room: str) -> None:
    page = open_page(hobby_room, NARROW)
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    line = page.locator('.finding[data-number="12"]')
    line.locator("summary").first.click()
    # To open it is not to be taken away from it.
    expect(line.locator(".about")).to_be_in_viewport()
    line.locator(".locate").click()
    expect(page.locator(".view")).to_be_in_viewport()
    expect(line.locator(".about")).not_to_be_in_viewport()
    page.get_by_role("button", name="To the finding").click()
    expect(line.locator(".about")).to_be_in_viewport()


def test_a_finding_of_another_room_shows_that_room(open_page: OpenPage) -> None:
    page = open_page(page_of(examine_demo("flat")))
    rooms = page.locator(".room")
    assert rooms.count() == 4
    expect(rooms.nth(0)).to_be_visible()
    expect(rooms.nth(2)).to_be_hidden()
    page.get_by_role("group", name="Room shown").get_by_role("button", name="hall").click()
    expect(rooms.nth(2)).to_be_visible()
    expect(rooms.nth(0)).to_be_hidden()


def test_a_rule_unfolds_where_it_is_asked_for(open_page: OpenPage, hobby_room: str) -> None:
    page = open_page(hobby_room)
    explained = finding(page, 5).locator(".explain")
    explained.locator("summary").click()
    expect(explained).to_contain_text("Putting it right")
    expect(explained).to_contain_text("Finds a strip whose length")
    assert explained.locator("pre").count() == 2


def test_a_finding_stands_beside_its_sign(open_page: OpenPage) -> None:
    page = open_page(page_of(examine_demo("guest-room")), NARROW)
    sign = page.locator(".finding .sign").first.bounding_box()
    about = page.locator(".finding h4").first.bounding_box()
    assert about["x"] >= sign["x"] + sign["width"]
    assert about["y"] < sign["y"] + sign["height"]


def test_a_phone_shows_enough_of_a_sentence_and_breaks_no_word_of_a_table(
    open_page: OpenPage,
) -> None:
    page = open_page(page_of(examine_demo("playroom")), NARROW)
    page.evaluate("document.querySelectorAll('details').forEach(each => { each.open = true; })")
    page.locator(".finding-sheet").nth(1).evaluate("each => { each.open = false; }")
    line = (
        page.locator(".finding h4")
        .nth(1)
        .evaluate("each => each.clientHeight / parseFloat(getComputedStyle(each).lineHeight)")
    )
    assert 1.9 < line < 2.1
    tables = page.locator(".wide-table")
    assert tables.count() >= 3
    # A word that is broken gives its cell more lines than it has words.
    broken = tables.evaluate_all(
        """tables => tables.flatMap(table => [...table.querySelectorAll("th, td")]).filter(cell => {
          const words = document.createRange();
          words.selectNodeContents(cell);
          const tops = new Set([...words.getClientRects()].map(box => Math.round(box.top / 4)));
          return tops.size > Math.max(2, cell.textContent.trim().split(/[\\s-]+/).length + 1);
        }).map(cell => cell.textContent)"""
    )
    assert broken == []
    for told in ("Reason until the worktop is moved", "Agreed by design lead"):
        first, _, rest = told.partition(" until" if "until" in told else " design")
        cell = page.locator(f".waivers td[data-head='{first}']").first
        expect(cell).to_contain_text(rest.strip())
        assert cell.bounding_box()["x"] + cell.bounding_box()["width"] <= NARROW["width"]
    limit = page.locator(".limits tbody tr").first
    for cell in limit.locator("th, td").all():
        assert cell.bounding_box()["x"] + cell.bounding_box()["width"] <= NARROW["width"]


@pytest.mark.parametrize("size", [WIDE, NARROW], ids=["wide", "narrow"])
def test_without_scripts_every_room_is_seen_whole(
    open_page: OpenPage, size: dict[str, int]
) -> None:
    page = open_page(page_of(examine_demo("flat")), size, java_script_enabled=False)
    # Scripts of the page are off; what is asked from outside still runs.
    hidden = "each => each.scrollHeight - each.clientHeight"
    assert page.locator(".view").count() == 4
    for view in page.locator(".view").all():
        assert view.evaluate(hidden) <= 1
        assert view.locator("svg").bounding_box()["height"] <= size["height"]
    assert page.locator(".rooms").evaluate(hidden) <= 1
