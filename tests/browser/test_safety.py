"""Whatever a plan says is text: nothing of it runs, and nothing leaves the page."""

from pathlib import Path
from typing import Any

import pytest

from tests.browser.conftest import NARROW, OpenPage
from tests.browser.expecting import expect
from tests.underfoot.page.pages import (
    HOSTILE,
    examine_demo,
    examine_text,
    hostile_plan,
    hostile_report,
    page_of,
    page_of_drawn,
)
from underfoot.page import draw_plan
from underfoot.reporting.layout import escape_invisible


def test_hostile_texts_are_shown_as_text(open_page: OpenPage) -> None:
    text = page_of_drawn([draw_plan(examine_text(hostile_plan())), hostile_report()])
    page = open_page(text)
    page.get_by_role("button", name="Open all plans").click()
    page.locator("#plan-2").scroll_into_view_if_needed()
    for details in page.locator("details.checked, details.key").all():
        details.evaluate("each => { each.open = true; }")
    page.wait_for_timeout(200)
    assert page.title() == "Review of 2 plans"
    shown = page.locator("body").inner_text()
    for hostile in HOSTILE:
        assert escape_invisible(hostile) in shown
    assert page.locator("script").count() == 1
    assert page.locator("img, iframe, object").count() == 0
    assert page.locator("[onload], [onerror]").count() == 0
    assert "\u202e" not in page.content()


def test_a_hostile_title_stays_the_title(open_page: OpenPage) -> None:
    page = open_page(page_of(examine_text(hostile_plan())))
    assert page.title() == f"Review of {HOSTILE[0]}"
    expect(page.locator(".plan h2")).to_have_text(HOSTILE[0])


def test_the_policy_stops_what_is_not_the_page_s_own(browser: Any, tmp_path: Path) -> None:
    text = page_of(examine_demo("attic"))
    added = (
        "<script>document.title = 'run'</script><img src='http://127.0.0.1:9/x'>"
        "<style>body { margin-left: 77px }</style>"
    )
    place = tmp_path / "page.html"
    place.write_text(text.replace("</main>", f"</main>{added}"), "utf-8")
    page = browser.new_page()
    said: list[str] = []
    failed: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.on("requestfailed", lambda request: failed.append(request.failure))
    page.goto(place.as_uri())
    assert page.title() != "run"
    assert page.evaluate("getComputedStyle(document.body).marginLeft") != "77px"
    assert [word for word in failed if word != "csp"] == []
    # The script, the picture and the style.
    assert sum("Content Security Policy" in each for each in said) == 3
    page.close()


@pytest.mark.parametrize("size", [None, NARROW])
def test_the_caution_is_always_in_sight(open_page: OpenPage, size: dict[str, int] | None) -> None:
    text = page_of(examine_demo("hobby-room"))
    page = open_page(text) if size is None else open_page(text, size)
    for share in (0, 0.3, 0.7, 1):
        page.evaluate(f"window.scrollTo(0, {share} * document.body.scrollHeight)")
        expect(page.locator("aside.caution")).to_be_in_viewport(ratio=0.99)
        expect(page.locator("aside.caution")).to_contain_text("prove dead before any work")


def test_what_has_the_focus_is_not_under_the_bar(open_page: OpenPage) -> None:
    page = open_page(page_of(examine_demo("hobby-room")))
    hidden = []
    for _ in range(60):
        page.keyboard.press("Tab")
        clear = page.evaluate(
            """() => {
              const at = document.activeElement;
              if (at === document.body || at.closest('.caution, .sift')) return true;
              const box = at.getBoundingClientRect();
              const bar = document.querySelector('aside.caution').getBoundingClientRect();
              return box.top < bar.top && box.bottom > 0;
            }"""
        )
        if not clear:
            hidden.append(page.evaluate("document.activeElement.outerHTML.slice(0, 200)"))
    assert hidden == []
