"""The desk in a browser: it follows each save, and what is decided there stands beside the plan."""

import re
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.browser.conftest import NARROW, WIDE
from tests.browser.expecting import expect, finding
from tests.browser.test_audit import violations
from tests.browser.test_deciding import decide
from tests.there import there
from tests.underfoot.page.pages import PLANS
from underfoot.__main__ import main

X1 = "at: [2540, 60]"
ABORTED = "Failed to load resource: net::ERR_FAILED"
LookOn = Callable[..., Any]


@pytest.fixture
def study(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of the demo study in a folder of its own."""
    monkeypatch.chdir(tmp_path)
    place = tmp_path / "plans" / "study.yaml"
    place.parent.mkdir()
    shutil.copy(PLANS / "study.yaml", place)
    return place


@pytest.fixture
def look_on(browser: Any, study: Path) -> Iterator[LookOn]:
    """Start a desk and open its page in so many windows; at the end no page has complained."""
    started: list[subprocess.Popen[str]] = []
    contexts: list[Any] = []
    said: list[str] = []
    expected = ("Failed to load resource: the server responded with a status of 409", ABORTED)

    def address_of(path: str) -> str:
        command = [sys.executable, "-m", "underfoot", "desk", path, "--no-open"]
        process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        started.append(process)
        return there(process.stdout).readline().strip()

    def look(path: str = "plans/study.yaml", size: dict[str, int] = WIDE, windows: int = 1) -> Any:
        address = address_of(path)
        pages = []
        for _ in range(windows):
            context = browser.new_context(viewport=size, reduced_motion="reduce")
            contexts.append(context)
            page = context.new_page()
            page.on("console", lambda message: said.append(message.text))
            page.on("pageerror", lambda error: said.append(str(error)))
            page.goto(address)
            pages.append(page)
        return pages[0] if windows == 1 else pages

    yield look
    for context in contexts:
        context.close()
    for process in started:
        process.send_signal(signal.SIGINT)
        assert process.wait(10) == 0
        there(process.stdout).close()
    # A decision that is refused is an answer with a status, which the console tells.
    assert [each for each in said if not each.startswith(expected)] == []


def save(place: Path, old: str, new: str) -> None:
    """Save as editors do: a new file in place of the old."""
    text = place.read_text("utf-8")
    assert old in text
    beside = place.with_name(".study.yaml.swp")
    beside.write_text(text.replace(old, new), "utf-8")
    beside.replace(place)


def version(page: Any) -> int:
    return int(page.locator(".plan").first.get_attribute("data-version"))


def wait_for(page: Any, older: int) -> float:
    begun = time.monotonic()
    page.wait_for_function(
        "older => Number(document.querySelector('.plan').dataset.version) > older", arg=older
    )
    return time.monotonic() - begun


def test_edit_save_see(look_on: LookOn, study: Path) -> None:
    page = look_on()
    expect(page.locator(".finding")).to_have_count(4)
    finding(page, 4)
    finding(page, 3).locator(".locate").click()
    view = page.locator(".view").first
    for _ in range(3):
        page.get_by_role("button", name="Larger").click()
    view.evaluate("view => { view.scrollLeft = 120; view.scrollTop = 90; }")
    page.evaluate("window.scrollBy(0, 333)")
    finding(page, 4).get_by_role("button", name="question").click()
    finding(page, 4).get_by_label("Reason").fill("half typed")
    where = "v => [v.dataset.zoom, v.scrollLeft, v.scrollTop]"
    top = "() => document.querySelector('.finding.is-lit').getBoundingClientRect().top"
    before = (view.evaluate(where), page.evaluate(top), version(page))
    save(study, X1, "at: [2440, 60]")
    wait_for(page, before[2])
    # The strip that moved and the lead that goes to it are lit, and said.
    expect(page.locator(".changed-ring")).to_have_count(2)
    expect(page.locator(".changed-words")).to_contain_text("changed: X1, W2; 1 finding cleared.")
    expect(page.locator(".finding")).to_have_count(3)
    expect(page.locator("#sift")).to_contain_text("errors 3")
    # Numbers are others, what is looked at is the same.
    assert page.locator(".finding.is-lit .about").inner_text() == "study · W2, A5"
    assert view.evaluate(where) == before[0]
    assert abs(page.evaluate(top) - before[1]) < 2
    assert page.locator("input[name=reason]:visible").input_value() == "half typed"
    assert page.evaluate("document.activeElement.name") == "reason"
    page.keyboard.type(" on")
    assert page.locator("input[name=reason]:visible").input_value() == "half typed on"


def test_a_save_is_followed_soon(look_on: LookOn, study: Path) -> None:
    page = look_on()
    taken = []
    for place in (2530, 2520, 2510, 2500):
        older = version(page)
        save(study, re.findall(r"at: \[25[0-9]0, 60\]", study.read_text("utf-8"))[-1],
             f"at: [{place}, 60]")  # fmt: skip
        taken.append(wait_for(page, older))
    # Half a second where nothing else is at work; a machine may be busy now and then.
    assert min(taken) < 0.5, taken


def test_decide_close_verify(look_on: LookOn, study: Path, capsys: Any) -> None:
    page = look_on()
    decide(finding(page, 2), "accepted", "seen on site", "A. Reviewer")
    expect(finding(page, 2).locator(".decided")).to_contain_text("accepted: seen on site")
    decide(finding(page, 3), "question", "which strip?")
    expect(finding(page, 3).locator(".decided")).to_contain_text("question: which strip? A. Rev")
    # While nothing is decided on the whole plan, all can be done that could be done before.
    expect(page.locator(".mending > button")).to_have_count(4)
    decide(page.locator(".decide-plan"), "revise and resubmit", "")
    expect(page.locator("section.decided")).to_contain_text("revise and resubmit")
    finding(page, 3).get_by_role("button", name="take back").click()
    expect(finding(page, 3).locator(".decided")).to_have_count(0)
    page.close()
    assert main(["review", "plans/study.yaml", "--verify"]) == 0
    beside = study.with_name("study.review.yaml")
    kept = beside.read_text("utf-8")
    assert kept.count(" decision: ") == 2 + 1  # and in the words at its head
    assert "which strip?" not in kept
    assert main(["review", "plans/study.yaml"]) == 0
    assert beside.read_text("utf-8") == kept


def test_two_windows_and_an_editor(look_on: LookOn, study: Path) -> None:
    first, second = look_on(windows=2)
    # The second window is kept from hearing of what the first one does.
    second.route("**/parts*", lambda route: route.abort())
    decide(finding(first, 1), "accepted", "by the first", "A")
    expect(finding(first, 1).locator(".decided")).to_be_visible()
    decide(finding(second, 2), "accepted", "by the second", "B")
    expect(finding(second, 2).locator(".said")).to_contain_text("The review has changed meanwhile")
    assert finding(second, 2).get_by_label("Reason").input_value() == "by the second"
    second.unroute("**/parts*")
    save(study, "plan_format: 1", "plan_format: 1  # saved")
    expect(finding(second, 1).locator(".decided")).to_contain_text("by the first")
    box = finding(second, 2)
    assert box.get_by_label("Reason").input_value() == "by the second"
    box.get_by_role("button", name="Keep").click()
    expect(finding(first, 2).locator(".decided")).to_contain_text("by the second")
    text = study.with_name("study.review.yaml").read_text("utf-8")
    assert "by the first" in text
    assert "by the second" in text


@pytest.mark.parametrize("size", [WIDE, NARROW])
def test_a_broken_plan_and_back(look_on: LookOn, study: Path, size: dict[str, int]) -> None:
    page = look_on(size=size)
    expect(page.locator(".wishes").first).to_be_attached()
    save(study, "rooms:", "romos:")
    expect(page.locator(".problems")).to_contain_text("did you mean rooms?")
    stale = page.locator(".stale")
    expect(stale.locator(".finding")).to_have_count(4)
    assert float(stale.locator(".view").evaluate("each => getComputedStyle(each).opacity")) < 0.6
    assert stale.locator(".view svg").count() == 1
    # What is not so any more is not decided about.
    assert page.locator(".wishes").count() == 0
    # Whoever comes now sees the same.
    page.reload()
    expect(page.locator(".stale .finding")).to_have_count(4)
    save(study, "romos:", "rooms:")
    expect(page.locator(".stale")).to_have_count(0)
    expect(page.locator(".problems")).to_have_count(0)
    expect(page.locator(".wishes")).to_have_count(5)
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_a_folder_whose_plans_come_and_go(look_on: LookOn, study: Path) -> None:
    shutil.copy(PLANS / "bedroom.yaml", study.with_name("bedroom.yaml"))
    page = look_on("plans")
    expect(page.locator(".register tbody tr")).to_have_count(2)
    page.locator(".plan", has_text="study.yaml").locator("summary").first.click()
    page.get_by_label("warnings").uncheck()
    shutil.copy(PLANS / "attic.yaml", study.with_name("attic.yaml"))
    expect(page.locator(".register tbody tr")).to_have_count(3)
    # What was open and ticked is so still.
    expect(page.locator(".plan", has_text="study.yaml").locator(".view svg")).to_be_visible()
    expect(page.get_by_label("warnings")).not_to_be_checked()
    row = page.locator(".register tr", has_text="study.yaml")
    expect(row).to_contain_text("revise and resubmit")
    save(study, "rooms:", "romos:")
    expect(row).to_contain_text("unreadable")
    study.unlink()
    expect(page.locator(".register tbody tr")).to_have_count(2)


def test_the_page_says_when_the_desk_has_ended(browser: Any, study: Path) -> None:
    command = [sys.executable, "-m", "underfoot", "desk", "plans/study.yaml", "--no-open"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        assert process.stdout is not None
        page = browser.new_page()
        page.goto(process.stdout.readline().decode().strip())
        expect(page.locator(".silence")).to_be_hidden()
        begun = time.monotonic()
        process.send_signal(signal.SIGINT)
        _, err = process.communicate(timeout=10)
        assert (process.returncode, err) == (0, b"")
        assert time.monotonic() - begun < 5
        expect(page.locator(".silence")).to_contain_text("out of date")
        decide(finding(page, 1), "accepted", "too late", "A")
        expect(finding(page, 1).locator(".said")).to_contain_text("nothing was written")
        page.close()


def test_another_site_can_do_nothing(look_on: LookOn, browser: Any, study: Path) -> None:
    address = look_on().url
    page = browser.new_page()
    page.route(
        "http://evil.example/*",
        lambda route: route.fulfill(
            body="<!doctype html><title>evil</title>", content_type="text/html"
        ),
    )
    page.goto("http://evil.example/")
    # Even one that has come to know the secret.
    outcome = page.evaluate(
        """async (address) => {
          const tried = {};
          const post = {method: 'POST', mode: 'no-cors', body: '{}'};
          for (const [name, how] of [['read', {}], ['write', post]]) {
            try { tried[name] = (await fetch(address + 'decide', how)).type; }
            catch { tried[name] = 'refused'; }
          }
          const frame = document.createElement('iframe');
          frame.src = address;
          document.body.append(frame);
          await new Promise((done) => { frame.onload = done; });
          try { tried.frame = frame.contentDocument ? 'seen' : 'hidden'; }
          catch { tried.frame = 'hidden'; }
          return tried;
        }""",
        address,
    )
    assert outcome["read"] == "refused"
    assert outcome["frame"] == "hidden"
    assert not study.with_name("study.review.yaml").exists()
    page.close()


def test_a_mend_is_looked_at_and_written(look_on: LookOn, study: Path) -> None:
    shutil.copy(PLANS / "kitchen.yaml", study)
    page = look_on()
    # The strip that reaches to the larder.
    item = page.locator(".finding[data-rule=fixture-clearance]")
    item.locator("summary").first.click()
    before = study.read_bytes()
    item.get_by_role("button", name="Look for a mend").click()
    mend = item.locator(".mend").first
    expect(mend).to_contain_text("Cut A8 to 3120 mm.")
    expect(mend.locator("figure svg")).to_have_count(2)
    # What changes is lit where it is shown as mended, and there alone.
    expect(mend.locator("figure").nth(1).locator(".changed-ring")).to_have_count(1)
    expect(mend.locator("figure").nth(0).locator(".changed-ring")).to_have_count(0)
    mend.locator("summary").click()
    expect(mend.locator("pre ins")).to_contain_text("4160, 3120, 3120]}")
    expect(mend.locator("pre del")).to_contain_text("4160, 3120]}")
    expect(mend.locator("pre")).not_to_contain_text("@@")
    assert study.read_bytes() == before
    mend.get_by_role("button", name="Write it into the plan").click()
    expect(item).to_have_count(0)
    expect(page.locator(".changed-words")).to_contain_text("changed: A8; 1 finding cleared.")
    changed = [
        (old, new)
        for old, new in zip(before.splitlines(), study.read_bytes().splitlines(), strict=True)
        if old != new
    ]
    assert len(changed) == 1
    item = page.locator(".finding[data-rule=circuit-current]")
    item.locator("summary").first.click()
    item.get_by_role("button", name="Look for a mend").click()
    expect(item.locator(".mends")).not_to_contain_text("Trying")
    item.get_by_role("button", name="Look for a mend").click()
    expect(item.locator(".mends")).to_be_empty()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [WIDE, NARROW], ids=["wide", "narrow"])
def test_the_desk_has_no_violation(
    look_on: LookOn, study: Path, audit_script: str, scheme: str, size: dict[str, int]
) -> None:
    shutil.copy(PLANS / "kitchen.yaml", study)
    page = look_on(size=size)
    page.emulate_media(color_scheme=scheme, reduced_motion="reduce")
    item = page.locator(".finding[data-rule=fixture-clearance]")
    item.locator("summary").first.click()
    item.get_by_role("button", name="Look for a mend").click()
    expect(item.locator(".mend").first).to_be_visible()
    finding(page, 1).get_by_role("button", name="question").click()
    finding(page, 1).get_by_role("button", name="Keep").click()
    expect(finding(page, 1).locator(".said")).not_to_be_empty()
    assert violations(page, audit_script) == []
    save(study, "4160, 3120]}", "3120, 3120]}")
    expect(page.locator(".changed-words")).not_to_be_empty()
    assert violations(page, audit_script) == []
    save(study, "rooms:", "romos:")
    expect(page.locator(".stale")).to_be_visible()
    assert violations(page, audit_script) == []
