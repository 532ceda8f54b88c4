"""What is ticked is shown: severities, rules, layers, and plans of a folder."""

import pytest

from tests.browser.conftest import OpenPage
from tests.browser.expecting import expect
from tests.underfoot.page.pages import examine_demo, page_of


@pytest.fixture(scope="module")
def folder() -> str:
    """The page of four plans."""
    names = ("hobby-room", "nursery", "guest-room", "attic")
    return page_of(*(examine_demo(name) for name in names))


def test_a_severity_goes_from_list_and_drawing(open_page: OpenPage) -> None:
    page = open_page(page_of(examine_demo("hobby-room")))
    assert page.locator(".finding:visible").count() == 16
    page.get_by_label("errors").uncheck()
    # 11 of its 16 findings are errors.
    assert page.locator(".finding:visible").count() == 5
    expect(page.locator("#shown")).to_have_text("5 of 16 findings shown")
    expect(page.locator(".hidden-words")).to_contain_text("11 of 16 not shown")
    assert page.locator('.balloon[data-severity="error"]:visible').count() == 0
    expect(page.locator('.balloon[data-severity="warning"]')).to_be_visible()
    page.get_by_label("errors").check()
    assert page.locator(".finding:visible").count() == 16
    assert page.locator('.balloon[data-severity="error"]:visible').count() >= 4
    expect(page.locator(".hidden-words")).to_be_hidden()


def test_rules_are_chosen_one_by_one(open_page: OpenPage) -> None:
    page = open_page(page_of(examine_demo("hobby-room")))
    choice = page.locator(".choice", has_text="Rules")
    choice.locator("summary").click()
    choice.get_by_role("button", name="None").click()
    assert page.locator(".finding:visible").count() == 0
    choice.get_by_label("paperwork").check()
    assert page.locator(".finding:visible").count() == 3
    page.keyboard.press("Escape")
    expect(choice.get_by_label("paperwork")).to_be_hidden()
    expect(choice.locator("summary")).to_be_focused()
    expect(choice.locator("summary")).to_contain_text("1 of 13")


def test_layers_come_and_go(open_page: OpenPage) -> None:
    page = open_page(page_of(examine_demo("nursery")))
    boards = page.locator('.view [data-layer="boards"]').first
    strips = page.locator('.view [data-layer="strips"]').first
    expect(boards).to_be_hidden()
    expect(strips).to_be_visible()
    page.locator(".choice", has_text="Layers").locator("summary").click()
    page.get_by_role("checkbox", name="boards").check()
    page.get_by_role("checkbox", name="strips").uncheck()
    expect(boards).to_be_visible()
    expect(strips).to_be_hidden()


def test_a_plan_is_drawn_when_it_is_opened(open_page: OpenPage, folder: str) -> None:
    page = open_page(folder)
    assert page.locator(".plan").count() == 4
    assert page.locator(".view svg").count() == 0
    page.locator(".register table").get_by_role("link", name="nursery").click()
    expect(page.locator("#plan-2 .view svg")).to_be_visible()
    expect(page.locator("#plan-2 summary").first).to_be_focused()
    assert page.locator(".view svg").count() == 1
    assert page.url.endswith("#plan-2-sheet")


def test_what_was_ticked_before_holds_for_a_plan_opened_later(
    open_page: OpenPage, folder: str
) -> None:
    page = open_page(folder)
    page.get_by_label("warnings").uncheck()
    page.locator("#plan-2 summary").first.click()
    expect(page.locator("#plan-2 .view svg")).to_be_visible()
    # Of the nursery's findings one is an error, one a note.
    assert page.locator("#plan-2 .finding:visible").count() == 2
    assert page.locator("#plan-2 .balloon:visible").count() <= 2


def test_plans_are_found_by_name_and_verdict(open_page: OpenPage, folder: str) -> None:
    page = open_page(folder)
    page.get_by_label("Find a plan").fill("NURSERY")
    assert page.locator(".register tbody tr:visible").count() == 1
    expect(page.locator("#plan-1")).to_be_hidden()
    expect(page.locator("#found-plans")).to_have_text("1 of 4 plans")
    page.get_by_label("Find a plan").fill("")
    page.get_by_label("Verdict").select_option("no objection")
    assert page.locator(".register tbody tr:visible").count() == 2
    expect(page.locator("#plan-4")).to_be_visible()
    expect(page.locator("#plan-1")).to_be_hidden()


