"""`underfoot compare`, run through its own front door."""

import json
import re
from base64 import b64encode
from hashlib import sha256
from html.parser import HTMLParser
from pathlib import Path

import pytest

from tests.underfoot.asking import Ask
from underfoot.__main__ import main

pytestmark = pytest.mark.usefixtures("folder", "tiny")

Said = pytest.CaptureFixture[str]


def put_plan(place: str, *, height: str = "2400", job: str = 'date: "2026-09-28"',
             wide: int = 4000, top: str = "") -> str:  # fmt: skip
    Path(place).parent.mkdir(exist_ok=True)
    Path(place).write_text(
        f"{top}plan_format: 1\njob: {{{job}}}\nmaterials: {{}}\nsupply: {{voltage: 230 V}}\n"
        f"rooms:\n  hall: {{outline: [[0, 0], [{wide}, 0], [{wide}, 3000], [0, 3000]], "
        f"height: {height}}}\n",
        "utf-8",
    )
    return place


def compared(capsys: Said, *arguments: str) -> tuple[int, dict[str, object]]:
    status = main(["compare", *arguments, "--format", "json"])
    return status, json.loads(capsys.readouterr().out)


def test_cleared_left_and_brought_in(capsys: Said) -> None:
    old = put_plan("old.yaml", job="title: x", height="2100")
    new = put_plan("new.yaml", height="1900")
    status, said = compared(capsys, old, new)
    assert status == 1
    (pair,) = said["pairs"]
    assert [one["rule"] for one in pair["cleared"]] == ["job-date"]
    assert pair["brought_in"] == []
    (left,) = pair["left"]
    assert (left["rule"], left["step"], left["worse"]) == ("room-height", "worse", True)
    assert left["was"]["measured"] == {"value": 2100.0, "unit": "mm"}
    assert left["measured"] == {"value": 1900.0, "unit": "mm"}
    assert said["compare_format"] == 1
    assert "electrician" in said["caution"]
    changes = {(one["kind"], one["text"]) for one in pair["changes"]}
    assert ("room", "height: 1900 mm, was 2100 mm") in changes


def test_moved_lines_are_no_change(capsys: Said) -> None:
    old = put_plan("old.yaml", height="1900")
    new = put_plan("new.yaml", height="1900", top="# one\n# two\n\n")
    status, said = compared(capsys, old, new)
    (pair,) = said["pairs"]
    assert status == 0
    assert [one["step"] for one in pair["left"]] == ["same"]
    assert (pair["cleared"], pair["brought_in"], pair["changes"]) == ([], [], [])


def test_what_got_worse_under_another_name_counts(capsys: Said) -> None:
    old = put_plan("old.yaml", height="2100")
    new = put_plan("new.yaml", height="1900")
    Path(new).write_text(Path(new).read_text("utf-8").replace("  hall:", "  den:"), "utf-8")
    status, said = compared(capsys, old, new)
    (pair,) = said["pairs"]
    (left,) = pair["left"]
    assert (status, left["rule"], left["step"], left["worse"]) == (1, "room-height", "worse", True)
    assert (pair["cleared"], pair["brought_in"]) == ([], [])


def test_the_status_counts_what_is_new_or_worse_alone(capsys: Said) -> None:
    right, low = put_plan("right.yaml"), put_plan("low.yaml", height="2100")
    assert main(["compare", right, low]) == 0
    assert main(["compare", right, low, "--refuse-at", "warning"]) == 1
    assert main(["compare", low, right, "--refuse-at", "note"]) == 0
    assert main(["compare", low, put_plan("lower.yaml", height="2050"),
                 "--refuse-at", "warning"]) == 1  # fmt: skip
    assert main(["compare", low, put_plan("higher.yaml", height="2150"),
                 "--refuse-at", "note"]) == 0  # fmt: skip


