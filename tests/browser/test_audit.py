"""An accessibility engine's audit, in light and dark, wide and narrow."""

from typing import Any

import pytest

from tests.browser.conftest import NARROW, WIDE, OpenPage
from tests.browser.expecting import finding
from tests.underfoot.page.pages import (
    examine_demo,
    examine_text,
    hostile_plan,
    page_of,
)

TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


def violations(page: Any, script: str) -> list[str]:
    """Audit a page: each violation with the element that it is about.

    Plans out of sight are laid out too: else their parts are measured where they will not be.
    """
    page.evaluate(script)
    page.evaluate(
        "() => document.querySelectorAll('.plan-body').forEach("
        "body => { body.style.contentVisibility = 'visible'; })"
    )
    found = page.evaluate("tags => axe.run(document, {runOnly: {type: 'tag', values: tags}})", TAGS)
    assert len(found["passes"]) > 20
    return [
        f"{rule['id']}: {node['html'][:160]} ({node['failureSummary']})"
        for rule in found["violations"]
        for node in rule["nodes"]
    ]


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [WIDE, NARROW], ids=["wide", "narrow"])
def test_a_plan_has_no_violation(
    open_page: OpenPage, audit_script: str, scheme: str, size: dict[str, int]
) -> None:
    page = open_page(page_of(examine_demo("hobby-room")), size, color_scheme=scheme)
    assert violations(page, audit_script) == []
    finding(page, 4).locator(".locate").click()
    for summary in page.locator(
        '.key > summary, .checked > summary, .finding[data-number="4"] .explain > summary, '
        ".limits-sheet > summary, .rule-sheet[data-rule=cut-length] > summary"
    ).all():
        summary.click()
    assert violations(page, audit_script) == []
    page.locator(".choice", has_text="Rules").locator("summary").click()
    assert violations(page, audit_script) == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [WIDE, NARROW], ids=["wide", "narrow"])
def test_a_folder_has_no_violation(
    open_page: OpenPage, audit_script: str, scheme: str, size: dict[str, int]
) -> None:
    names = ("flat", "guest-room", "annexe/day-room", "nursery")
    unread = examine_text("plan_format: 1\nrooms: {}\n")
    text = page_of(*(examine_demo(name) for name in names), unread, examine_text(hostile_plan()))
    page = open_page(text, size, color_scheme=scheme)
    assert violations(page, audit_script) == []
    page.get_by_role("button", name="Open all plans").click()
    page.wait_for_timeout(200)
    assert violations(page, audit_script) == []
