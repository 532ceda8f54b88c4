"""Numbers in place of names, with the key kept apart."""

import pytest
from msgspec.structs import replace

from tests.there import there
from tests.underfoot.marking.demo import FOLDER, RULES, demo_attempts, demo_scheme
from underfoot.marking.anonymity import (
    KeyFileError,
    extend_key,
    hide_attempt,
    hide_comments,
    hide_names,
    read_key,
    write_key,
)
from underfoot.marking.comments import read_comments
from underfoot.marking.mark_sheet import write_csv
from underfoot.marking.marks_json import write_marks
from underfoot.marking.pages import page_names, write_class, write_sheet
from underfoot.marking.results import gather_class

NAMES = sorted({one.name for one in demo_attempts()})


def test_the_key_leads_back_and_keeps_its_numbers() -> None:
    key = extend_key({}, NAMES)
    assert sorted(key) == NAMES
    assert sorted(key.values()) == [f"S{n:02}" for n in range(1, 13)]
    assert read_key(write_key(key)) == key
    more = extend_key(key, [*NAMES, "late comer"])
    assert {name: more[name] for name in NAMES} == key
    assert more["late comer"] == "S13"


def test_numbers_do_not_follow_the_names() -> None:
    orders = {tuple(extend_key({}, NAMES).values()) for _ in range(5)}
    assert len(orders) > 1


@pytest.mark.parametrize("name", ["=1+1", "'quoted", "a,b", "é"])
def test_awkward_names_come_back(name: str) -> None:
    assert read_key(write_key({name: "S01"})) == {name: "S01"}


@pytest.mark.parametrize(
    "text", ["", "name,number\n", "number,name\nX1,a\n", "number,name\nS01,a\nS01,b\n"]
)
def test_what_is_no_key_is_refused(text: str) -> None:
    with pytest.raises(KeyFileError):
        read_key(text)


def test_no_name_is_left_in_any_result() -> None:
    key = extend_key({}, NAMES)
    comments = there(read_comments((FOLDER / "comments.yaml").read_bytes(), "c").comments)
    attempts = [
        replace(one, remarks=(f"drawn by {one.name.upper()}",)) for one in demo_attempts(draws=True)
    ]
    marks = gather_class(
        demo_scheme(),
        [hide_attempt(one, key) for one in attempts],
        [hide_comments(comments, key)],
    )
    pages = page_names(marks)
    results = [
        write_csv(marks),
        write_marks(marks, "1"),
        write_class(marks, RULES, pages),
        *(write_sheet(marks, sheet, RULES) for sheet in marks.sheets),
        *pages.values(),
    ]
    for text in results:
        assert "apprentice-" not in text.lower()
    by_number = {sheet.name: sheet for sheet in marks.sheets}
    assert float(by_number[key["apprentice-04"]].final) == 65
    assert marks.strangers == ()


def test_a_name_that_is_a_word_of_the_drawing_spoils_none() -> None:
    key = {"text": "S01"}
    (first, *_) = demo_attempts(draws=True)
    hidden = hide_attempt(replace(first, name="text"), key)
    assert hidden.drawings == first.drawings
    assert hide_names("Text said so, in contexts of text-2.", key) == (
        "S01 said so, in contexts of S01-2."
    )


@pytest.mark.parametrize("number", [r"\u202e2", r"\g<0>", r"\1", "\\"])
def test_a_number_is_put_as_it_is(number: str) -> None:
    assert hide_names("Ada and ada, not Adam.", {"ada": number}) == (
        f"{number} and {number}, not Adam."
    )


def test_a_comment_names_nobody() -> None:
    text = b"comments_format: 1\nmarker: b\nsubmissions: {ada: {comment: Well done Ada!}}\n"
    comments = there(read_comments(text, "c").comments)
    hidden = hide_comments(comments, {"ada": "S07"})
    assert hidden.submissions["S07"].comment == "Well done S07!"


def test_a_second_marker_may_write_by_number() -> None:
    key = {"ada": "S07"}
    text = b"comments_format: 1\nmarker: b\nsubmissions: {S07: {comment: good}}\n"
    comments = there(read_comments(text, "c").comments)
    assert list(hide_comments(comments, key).submissions) == ["S07"]
