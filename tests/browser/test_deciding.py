"""Decisions on a page that stands by itself: kept while it is open, then saved as a review."""

import shutil
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from tests.browser.conftest import NARROW, WIDE, OpenPage
from tests.browser.expecting import expect, finding
from tests.browser.test_audit import violations
from tests.underfoot.page.pages import PLANS
from underfoot.__main__ import main

HARD = 'seen on site: it\'s “fine” \\ "so" – 20\u00a0mm\u200b \U0001f527'


@pytest.fixture
def study(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of the demo study in a folder of its own."""
    monkeypatch.chdir(tmp_path)
    shutil.copy(PLANS / "study.yaml", tmp_path)
    return Path("study.yaml")


def page_of(plan: Path) -> str:
    main(["check", str(plan), "--format", "html", "--output", "made.html"])
    return Path("made.html").read_text("utf-8")


def decide(box: Any, word: str, reason: str, by: str | None = None) -> None:
    box.get_by_role("button", name=word, exact=True).click()
    box.get_by_label("Reason").fill(reason)
    if by is not None:
        box.get_by_label("Your name").fill(by)
    box.get_by_role("button", name="Keep").click()


def save(page: Any, place: Path) -> None:
    with page.expect_download() as saving:
        page.locator(".decide-plan").get_by_role("button", name="Save study.review.yaml").click()
    assert saving.value.suggested_filename == "study.review.yaml"
    saving.value.save_as(place)


def by_command(plan: Path, *arguments: str) -> None:
    main(["review", str(plan), "--today", date.today().isoformat(), *arguments])


def test_what_is_saved_is_what_the_command_writes(open_page: OpenPage, study: Path) -> None:
    page = open_page(page_of(study))
    decide(finding(page, 2), "accepted", HARD, "A. Reviewer")
    # The name is asked for once.
    decide(finding(page, 4), "question", "yes")
    decide(page.locator(".decide-plan"), "insufficient information", "no")
    save(page, study.with_name("saved.yaml"))
    who = ("--by", "A. Reviewer", "--reason")
    by_command(study, "--decide", "2=accepted", *who, HARD)
    by_command(study, "--decide", "4=question", *who, "yes")
    by_command(study, "--overall", "insufficient information", *who, "no")
    beside = study.with_name("study.review.yaml")
    assert study.with_name("saved.yaml").read_bytes() == beside.read_bytes()
    study.with_name("saved.yaml").replace(beside)
    assert main(["review", str(study), "--verify"]) == 0
    kept = beside.read_bytes()
    assert main(["review", str(study)]) == 0
    assert beside.read_bytes() == kept


def test_what_stood_beside_the_plan_before_is_not_lost(open_page: OpenPage, study: Path) -> None:
    beside = study.with_name("study.review.yaml")
    by_command(study, "--decide", "1=accepted", "--by", "B", "--reason", "first")
    by_command(study, "--overall", "no objection", "--by", "B", "--reason", "first")
    text = beside.read_text("utf-8")
    text = text.replace("\noverall:\n", "\n# said on the telephone\noverall:\n  # twice\n")
    text = text.replace("    by: B\n", "    by: B\n    note: keep this\n", 1)
    beside.write_text(f"{text}# at the end\n", "utf-8")
    page = open_page(page_of(study))
    decide(page.locator(".decide-plan"), "revise and resubmit", "second", "C")
    finding(page, 1).get_by_role("button", name="take back").click()
    said = finding(page, 1).locator(".finding-body .decided")
    expect(said.get_by_text("taken back", exact=True)).to_be_visible()
    decide(finding(page, 3), "to be mended", "third")
    save(page, study.with_name("saved.yaml"))
    by_command(study, "--overall", "revise and resubmit", "--by", "C", "--reason", "second")
    by_command(study, "--decide", "1=open")
    by_command(study, "--decide", "3=to be mended", "--by", "C", "--reason", "third")
    assert study.with_name("saved.yaml").read_text("utf-8") == beside.read_text("utf-8")
    for kept in ("# said on the telephone", "# twice", "note: keep this", "# at the end"):
        assert kept in beside.read_text("utf-8")


def test_a_review_that_decides_nothing_on_the_whole(open_page: OpenPage, study: Path) -> None:
    by_command(study, "--decide", "1=accepted", "--by", "B", "--reason", "first")
    page = open_page(page_of(study))
    decide(finding(page, 3), "question", "third", "C")
    page.reload()
    expect(finding(page, 1).get_by_role("button", name="accepted")).to_have_attribute(
        "aria-pressed", "true"
    )
    expect(finding(page, 3).locator(".decided")).to_contain_text("question: third C, ")
    save(page, study.with_name("saved.yaml"))
    by_command(study, "--decide", "3=question", "--by", "C", "--reason", "third")
    beside = study.with_name("study.review.yaml")
    assert study.with_name("saved.yaml").read_text("utf-8") == beside.read_text("utf-8")


def test_nothing_is_decided_without_a_name_and_a_reason(open_page: OpenPage, study: Path) -> None:
    page = open_page(page_of(study))
    box = finding(page, 1)
    decide(box, "accepted", "", "")
    expect(box.locator(".said")).to_have_text("Give the name of whoever decides.")
    decide(box, "to be mended", " ", "D")
    expect(box.locator(".said")).to_have_text("Give a reason.")
    whole = page.locator(".decide-plan")
    decide(whole, "no objection", "", "D")
    expect(whole.locator(".said")).to_contain_text("The check says “revise and resubmit”")
    expect(page.get_by_role("button", name="Save study.review.yaml")).to_have_count(0)
    # As strict as the check needs no reason.
    decide(whole, "revise and resubmit", "", "D")
    expect(whole.locator(".said")).to_have_text("")
    expect(whole.locator(".decided")).to_contain_text("revise and resubmit D, ")


@pytest.mark.parametrize("size", [None, NARROW])
def test_it_is_kept_when_the_page_is_loaded_anew(
    open_page: OpenPage, study: Path, size: dict[str, int] | None
) -> None:
    text = page_of(study)
    page = open_page(text) if size is None else open_page(text, size)
    unsaved = page.locator(".unsaved")
    expect(unsaved).to_be_hidden()
    warned: list[str] = []
    page.on("dialog", lambda dialog: warned.append(dialog.type))
    decide(finding(page, 2), "question", "which wall?", "E")
    expect(unsaved).to_be_in_viewport(ratio=0.99)
    page.reload()
    assert warned == ["beforeunload"]
    expect(finding(page, 2).locator(".decided")).to_contain_text("question: which wall? E, ")
    expect(unsaved).to_contain_text("not saved")
    save(page, study.with_name("saved.yaml"))
    expect(unsaved).to_be_hidden()
    page.reload()
    assert warned == ["beforeunload"]
    expect(finding(page, 2).locator(".decided")).to_contain_text("question: which wall?")
    assert "which wall?" in study.with_name("saved.yaml").read_text("utf-8")


def test_it_is_printed(open_page: OpenPage, study: Path) -> None:
    page = open_page(page_of(study))
    decide(finding(page, 2), "accepted", "seen", "F")
    second, first = finding(page, 2), finding(page, 1)
    # The line says it, too.
    expect(second.locator(".stand")).to_have_text("accepted")
    page.emulate_media(media="print")
    expect(second.locator(".decided")).to_be_visible()
    expect(second.locator(".by-hand")).to_be_hidden()
    expect(first.locator(".by-hand")).to_be_visible()
    assert page.locator(".wishes:visible, .decide form:visible, .to-save:visible").count() == 0


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [WIDE, NARROW], ids=["wide", "narrow"])
def test_deciding_has_no_violation(
    open_page: OpenPage, study: Path, audit_script: str, scheme: str, size: dict[str, int]
) -> None:
    page = open_page(page_of(study), size, color_scheme=scheme)
    decide(finding(page, 1), "accepted", "seen", "G")
    finding(page, 2).get_by_role("button", name="question").click()
    finding(page, 2).get_by_role("button", name="Keep").click()
    assert violations(page, audit_script) == []
