"""Playwright's patient assertions, imported when they are used: it may not be installed."""

from typing import Any


def expect(thing: Any) -> Any:
    """Expect something of a page or of what is on it, for as long as that may take."""
    from playwright.sync_api import expect as expect_in_time

    return expect_in_time(thing)


def finding(page: Any, number: int) -> Any:
    """A finding of the list, its line opened; at once, as a page at the desk may be made anew."""
    item = page.locator(f'.finding[data-number="{number}"]')
    item.locator(".finding-sheet").evaluate(
        "sheet => { if (!sheet.open) sheet.querySelector('summary').click(); }"
    )
    return item