def test_more_that_is_not_judged_and_may_be_an_error_counts_where_asked(ask: Ask) -> None:
    right, open_ = put_plan("right.yaml", height="2300"), put_plan("open.yaml", height="null")
    said = ask("compare", right, open_).out
    assert "NOT JUDGED, AND MAY BE AN ERROR\n  room-height: 1 point more than before" in said
    assert "insufficient information (work must not start before" in " ".join(said.split())
    for refuse_at, expected in (("unjudged", 1), ("warning", 1), ("error", 0), ("never", 0)):
        ask("compare", right, open_, "--refuse-at", refuse_at, status=expected)
    ask("compare", open_, open_, "--refuse-at", "unjudged")
    ask("compare", open_, right, "--refuse-at", "unjudged")
    (pair,) = ask("compare", right, open_, "--format", "json").data["pairs"]
    assert pair["unjudged"] == [{"rule": "room-height", "points": 1, "why": "no height is given"}]
    assert pair["new"]["verdict"] == "insufficient information"
    assert pair["new"]["counts"]["may_be_errors"] == 1
    main(["compare", right, open_, "--format", "html", "--output", "pair.html"])
    page = Path("pair.html").read_text("utf-8")
    assert "Not judged, and may be an error" in page
    assert "1 point more than before: no height is given" in page


def test_text_says_what_changed(ask: Ask) -> None:
    old = put_plan("old.yaml", height="2100", job='revision: P1, date: "2026-09-28"')
    new = put_plan("new.yaml", height="2050", job='revision: P2, date: "2026-09-28"', wide=4200)
    said = ask("compare", old, new).out
    assert "0 brought in · 1 left (1 worse) · 0 cleared · 3 changes in the plan" in said
    assert "Worse: 2050 mm now, 2100 mm before." in said
    assert "outline: 4000 × 3000 mm then, 4200 × 3000 mm now" in said
    assert "revision: P2, was P1" in said
    assert "CAUTION" in said


def test_folders_are_compared_by_name(capsys: Said) -> None:
    put_plan("old/a.yaml")
    put_plan("old/gone.yaml", height="1900")
    put_plan("new/a.yaml", height="2100")
    put_plan("new/fresh.yaml", height="1900")
    status, said = compared(capsys, "old", "new")
    assert status == 1  # the new plan brings an error in
    pairs = {pair["name"]: pair for pair in said["pairs"]}
    assert list(pairs) == ["a.yaml", "fresh.yaml", "gone.yaml"]
    assert pairs["gone.yaml"]["new"] is None
    assert pairs["gone.yaml"]["cleared"] == []  # nothing was mended
    assert [one["severity"] for one in pairs["fresh.yaml"]["brought_in"]] == ["error"]


def test_a_finding_cleared_because_nothing_is_judged_any_more_is_doubted(
    capsys: Said, ask: Ask
) -> None:
    old = put_plan("old.yaml", height="1900")
    new = put_plan("new.yaml")
    plan = Path(new)
    plan.write_text(plan.read_text().replace(", height: 2400", ""))
    _, said = compared(capsys, old, new)
    (cleared,) = said["pairs"][0]["cleared"]
    assert cleared["doubt"] == "its rule could judge less than before (no height is given)"
    assert "NOT SURE" in ask("compare", old, new).out


def test_a_rule_switched_off_is_said_and_doubted(capsys: Said, ask: Ask) -> None:
    put_plan("old/a.yaml", height="1900")
    put_plan("new/a.yaml", height="1900")
    Path("new/underfoot.yaml").write_text(
        "settings_format: 1\nrules: {room-height: {off: true, because: agreed}}\n"
    )
    _, said = compared(capsys, "old", "new")
    (pair,) = said["pairs"]
    assert pair["cleared"][0]["doubt"] == "its rule was not checked this time"
    assert [(one["side"], one["rule"], one["what"]) for one in pair["settings_differ"]] == [
        ("new", "room-height", "off")
    ]
    assert "THE SETTINGS ARE NOT THE SAME" in ask("compare old new").out


