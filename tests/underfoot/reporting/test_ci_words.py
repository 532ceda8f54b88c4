"""Nothing that comes from a plan, a file's name, settings or a rule is a command in a CI log."""

import json
import re
import xml.etree.ElementTree as ElementTree
from datetime import date
from typing import Any

import pytest
import yaml
from hypothesis import example, given
from hypothesis import strategies as st

from tests.demo_plans import PLANS
from tests.effort import examples
from underfoot.checking.check import CheckedPlan, examine, make_checker
from underfoot.checking.report import Report
from underfoot.checking.settings import default_settings
from underfoot.commands.output_files import disarmed
from underfoot.commands.outputs import FORMATS, Asked, Output, open_writer
from underfoot.drawing import SheetOptions, draw_room
from underfoot.page import draw_plan
from underfoot.reading.hidden import INVISIBLE, escape_invisible
from underfoot.reporting.ci_words import disarm, disarm_json, disarm_lines, disarm_markup
from underfoot.reporting.ink import COLOURED
from underfoot.reporting.text import write_text
from underfoot.reporting.text_brief import BriefWriter
from underfoot.reporting.writer import write_whole
from underfoot_rules import STANDARD

PLAN: dict[str, Any] = yaml.safe_load((PLANS / "cloakroom.yaml").read_text("utf-8"))
BENCH = make_checker([STANDARD], default_settings(STANDARD.rules), date(2026, 12, 1))
COLOUR = re.compile(r"\x1b\[[0-9;]*m")
COMMAND = re.compile(r"^\s*::|##[A-Za-z0-9_.-]*\[", re.MULTILINE)
HIDDEN = re.compile(
    f"[\x00-\x09\x0b-\x1f\x7f-\x9f\u00ad\u061c\u180e\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff"
    f"{INVISIBLE}\U000e0000-\U000e007f]"
)
HOSTILE = [
    "::error::x", "a ::set-output name=b::c", "##[error]x", "##vso[task.setvariable]x",
    "##teamcity[x]", "\u202e", "\u200b", "\u2066", "\x1b[31m", "\n::stop-commands::x", "#", "##",
    "::", ":", "[", " ", "\ufe0f", "\u3164", "\u034f", "%0A", "\u2028", "\x85", "]]>", "<", "word",
]  # fmt: skip
WORDS = (
    st.lists(st.sampled_from(HOSTILE) | st.text(max_size=6), max_size=8)
    .map("".join)
    .map(lambda text: text.encode("utf-8", "replace").decode())
)


def examined(words: str, path: str) -> CheckedPlan:
    """Check a plan that says `words` wherever it can, in a file so called."""
    waiver = {"rule": "strip-gap", "reason": words, "agreed_by": words}
    data = {**PLAN, "job": {"title": words, "reference": words, "revision": words, "site": words},
            "note": words, "waivers": [waiver]}  # fmt: skip
    room = {**data["rooms"]["cloakroom"], "note": words}
    data["rooms"] = {"cloakroom": room}
    source = json.dumps(data, ensure_ascii=False).encode()
    return examine(source, BENCH, path=path, folder=PLANS)


def written(each: CheckedPlan, form: str) -> str:
    report = Report(version="1", plans=(each.report,), passed_over=0, problems=())
    writer = open_writer(
        Output(format=form, place="file"), Asked(sets=[STANDARD], refuse_at="error", plans=1)
    )
    return "".join(disarmed(write_whole(writer, report, [draw_plan(each)]), form))


@given(WORDS, WORDS)
@example("::error::x", "::error::x.yaml")
@example("##vso[task.complete]", "##[group]a.yaml")
@examples(12, everyday=6)
def test_no_report_holds_a_command_or_a_hidden_mark(words: str, path: str) -> None:
    each = examined(words, path or "-")
    for form in FORMATS:
        text = written(each, form)
        if form == "annotations":
            assert all(line.startswith("::") for line in text.splitlines())
            text = "\n".join(line[2:] for line in text.split("\n"))
        assert not HIDDEN.search(text), form
        assert not COMMAND.search(text), form
        if form in ("json", "sarif", "code-quality", "known"):
            assert words == "" or json.loads(text) is not None
        if form == "junit":
            ElementTree.fromstring(text)


@given(WORDS, st.integers(20, 100))
@example("a " * 9 + "::error::x", 20)
@examples(40)
def test_no_wrapped_line_begins_with_a_command(words: str, width: int) -> None:
    report = Report(
        version="1", plans=(examined(words, words or "-").report,), passed_over=0, problems=()
    )
    text = "".join(disarm_lines(write_text(report, width=width)))
    assert not COMMAND.search(text)
    assert not HIDDEN.search(text)
    brief = "".join(disarm_lines(write_whole(BriefWriter(width, COLOURED), report)))
    brief = COLOUR.sub("", brief)
    assert not COMMAND.search(brief)
    assert not HIDDEN.search(brief)


@given(WORDS)
@examples(12)
def test_no_drawing_holds_a_command_or_a_hidden_mark(words: str) -> None:
    each = examined(words, "a.yaml")
    if each.plan is None:
        return
    from underfoot.checking.facts import Facts

    facts = Facts(each.plan, {}).rooms["cloakroom"]
    sheet = draw_room(
        facts,
        each.plan,
        each.report,
        SheetOptions(paper="A4", layers=("strips",), planned_clearance=None),
    )
    text = "".join(disarmed([sheet], "svg"))
    ElementTree.fromstring(text)
    assert not HIDDEN.search(text)
    assert not COMMAND.search(text)


@given(st.lists(WORDS))
@examples(100)
def test_pieces_are_disarmed_as_the_whole_is(pieces: list[str]) -> None:
    assert "".join(disarm_lines(pieces)) == disarm("".join(pieces))
    assert not COMMAND.search(disarm("".join(pieces)))
    assert not COMMAND.search(disarm_markup("".join(pieces)))


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("::error::x", "\\::error::x"),
        ("a\n  ::x", "a\n  \\::x"),
        ("a\r::x", "a\r\\::x"),
        ("a\x85 \x1b[1m::x", "a\x85 \x1b[1m\\::x"),
        ("a ::x", "a ::x"),
        (":a", ":a"),
        ("##[x]", "#\\#[x]"),
        ("a ##vso[x]", "a #\\#vso[x]"),
        ("## heading [x]", "## heading [x]"),
        ("# [x]", "# [x]"),
    ],
)
def test_only_what_could_be_a_command_is_changed(text: str, shown: str) -> None:
    assert disarm(text) == shown


def test_json_reads_back_as_it_was() -> None:
    for word in HOSTILE:
        assert json.loads(disarm_json(json.dumps(word))) == word


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("a\u202eb", "a\\u202eb"),
        ("a\u200bb", "a\\u200bb"),
        ("a\u3164b", "a\\u3164b"),
        ("a\u034fb", "a\\u034fb"),
        ("a\ufe0fb", "a\\ufe0fb"),
        ("\u2764\ufe0f", "\u2764\ufe0f"),
        ("\U000e0041", "\\U000e0041"),
        ("a\u1680b\r\nc", "a b c"),
        ("é日😀", "é日😀"),
    ],
)
def test_what_is_hidden_is_written_out(text: str, shown: str) -> None:
    assert escape_invisible(text) == shown
    assert escape_invisible(shown) == shown
