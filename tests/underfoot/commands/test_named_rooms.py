"""A room that has a name is told by it, its id beside it, wherever text and pages head rooms."""

import re
from pathlib import Path

import pytest

from tests.demo_plans import PLANS
from tests.underfoot.asking import Ask

NAMED = "Room over the yard (living-room)"


@pytest.fixture(autouse=True)
def flat(folder: Path) -> None:
    """A flat of four rooms, without membranes, of which one has a name; and the same before."""
    text = (PLANS / "flat.yaml").read_text("utf-8")
    bare = re.sub(r"^ +membrane:.*\n", "", text, flags=re.M)
    named = bare.replace("  living-room:\n", "  living-room:\n    name: Room over the yard\n", 1)
    assert len({text, bare, named}) == 3
    Path("flat.yaml").write_text(named, "utf-8")
    Path("old.yaml").write_text(text, "utf-8")
    Path("catalogue.yaml").write_bytes((PLANS / "catalogue.yaml").read_bytes())


def lines_with(text: str, words: str) -> list[str]:
    return [line.strip() for line in text.splitlines() if words in line]


def test_the_report_heads_its_findings_by_name_and_id(ask: Ask) -> None:
    out = ask("check flat.yaml", status=1).out
    assert lines_with(out, "ROOM ") == [
        f"ROOM {NAMED}: 1 error",
        "ROOM bedroom: 1 error",
        "ROOM hall: 1 error",
        "ROOM bathroom: 1 error",
    ]


def test_what_is_mended_is_told_by_name_and_id(ask: Ask) -> None:
    out = ask("mend flat.yaml", status=None).out
    assert re.search(rf"^ 1  ERROR  {re.escape(NAMED)} +membrane-missing$", out, re.M)


def test_two_revisions_are_told_by_name_and_id(ask: Ask) -> None:
    out = ask("compare old.yaml flat.yaml", status=1).out
    assert lines_with(out, "(living-room)") == [NAMED]
    page = ask("compare old.yaml flat.yaml --format html", status=1).out
    assert f"<figcaption><bdi>{NAMED}</bdi>" in page
    assert f"<h4><bdi>{NAMED}</bdi></h4>" in page
    assert "<h4><bdi>bedroom</bdi></h4>" in page


def test_a_picture_of_heat_is_told_by_name_and_id(ask: Ask) -> None:
    out = ask("heat flat.yaml --room living-room").out
    assert out.startswith(f"Room {NAMED}, surface of the floor")


def test_pages_and_papers_head_rooms_by_name(ask: Ask) -> None:
    page = ask("check flat.yaml --format html", status=1).out
    captions = re.findall(r"<figcaption id=\S+><strong><bdi>(.*?)</bdi></strong> (.*?)<span", page)
    assert captions == [
        ("Room over the yard", "<code><bdi>living-room</bdi></code> "),
        ("bedroom", ""),
        ("hall", ""),
        ("bathroom", ""),
    ]
    assert '<button type="button" data-room="1" aria-pressed="true"><bdi>Room over the yard' in page
    papers = ask("schedule flat.yaml --format html", status=None).out
    assert "Room over the yard" in papers