def test_a_waiver_that_lapses_counts_as_worse(ask: Ask) -> None:
    old = put_plan("old.yaml", height="1900")
    new = put_plan("new.yaml", height="1900")
    waiver = "waivers: [{rule: room-height, item: hall, reason: old house, agreed_by: lead}]\n"
    Path(old).write_text(Path(old).read_text() + waiver)
    assert "Its waiver holds no longer." in " ".join(ask("compare", old, new, status=1).out.split())
    ask("compare", new, old)


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("old.yaml", "none.yaml"), "none.yaml: there is no such file or folder"),
        (("old.yaml", "."), "two plans or two folders, not one of each"),
        (("-", "old.yaml"), "not standard input"),
    ],
)
def test_misuse(arguments: tuple[str, str], says: str, ask: Ask) -> None:
    put_plan("old.yaml")
    assert says in ask("compare", *arguments, status=2).err


def test_an_unreadable_plan_is_said_in_every_format(ask: Ask) -> None:
    old = put_plan("old.yaml")
    Path("new.yaml").write_text("plan_format: 1\n")
    for form in ("text", "json", "html"):
        words = " ".join(ask("compare", old, "new.yaml", "--format", form, status=2).out.split())
        assert f"plan needs {'<code>rooms</code>' if form == 'html' else '`rooms`'}" in words


HOSTILE = '"<script>alert(1)</script> & \\" \\u202Ereversed"'


class Page(HTMLParser):
    """Collects what a browser would make of the page."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str | None]] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += attrs


def html(capsys: Said, *arguments: str) -> str:
    main(["compare", *arguments, "--format", "html"])
    return capsys.readouterr().out


def test_hostile_text_is_text_on_the_page(capsys: Said) -> None:
    old = put_plan("old.yaml", job=f"title: {HOSTILE}", height="2100")
    new = put_plan("new.yaml", job=f"title: {HOSTILE}, revision: {HOSTILE}")
    said = html(capsys, old, new)
    page = Page(said)
    assert "script" not in page.tags
    assert "&lt;script&gt;alert(1)&lt;/script&gt; &amp; &#34; \\u202ereversed" in said
    assert "\u202e" not in said


def test_the_page_fetches_nothing_and_its_policy_names_its_style(capsys: Said) -> None:
    said = html(capsys, put_plan("old.yaml"), put_plan("new.yaml", wide=4200))
    style = re.search(r"<style>(.*?)</style>", said, re.DOTALL)
    assert style is not None
    digest = b64encode(sha256(style[1].encode()).digest()).decode()
    policy = next(
        value for name, value in Page(said).attributes if value and "default-src" in value
    )
    assert policy.startswith(f"default-src 'none'; style-src 'sha256-{digest}'; ")
    assert "script-src" not in policy
    names = {name for name, _ in Page(said).attributes}
    assert names & {"src", "style", "onclick", "onload", "srcset"} == set()
    links = [value for name, value in Page(said).attributes if name == "href"]
    assert all(value is not None and value.startswith(("#", "data:,")) for value in links)


def test_both_revisions_are_on_the_page(capsys: Said) -> None:
    said = html(capsys, put_plan("old.yaml"), put_plan("new.yaml", wide=4200))
    assert said.count("<svg") == 1
    assert 'class="old"' in said
    assert 'class="new"' in said
    assert 'stroke-dasharray="2 1.2"' in said


def test_the_same_plans_give_the_same_bytes(capsys: Said) -> None:
    old, new = put_plan("old.yaml", height="1900"), put_plan("new.yaml", wide=4200)
    for form in ("text", "json", "html"):
        pages = []
        for _ in range(2):
            main(["compare", old, new, "--format", form])
            pages.append(capsys.readouterr().out)
        assert pages[0] == pages[1]


def test_output_is_a_file_and_never_a_plan(ask: Ask) -> None:
    old, new = put_plan("old.yaml"), put_plan("new.yaml")
    ask("compare", old, new, "--output", "said.txt")
    assert "CAUTION" in Path("said.txt").read_text("utf-8")
    assert "overwrite a plan" in ask("compare", old, new, "--output", new, status=2).err
