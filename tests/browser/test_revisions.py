"""The page of two revisions, in a browser: no script, no request, switched by its boxes alone."""

from functools import cache

import pytest

from tests.browser.conftest import NARROW, WIDE, OpenPage
from tests.browser.test_audit import violations
from tests.demo_plans import PLANS
from underfoot.checking.check import CheckedPlan, examine, make_checker
from underfoot.checking.settings import default_settings
from underfoot.comparing import compare
from underfoot.comparing.page import write_comparisons_html
from underfoot_rules import STANDARD


def examined(name: str) -> CheckedPlan:
    from datetime import date

    bench = make_checker([STANDARD], default_settings(STANDARD.rules), date(2026, 10, 1))
    place = PLANS / name
    return examine(place.read_bytes(), bench, path=name, folder=place.parent)


@cache
def page_text() -> str:
    pair = compare(
        "sewing-room.yaml",
        examined("as-reviewed/sewing-room.yaml"),
        examined("as-laid/sewing-room.yaml"),
    )
    return "".join(write_comparisons_html([pair], (), "1"))


@pytest.mark.parametrize("size", [WIDE, NARROW], ids=["wide", "narrow"])
def test_it_fits_its_screen(open_page: OpenPage, size: dict[str, int]) -> None:
    page = open_page(page_text(), size)
    assert page.evaluate("document.documentElement.scrollWidth") == size["width"]
    assert page.locator("svg.overlay").count() == 1
    # Each drawing is seen whole: none is wider than the box round it.
    for sheet in page.locator(".sheet").all():
        assert sheet.evaluate("each => each.scrollWidth - each.clientWidth") == 0


def test_each_revision_can_be_hidden_by_its_box(open_page: OpenPage) -> None:
    page = open_page(page_text())
    for name, label in (("old", "old, in dashes"), ("new", "new, in full lines"),
                        ("stayed", "what stayed")):  # fmt: skip
        parts = page.locator(f"svg .{name}")
        assert parts.first.is_visible()
        page.get_by_label(label).press("Space")
        assert not any(part.is_visible() for part in parts.all())
        page.get_by_label(label).press("Space")
        assert parts.first.is_visible()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [WIDE, NARROW], ids=["wide", "narrow"])
def test_an_accessibility_engine_finds_nothing(
    open_page: OpenPage, audit_script: str, scheme: str, size: dict[str, int]
) -> None:
    page = open_page(page_text(), size, color_scheme=scheme)
    assert violations(page, audit_script) == []


def test_on_paper_the_signs_are_told(open_page: OpenPage) -> None:
    page = open_page(page_text())
    page.get_by_label("what stayed").uncheck()
    page.emulate_media(media="print")
    assert page.locator(".old-key").is_visible()
    assert page.locator(".new-key").is_visible()
    # What is not drawn needs no telling, and paper has no boxes to tick.
    assert not page.locator(".stayed-key").is_visible()
    assert page.locator(".shown input:visible").count() == 0


def test_signs_lead_to_findings_and_back(open_page: OpenPage) -> None:
    page = open_page(page_text())
    old, new = page.locator("figure.old svg"), page.locator("figure.new svg")
    # Old: one left and one cleared; new: one brought in, and the one that was left.
    assert [each.text_content() for each in old.locator("a text").all()] == ["1", "2"]
    assert [each.text_content() for each in new.locator("a text").all()] == ["1", "3"]
    cleared = page.locator(".cleared .finding")
    old.locator("a", has_text="sensor-depth").click()
    assert cleared.evaluate("each => each.matches(':target')")
    cleared.get_by_role("link", name="Number 2 on the old drawing").click()
    assert old.locator("a", has_text="sensor-depth").evaluate("each => each.matches(':target')")
    left = page.locator(".finding", has_text="thermostat-height")
    for drawing in (old, new):
        drawing.locator("a", has_text="thermostat-height").click()
        assert left.evaluate("each => each.matches(':target')")
    assert left.get_by_role("link").count() == 3
    assert "To do: Hang it at" in left.inner_text()
    # Drawn over each other: what is cleared has its sign where it was, the rest where it is.
    over = page.locator("svg.overlay")
    assert [each.text_content() for each in over.locator("a text").all()] == ["+1", "3", "–2"]
    over.locator("a", has_text="sensor-depth").click()
    assert cleared.evaluate("each => each.matches(':target')")
    cleared.get_by_role("link", name="Number 2 on both").click()
    assert over.locator("a", has_text="sensor-depth").evaluate("each => each.matches(':target')")
    page.get_by_label("old, in dashes").uncheck()
    assert [each.is_visible() for each in over.locator("a").all()] == [True, True, False]
    assert page.get_by_text("Isolate, lock off and prove dead").count() == 1
