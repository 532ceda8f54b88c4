"""The pages as text: what stands on whose page."""

import re
from html.parser import HTMLParser

import pytest
from msgspec.structs import replace

from tests.underfoot.marking.demo import FOLDER, RULES, demo_desk, mark_class
from underfoot.checking.caution import CAUTION
from underfoot.marking.class_text import write_class_text
from underfoot.marking.judging import judge_source
from underfoot.marking.pages import page_names, write_class, write_sheet
from underfoot.marking.results import by_name, gather_class
from underfoot.marking.submissions import Handed

COMMENTS = (FOLDER / "comments.yaml").read_text("utf-8")
VOID = {"meta", "br", "hr", "img", "link", "input"}


class Balance(HTMLParser):
    """Follows the tags: each that opens must close."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.ids: list[str] = []
        self.words: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.ids += [value for key, value in attrs if key == "id" and value]
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.ids += [value for key, value in attrs if key == "id" and value]

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.words.append(data)


def read(page: str) -> str:
    balance = Balance()
    balance.feed(page)
    assert balance.open == []
    assert len(balance.ids) == len(set(balance.ids))
    return " ".join(" ".join(balance.words).split())


@pytest.fixture(scope="module")
def sheets() -> dict[str, str]:
    marks = mark_class(COMMENTS, draws=True)
    return {sheet.name: write_sheet(marks, sheet, RULES) for sheet in marks.sheets}


def test_no_page_holds_anything_of_another_apprentice(sheets: dict[str, str]) -> None:
    for name, page in sheets.items():
        assert set(re.findall(r"apprentice-\d\d", page)) == {name}


def test_a_page_shows_the_reasons_the_rules_pages_and_the_caution(sheets: dict[str, str]) -> None:
    words = read(sheets["apprentice-02"])
    assert "6 of 7 right. Wrong: A1 (finding 1). 6/7 × 7 = 6." in words
    assert "Strip A1 lies 40 mm from the wall; the least allowed is 50 mm." in words
    assert "At the wall the floor is drilled for skirting" in words  # from the rule's page
    assert "Putting it right" in words
    assert "Sound work." in words
    assert "What was right" in words
    assert CAUTION in words
    assert sheets["apprentice-02"].count('class="room-drawing"') == 1


def test_the_adjustment_stands_beside_the_tools_mark(sheets: dict[str, str]) -> None:
    words = read(sheets["apprentice-04"])
    assert "The tool's mark is 64, failed outright; with this 65, failed outright." in words
    assert "+1 (leads): The sketch handed in with it shows the right way." in words


def test_what_does_not_count_and_what_was_changed_is_said(sheets: dict[str, str]) -> None:
    words = read(sheets["apprentice-07"])
    assert "wardrobe left out" in words
    assert "a waiver of wall-clearance" in words
    assert "settings of its own" in read(sheets["apprentice-11"])


def test_progress_between_attempts_is_shown(sheets: dict[str, str]) -> None:
    words = read(sheets["apprentice-03"])
    assert "attempt 3 of 3" in words
    assert "sensor under element, sensor cable reach" in words  # mended by the second attempt


def test_what_cannot_be_read_is_explained_and_the_rest_is_marked(sheets: dict[str, str]) -> None:
    words = read(sheets["apprentice-10"])
    assert "line 20, column 7" in words
    assert "Not all of the plan could be read" in words
    assert "The marks, and the reason for each" in words


def test_an_unreadable_plan_is_explained() -> None:
    marks = mark_class()
    handed = Handed(name="apprentice-10", attempt=1, shown="apprentice-10.yaml", place=None)
    broken = judge_source(b"rooms: [", handed, demo_desk())
    sheet = gather_class(marks.scheme, [broken], []).sheets[0]
    words = read(write_sheet(marks, sheet, RULES))
    assert "The plan could not be read" in words
    assert "there are 2 of 70" in words
    assert "The marks, and the reason for each" not in words


def test_late_marks_are_shown(sheets: dict[str, str]) -> None:
    words = read(sheets["apprentice-12"])
    assert "Handed in 2026-10-04, 2 days late (due 2026-10-02): 4 off." in words


def test_the_class_at_a_glance() -> None:
    marks = mark_class(COMMENTS, draws=True)
    page = write_class(marks, RULES, page_names(marks))
    words = read(page)
    assert "12 submissions" in words
    assert "breaker rating 3 apprentice-09, apprentice-11, apprentice-12 6" in words
    assert "membrane overlap with wall clearance 2" in words  # 02 and 11
    assert "What to teach next" in words
    assert "apprentice-01 and apprentice-08" in words
    assert page.count('class="room-drawing"') == 2  # side by side
    assert CAUTION in words


def test_a_hostile_name_stays_text_and_gets_a_tame_file_name() -> None:
    marks = mark_class(draws=True)
    name = '<script>alert(1)</script>"=HYPERLINK(1)../../x'
    first = replace(marks.sheets[0], name=name)
    hostile = replace(marks, sheets=(first, *marks.sheets[1:]), copies=())
    page = write_sheet(hostile, first, RULES)
    pages = page_names(hostile)
    assert pages[name] == "script-alert-1-script-HYPERLINK-1-x.html"
    assert "<script" not in page
    assert "<script" not in write_class(hostile, RULES, pages)
    assert name in read(page)


def test_so_many_copies_are_drawn_and_the_others_named() -> None:
    marks = mark_class(draws=True)
    (pair,) = marks.copies
    many = replace(marks, copies=(pair,) * 300)
    page = write_class(many, RULES, page_names(many))
    assert page.count('class="room-drawing"') == 48
    assert "And 276 pairs more" in page
    assert page.count("<li><bdi>apprentice-01</bdi> and <bdi>apprentice-08</bdi></li>") == 200
    assert "marks.json" in page
    text = "\n".join(write_class_text(many, None))
    assert text.count("nearly the same plan") == 40
    assert "260 pairs more, all of which stand in marks.json" in " ".join(text.split())
    assert "more" not in read(write_class(marks, RULES, page_names(marks))).partition("Worth a")[2]


def test_names_that_differ_in_case_alone_get_pages_of_their_own() -> None:
    marks = mark_class()
    two = (replace(marks.sheets[0], name="Ada"), replace(marks.sheets[1], name="ada"))
    assert len({page.lower() for page in page_names(replace(marks, sheets=two)).values()}) == 2


def test_the_same_bytes_each_time(sheets: dict[str, str]) -> None:
    marks = mark_class(COMMENTS, draws=True)
    for name, sheet in by_name(marks).items():
        assert write_sheet(marks, sheet, RULES) == sheets[name]
