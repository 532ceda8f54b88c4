"""Debian's Chromium, driven by playwright; every page is watched for errors and requests."""

import os
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, NoReturn

import pytest

IN_CI = os.environ.get("UNDERFOOT_CI") == "1"
# No browser of ours may look for updates, a proxy or an account while it is tested.
ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
    "--no-proxy-server",
]
WIDE = {"width": 1366, "height": 800}
NARROW = {"width": 390, "height": 844}


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark all tests beside this file; what drives the browser warns of things that are its own."""
    here = Path(__file__).parent
    for item in items:
        if here in item.path.parents:
            item.add_marker(pytest.mark.browser)
            item.add_marker(pytest.mark.filterwarnings("default::ResourceWarning"))


def lacking(what: str) -> NoReturn:
    """Skip where something is not there; in CI that is a failure."""
    if IN_CI:
        pytest.fail(f"{what}, and in CI nothing is skipped", pytrace=False)
    pytest.skip(what)


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    """The browser, started once."""
    place = os.environ.get("UNDERFOOT_CHROMIUM") or shutil.which("chromium")
    if place is None:
        lacking("there is no Chromium on this machine")
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        lacking("playwright is not installed")
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=place, args=ARGUMENTS)
        yield started
        started.close()


@pytest.fixture(scope="session")
def audit_script() -> str:
    """The accessibility engine's source, from the file that UNDERFOOT_AXE names."""
    place = os.environ.get("UNDERFOOT_AXE")
    if not place or not Path(place).is_file():
        lacking("axe-core is not installed (UNDERFOOT_AXE names its axe.min.js)")
    return Path(place).read_text("utf-8")


@dataclass
class Watched:
    """What a page did that it should not."""

    said: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)


def answer(dialog: Any, watched: Watched) -> None:
    """Leave a page that warns of leaving it; no page has anything else to say in a dialog."""
    if dialog.type == "beforeunload":
        dialog.accept()
    else:
        watched.said.append(dialog.message)


OpenPage = Callable[..., Any]


@pytest.fixture
def open_page(browser: Any, tmp_path: Path) -> Iterator[OpenPage]:
    """Open a page's text from a file; at the end no page has complained or asked for anything."""
    contexts = []
    watched = Watched()

    def open_it(text: str, size: dict[str, int] = WIDE, **more: Any) -> Any:
        place = tmp_path / f"page-{len(contexts)}.html"
        place.write_text(text, "utf-8")
        context = browser.new_context(viewport=size, reduced_motion="reduce", **more)
        contexts.append(context)
        context.set_offline(True)
        page = context.new_page()
        page.on("console", lambda message: watched.said.append(message.text))
        page.on("pageerror", lambda error: watched.said.append(str(error)))
        page.on("dialog", lambda dialog: answer(dialog, watched))
        page.on("request", lambda request: watched.asked.append(request.url))
        page.goto(place.as_uri())
        return page

    yield open_it
    for context in contexts:
        context.close()
    own = {(tmp_path / f"page-{place}.html").as_uri() for place in range(len(contexts))}
    asked = {url.partition("#")[0] for url in watched.asked} - {"data:,"}
    assert watched.said == []
    assert asked == own
