"""A review as text: what is decided, what is open, and whether it is of the plan at hand."""

import json

import pytest
from msgspec.structs import replace

from underfoot.checking.caution import CAUTION
from underfoot.reading.review_file import (
    ReviewedContent,
    ReviewFile,
    StatedDecision,
    StatedOverall,
)
from underfoot.reporting.ink import PLAIN, Ink
from underfoot.reviewing.record import write_review
from underfoot.reviewing.text import (
    count_decisions,
    say_decided,
    write_review_json,
    write_review_text,
    write_verified_json,
    write_verified_text,
)

THEN = ReviewedContent(
    plan="sha256:1", settings="sha256:2", rules="sha256:3", revision="P1",
    catalogue="sha256:4", checked_with="underfoot 1",
)  # fmt: skip
OPEN = StatedDecision(
    rule="wall-clearance", severity="error", room="hall", items=("A1",), measured=(20.0, "mm"),
    says="A1 is 20 mm from the wall.",
)  # fmt: skip
DECIDED = replace(
    OPEN, items=("A2",), decision="accepted", reason="boxed in", by="Ann", date="2026-11-29",
    note="see the photo",
)  # fmt: skip
REVIEW = ReviewFile(plan="hall.yaml", reviewed=THEN, findings=(OPEN, DECIDED))


def told(
    review: ReviewFile, *lapsed: StatedDecision, width: int = 60, ink: Ink = PLAIN
) -> list[str]:
    text = "".join(
        write_review_text(review, "hall.review.yaml", "started", lapsed, width=width, ink=ink)
    )
    body, _, caution = text.partition("\nCAUTION  ")
    assert " ".join(caution.split()) == CAUTION
    return body.split("\n")


def test_a_review_is_told_finding_by_finding() -> None:
    assert told(REVIEW) == [
        "hall.review.yaml" + "started".rjust(44),
        "2 findings: 1 accepted, 1 open",
        "Overall  not decided",
        "",
        " 1  ERROR  hall · A1" + "wall-clearance".rjust(40),
        "    A1 is 20 mm from the wall.",
        "    open",
        "",
        " 2  ERROR  hall · A2" + "wall-clearance".rjust(40),
        "    A1 is 20 mm from the wall.",
        "    accepted: boxed in (Ann, 2026-11-29)",
        "    Note  see the photo",
        "",
    ]  # fmt: skip
    ten = replace(REVIEW, findings=(OPEN,) * 10)
    assert told(ten)[5].startswith("     A1")
    assert [line for line in told(ten) if "ERROR" in line][8].startswith("  9  ERROR")


def test_what_no_longer_applies_is_told_with_what_it_was() -> None:
    gone = replace(DECIDED, because="it is no longer found, as the strip was moved away from it")
    lines = told(replace(REVIEW, findings=()), gone, replace(OPEN, because="it is worse"))
    assert lines[1:4] == ["no findings", "Overall  not decided", ""]
    assert lines[4:] == [
        "NO LONGER APPLIES",
        "  wall-clearance · hall · A2: it is no longer found, as the",
        "      strip was moved away from it",
        "      was accepted: boxed in (Ann, 2026-11-29)",
        "  wall-clearance · hall · A1: it is worse",
        "",
    ]


def test_colour_is_laid_round_words_alone() -> None:
    ink = Ink(warning="\x1b[33m", strong="\x1b[1m", end="\x1b[0m")
    lines = told(REVIEW, replace(OPEN, because="x"), ink=ink)
    assert "    \x1b[33mopen\x1b[0m" in lines
    assert "\x1b[1mNO LONGER APPLIES\x1b[0m" in lines


@pytest.mark.parametrize(("reason", "said"), [(None, ""), ("as built", ": as built")])
def test_the_whole_plan(reason: str | None, said: str) -> None:
    overall = StatedOverall(decision="no objection", by="Ann", date="2026-11-29", reason=reason)
    assert told(replace(REVIEW, overall=overall))[2] == (
        f"Overall  no objection{said} (Ann, 2026-11-29)"
    )
    data = json.loads("".join(write_review_json(replace(REVIEW, overall=overall), "p", "s", ())))
    assert data["overall"]["decision"] == "no objection"
    assert data["overall"].get("reason") == reason