def test_an_address_opens_its_plan(open_page: OpenPage, folder: str) -> None:
    page = open_page(folder)
    page.goto(f"{page.url}#plan-1-finding-12")
    expect(page.locator("#plan-1-finding-12 .about")).to_be_in_viewport()
    expect(page.locator("#plan-1 .view svg")).to_be_visible()


def test_all_plans_open_and_close(open_page: OpenPage, folder: str) -> None:
    page = open_page(folder)
    page.get_by_role("button", name="Open all plans").click()
    assert page.locator(".plan-sheet[open]").count() == 4
    page.locator("#plan-4").scroll_into_view_if_needed()
    expect(page.locator("#plan-4 .view svg")).to_be_visible()
    page.get_by_role("button", name="Close all").click()
    assert page.locator(".plan-sheet[open]").count() == 0


def test_the_look_is_chosen(open_page: OpenPage, folder: str) -> None:
    page = open_page(folder, color_scheme="light")
    ground = "getComputedStyle(document.body).backgroundColor"
    light = page.evaluate(ground)
    page.get_by_label("Look").select_option("dark")
    dark = page.evaluate(ground)
    assert dark != light
    page.emulate_media(color_scheme="dark")
    page.get_by_label("Look").select_option("as the device")
    assert page.evaluate(ground) == dark
    page.get_by_label("Look").select_option("light")
    assert page.evaluate(ground) == light


def test_without_scripts_all_is_there_to_read(open_page: OpenPage, folder: str) -> None:
    page = open_page(folder, java_script_enabled=False)
    page.locator("#plan-1 > details > summary").click()
    expect(page.locator("#plan-1 .view svg")).to_be_visible()
    assert page.locator("#plan-1 .finding:visible").count() == 16
    assert page.locator(".needs-script:visible").count() == 0


def test_without_scripts_links_open_what_they_lead_to(open_page: OpenPage, folder: str) -> None:
    page = open_page(folder, java_script_enabled=False)
    about = page.locator("#plan-1-finding-5 .about")
    expect(about).to_be_hidden()
    page.locator('.start a[href="#plan-1-finding-5"]').click()
    expect(about).to_be_in_viewport()
    page.locator("#plan-1-finding-5 .explain > summary").click()
    page.locator("#plan-1-finding-5 .explained a").click()
    expect(page.locator("#rule-cut-length")).to_be_in_viewport()
    page.locator('.register table a[href="#plan-2-sheet"]').click()
    expect(page.locator("#plan-2 .view svg")).to_be_visible()


def test_headers_hold_together_on_a_tablet(open_page: OpenPage, folder: str) -> None:
    page = open_page(folder, {"width": 768, "height": 1024})
    assert page.evaluate("document.documentElement.scrollWidth") == 768
    heads = page.locator(".register thead th").all()
    assert len(heads) == 7
    # No word is broken: at most “Not judged” stands on two lines.
    lines = [each.evaluate("each => Math.round(each.offsetHeight / 22)") for each in heads[:6]]
    assert len(set(lines)) == 1
    spans = page.locator(".register thead th:not(:last-child)").evaluate_all(
        "heads => heads.map(head => { const range = document.createRange();"
        " range.selectNodeContents(head); return range.getClientRects().length; })"
    )
    assert spans == [1] * 6


def test_forced_colours_leave_lines_and_dimensions_to_be_seen(
    open_page: OpenPage, folder: str
) -> None:
    page = open_page(folder, forced_colors="active", color_scheme="dark")
    page.locator("#plan-1 summary").first.click()
    view = page.locator("#plan-1 .view")
    colour = "(each, what) => getComputedStyle(each)[what]"
    assert view.evaluate(colour, "backgroundColor") == "rgb(255, 255, 255)"
    assert view.locator(".outline").first.evaluate(colour, "stroke") == "rgb(27, 31, 36)"
    assert view.locator('[data-layer="dimensions"] text').first.evaluate(colour, "fill") in {
        "rgb(27, 31, 36)", "rgb(0, 0, 0)",
    }  # fmt: skip
    line = page.locator("#plan-1 .finding").first
    before = line.evaluate(colour, "borderLeftColor")
    line.locator("summary").first.click()
    assert line.evaluate(colour, "borderLeftColor") != before
