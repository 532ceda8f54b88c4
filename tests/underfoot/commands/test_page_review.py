"""The page holds the review that decisions made on it are written into, as the command has it."""

import json
import re
from html import unescape
from pathlib import Path

import pytest

from underfoot.__main__ import main

pytestmark = pytest.mark.usefixtures("folder", "tiny")

PLAN = (
    "plan_format: 1\njob: {revision: P1}\nmaterials: {}\nsupply: {voltage: 230 V}\n"
    "rooms:\n  hall: {outline: [[0, 0], [4000, 0], [4000, 3000], [0, 3000]], height: 2100}\n"
)
REMARKED = "# asked the owner\n"


def put_plan(name: str = "hall.yaml") -> Path:
    place = Path(name)
    place.parent.mkdir(exist_ok=True)
    place.write_text(PLAN, "utf-8")
    return place


def page_of(*arguments: str) -> str:
    main(["check", *arguments, "--format", "html", "--output", "page.html"])
    return Path("page.html").read_text("utf-8")


def held_in(page: str) -> dict[tuple[str, str], str]:
    """The reviews that a page holds, by their own name and the plan's."""
    found = re.findall(
        r'<template class="review" data-name="(.*?)" data-plan="(.*?)">(.*?)</template>', page, re.S
    )
    return {(unescape(name), unescape(plan)): json.loads(text) for name, plan, text in found}


def test_it_holds_what_the_command_would_write() -> None:
    plan = put_plan()
    held = held_in(page_of(str(plan)))
    assert main(["review", str(plan)]) == 0
    assert held == {("hall.review.yaml", "hall.yaml"): Path("hall.review.yaml").read_text("utf-8")}


def test_what_was_decided_and_remarked_before_is_in_it() -> None:
    plan, beside = put_plan(), Path("hall.review.yaml")
    main(["review", str(plan), "--decide", "1=accepted", "--by", "A", "--reason", "seen"])
    main(["review", str(plan), "--overall", "no objection", "--by", "A", "--reason", "small"])
    text = beside.read_text("utf-8").replace("overall:\n", f"{REMARKED}overall:\n")
    beside.write_text(text, "utf-8")
    (held,) = held_in(page_of(str(plan))).values()
    assert held == text
    # What has changed since is carried over as the command does it.
    plan.write_text(PLAN.replace("2100", "2090"), "utf-8")
    (held,) = held_in(page_of(str(plan))).values()
    main(["review", str(plan)])
    assert held == beside.read_text("utf-8")
    assert "past_overall" in held


def test_each_plan_of_a_folder_has_its_own() -> None:
    put_plan("house/hall.yaml")
    put_plan("house/attic.yml")
    assert list(held_in(page_of("house"))) == [
        ("attic.review.yaml", "attic.yml"),
        ("hall.review.yaml", "hall.yaml"),
    ]


def test_where_nothing_can_be_decided_there_is_none() -> None:
    plan = put_plan()
    assert held_in(page_of(str(plan)))
    assert not held_in(page_of(str(plan), "--rule", "room-height"))
    Path("hall.review.yaml").write_text("review_format: 2\n", "utf-8")
    page = page_of(str(plan))
    assert not held_in(page)
    assert "decide-form" not in page
    Path("hall.review.yaml").unlink()
    plan.write_text(f"{PLAN}  attic: {{outlin: 3}}\n", "utf-8")
    assert not held_in(page_of(str(plan)))


def test_the_page_hardly_grows() -> None:
    plan = put_plan()
    with_reviews = len(page_of(str(plan)))
    without = len(page_of(str(plan), "--rule", "room-height", "--rule", "job-date"))
    assert 2_000 < with_reviews - without < 20_000