def test_decisions_are_counted_by_kind() -> None:
    findings = tuple(
        replace(OPEN, decision=kind)
        for kind in (None, None, "question", "to be mended", "accepted", "accepted", "accepted")
    )
    review = replace(REVIEW, findings=findings)
    assert count_decisions(review) == {"accepted": 3, "to be mended": 1, "question": 1, "open": 2}
    assert say_decided(review) == "7 findings: 3 accepted, 1 to be mended, 1 question, 2 open"


@pytest.mark.parametrize(
    ("changes", "part", "said"),
    [
        ({"plan": "x"}, "plan", "changed"),
        ({"plan": "x", "revision": "P2"}, "plan",
         "changed: revision P1 was reviewed, this is revision P2"),
        ({"plan": "x", "revision": None}, "plan",
         "changed: revision P1 was reviewed, this is revision none"),
        ({"catalogue": "x"}, "catalogue", "changed"),
        ({"catalogue": None}, "catalogue", "changed: there is none now"),
        ({"settings": "x"}, "settings", "changed"),
        ({"rules": "x"}, "rules", "changed"),
        ({"rules": "x", "checked_with": "underfoot 2"}, "rules",
         "changed: reviewed with underfoot 1, this is underfoot 2"),
    ],
)  # fmt: skip
def test_how_the_plan_at_hand_differs_is_said_part_by_part(
    changes: dict[str, str | None], part: str, said: str
) -> None:
    now = replace(THEN, **changes)
    lines = "".join(write_verified_text("r.yaml", THEN, now, (part,), 90)).split("\n")
    assert lines[0] == "The plan at hand is not the one that was reviewed in r.yaml."
    parts = {line.split()[0]: line.strip() for line in lines[1:5]}
    assert parts.pop(part) == f"{part:<11}{said}".strip()
    assert {line.split(maxsplit=1)[1] for line in parts.values()} == {"the same"}
    data = json.loads("".join(write_verified_json("r.yaml", THEN, now, (part,))))
    assert (data["is_the_one_reviewed"], data["changed"]) == (False, [part])


def test_a_catalogue_that_came_and_one_that_never_was() -> None:
    none = replace(THEN, catalogue=None)
    text = "".join(write_verified_text("r.yaml", none, THEN, ("catalogue",), 90))
    assert "catalogue  changed: there was none\n" in text
    text = "".join(write_verified_text("r.yaml", none, none, (), 90))
    assert "catalogue  none, as then\n" in text
    assert text.startswith("The plan at hand is the one that was reviewed in r.yaml.\n")
    text = "".join(write_verified_text("r.yaml", THEN, THEN, (), 90))
    assert "catalogue  the same\n" in text


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("as built", "as built"), ("No", '"No"'), ("a: b", '"a: b"'), ('say "x"', '"say \\"x\\""'),
        ("a\tb\n", '"a\\tb\\n"'), ("\x00", '"\\x00"'), ("\x9f", '"\\x9f"'), ("Ā", '"Ā"'),
        ("\u202e", '"\\u202e"'), ("\uffff", '"\\uffff"'), ("\U000e0001", '"\\U000e0001"'),
    ],
)  # fmt: skip
def test_texts_are_written_as_yaml_has_them(text: str, written: str) -> None:
    record = write_review(replace(REVIEW, note=text))
    assert f"\nnote: {written}\n" in record


@pytest.mark.parametrize(
    ("value", "written"), [(20.0, "20.0"), (0.1, "0.1"), (-3.25, "-3.25"), (1e22, "1e+22")]
)
def test_a_figure_is_written_as_short_as_it_reads_back(value: float, written: str) -> None:
    record = write_review(replace(REVIEW, findings=(replace(OPEN, measured=(value, "mm")),)))
    assert f'measured: {{value: {written}, unit: "mm"}}' in record
