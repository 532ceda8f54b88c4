"""The page of a list of answers: each fault with its place, what was named, and why it matters."""

import re

from tests.demo_plans import PLANS
from tests.underfoot.marking.answer_lists import fault, key, named
from tests.underfoot.marking.demo import RULES
from tests.underfoot.page.pages import HOSTILE, read_words
from underfoot.checking.caution import CAUTION
from underfoot.marking.answer_judging import AnswerMarks, mark_list
from underfoot.marking.answer_pages import draw_faults, write_answer_page
from underfoot.marking.marks import NOTHING
from underfoot.reading import read_plan
from underfoot.reading.problem import Problem

KEY = key(
    fault("cut-length", "bedroom", "A4", message="A4 is 60 mm too long.", remedy="Cut it."),
    fault("rcd", None, "C1", message="There is no RCD.", remedy="State `rcd`."),
    fault(
        "insulation-bond", "bedroom", "1-2-2", message="1-2-2 makes no bond.", remedy="Shift it."
    ),
)


def words_of(page: str) -> str:
    return " ".join(read_words(page).split())


def test_the_page_says_what_was_found_and_what_was_not() -> None:
    marked = mark_list(
        "ada",
        (named("cut-length", "bedroom", "A4"), named("strip-gap", "hall", "B1")),
        KEY,
    )
    page = write_answer_page(marked, KEY, RULES)
    words = words_of(page)
    # One found at 2 and one wrong accusation at 1 off, of three faults at 2.
    assert "1 of 6 1 of 3 faults found" in words
    assert "cut length bedroom · A4 2 Found." in words
    assert "strip gap hall · B1 –1 Wrong accusation." in words
    assert "cut length found" in words
    assert "RCD not found" in words
    for said in ("A4 is 60 mm too long.", "Cut it.", "There is no RCD.", "the whole plan · C1"):
        assert said in words
    assert words.count("Why it matters") == 3
    assert CAUTION in words


def test_the_faults_are_drawn_by_number() -> None:
    reading = read_plan((PLANS / "bedroom.yaml").read_bytes(), path="bedroom.yaml", folder=PLANS)
    assert reading.plan is not None
    ((room, svg),) = draw_faults(reading.plan, KEY)
    assert room == "bedroom"
    # A fault of a circuit has no place; that of a board shows the boards.
    assert re.findall(r'<g data-finding="(\d+)"[^>]*class="balloon"', svg) == ["1", "3"]
    assert 'data-layer="boards"' in svg
    assert 'data-layer="membrane"' not in svg
    page = write_answer_page(mark_list("ada", (), KEY), KEY, RULES, ((room, svg),))
    assert page.count('class="room-drawing"') == 1


def test_answers_that_cannot_be_read_are_explained() -> None:
    problem = Problem(message="`fault` is no key of answers", path="fault", line=2, column=1)
    marked = AnswerMarks(
        name="ada", judged=(), missed=KEY.faults, earned=NOTHING, problems=(problem,), is_read=False
    )
    words = words_of(write_answer_page(marked, KEY, RULES))
    assert "line 2, column 1 fault is no key of answers" in words
    assert "What was named" not in words


def test_hostile_answers_stay_text() -> None:
    answers = tuple(named(text, text, text) for text in HOSTILE)
    page = write_answer_page(mark_list(HOSTILE[0], answers, KEY), KEY, RULES)
    assert not re.search(r"<script|<img|<svg onload|onerror=\"|onload=\"|\u202e", page)
