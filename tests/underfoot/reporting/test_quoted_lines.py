"""Lines of a plan in a report: what is meant is pointed at, and nothing hostile gets through."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from tests.underfoot.reporting.reports import SENSOR
from underfoot.checking.check import examine, make_checker
from underfoot.checking.excerpts import quote_places
from underfoot.checking.report import Excerpt, PlanReport
from underfoot.checking.settings import default_settings
from underfoot.reading.plan_file import Taken
from underfoot.reading.problem import Problem
from underfoot.reporting.ink import PLAIN
from underfoot.reporting.layout import columns_of, cut_short
from underfoot.reporting.quoted_lines import (
    excerpts_of,
    name_place,
    quote_finding,
    quote_problem,
)


def excerpt_at(source: str, line: int, column: int) -> Excerpt:
    problem = Problem(message="", line=line, column=column)
    report = PlanReport(path="a.yaml", verdict="unreadable", problems=(problem,))
    (excerpt,) = quote_places(report, source.encode(), None)
    return excerpt


def quoted(source: str, line: int, column: int, width: int = 40) -> list[str]:
    return quote_problem(excerpt_at(source, line, column), "", width, PLAIN)


def test_what_is_meant_has_signs_below_it() -> None:
    plan = "a: 1\n  lengths: [2500, 'two words']\nb:\n"
    assert quoted(plan, 2, 3) == ["2 |   lengths: [2500, 'two words']", "  |   ^^^^^^^"]
    assert quoted(plan, 2, 13)[1] == "  |             ^^^^"
    assert quoted(plan, 2, 19)[1] == "  |                   ^^^^^^^^^^^"
    assert quoted(plan, 2, 12)[1] == "  |            ^"
    # Behind the end of a line, and in a file with other ends of lines.
    assert quoted(plan, 1, 9) == ["1 | a: 1", "  |     ^"]
    assert quoted("a: 1\r\nb: 2\rc: 3\n", 3, 1) == ["3 | c: 3", "  | ^"]
    assert quoted("\ufeffabc: 1", 1, 1) == ["1 | abc: 1", "  | ^^^"]


def test_tabs_and_wide_marks_take_the_columns_that_they_are_shown_in() -> None:
    assert quoted("\ta\tbc: 1", 1, 4) == ["1 |     a   bc: 1", "  |         ^^"]
    assert quoted("床暖: 房", 1, 5) == ["1 | 床暖: 房", "  |       ^^"]
    assert quoted("e\u0301x: 房", 1, 3) == ["1 | e\u0301x: 房", "  |  ^"]


def test_a_long_line_is_shown_round_the_place() -> None:
    line = "k: [" + ", ".join(str(number) for number in range(1000, 9000, 7)) + "]"
    for column in (1, 5, 11, 2003, len(line) - 4, len(line) + 1):
        shown, signs = quoted(line, 1, column)
        assert columns_of(shown) <= 40
        assert columns_of(signs) <= 40
        at = signs.index("^")
        meant = line[column - 1 :].partition(",")[0].strip("]: [")[:4] or ""
        assert shown[at:].startswith(meant)
    assert quoted(line, 1, 1)[0] == "1 | k: [1000, 1007, 1014, 1021, 1028, …"
    assert quoted(line, 1, 2003)[0].startswith("1 | …")
    assert quoted(line, 1, len(line) - 4)[0].endswith("]")


def test_a_line_is_cut_only_where_it_must_be() -> None:
    fits = "k: " + "x" * 33
    assert quoted(fits, 1, 1)[0] == f"1 | {fits}"
    assert quoted(f"{fits}y", 1, 1)[0] == f"1 | {fits[:34]}…"
    # The signs may stand behind the end: they need room, too.
    assert quoted(fits, 1, 37)[0].startswith("1 | …")
    # What is meant goes before what stands round it.
    shown, signs = quoted("a " * 60 + "b" * 30 + " c" * 60, 1, 121)
    assert signs.count("^") == 30
    assert shown[signs.index("^") :].startswith("b" * 30)
    # What was not kept of a line is told of as well, on whatever width.
    whole = quoted("ab, " * 200, 1, 401, width=400)[0]
    assert whole.startswith("1 | …")
    assert whole.endswith("…")
    assert not quoted("ab, " * 20, 1, 41, width=400)[0].endswith("…")


def test_what_is_not_there_is_left_out() -> None:
    problems = tuple(Problem(message="", line=line, column=1) for line in (2, 3, 9))
    report = PlanReport(path="a.yaml", verdict="unreadable", problems=problems)
    assert quote_places(report, b"a: 1\n   \n", None) == ()


def test_a_catalogue_is_quoted_from_its_own_text() -> None:
    problems = (Problem(message="", line=1, column=1, file="c.yaml"),)
    report = PlanReport(path="a.yaml", verdict="unreadable", problems=problems)
    (excerpt,) = quote_places(
        report, b"own: 1", Taken(name="c.yaml", file="c.yaml", source=b"theirs: 1")
    )
    assert (excerpt.file, excerpt.text) == ("c.yaml", "theirs: 1")
    assert (
        quote_places(
            report, b"own: 1", Taken(name="c.yaml", file="c.yaml", source=None, error="gone")
        )
        == ()
    )


def finding_lines(source: str, *related: tuple[str, tuple[int, int]], width: int = 60) -> list[str]:
    finding = replace(
        SENSOR, line=1, column=1,
        related=tuple(path for path, _ in related), related_at=tuple(at for _, at in related),
    )  # fmt: skip
    report = PlanReport(path="a.yaml", verdict="", findings=(finding,))
    report = replace(report, excerpts=quote_places(report, source.encode(), None))
    return quote_finding(finding, excerpts_of(report), "", width, PLAIN)


def test_further_places_have_their_names() -> None:
    source = "sensor: x\nA: {lengths: [1, 2]}\n"
    second = ("rooms.kitchen.rows.A.lengths.1", (2, 18))
    third = ("rooms.kitchen.rows.A", (2, 1))
    # The first says its name itself; a place that is named twice is quoted once.
    assert finding_lines(source, second, third, second) == [
        "1 | sensor: x",
        "  | ^^^^^^",
        "2 | A: {lengths: [1, 2]}",
        "  |                  ^ A2",
        "  | ^ row A",
    ]
    right = "x" * 30 + " {film}"
    assert finding_lines(f"sensor:\n{right}", ("films.oak", (2, 33)), width=40)[3] == (
        "  |                           oak ^^^^"
    )
    named = ("films.oak", (2, 5))
    long = f"sensor:\nx: {{{'b' * 16}"
    assert finding_lines(long, named, width=28)[3] == f"  |     {'^' * 16} oak"
    assert finding_lines(long, named, width=27)[3] == f"  | oak {'^' * 16}"
    assert finding_lines(long, ("films.pine", (2, 5)), width=27)[3] == f"  |     {'^' * 16}"
    many = [(f"rooms.{line}.x", (line, 1)) for line in range(2, 9)]
    lines = finding_lines("sensor:\n" + "y: 1\n" * 8, *many)
    assert (len(lines), lines[-1]) == (9, "and 4 more such places")


@pytest.mark.parametrize(
    ("path", "name"),
    [
        ("rooms.hall.rows.A.lengths.0", "A1"),
        ("rooms.hall.rows.A", "row A"),
        ("rooms.hall.leads.W1", "W1"),
        ("tests.2", "tests, no. 3"),
        ("supply", "supply"),
        ('rooms."a.b".leads."W.1"', "W.1"),
        ("", ""),
    ],
)
def test_a_place_is_named_as_people_do(path: str, name: str) -> None:
    assert name_place(path) == name


@given(
    st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=300),
    st.integers(1, 320),
    st.integers(24, 100),
)
def test_whatever_stands_there_one_line_is_shown_and_fits(
    text: str, column: int, width: int
) -> None:
    problem = Problem(message="", line=1, column=column)
    report = PlanReport(path="a.yaml", verdict="unreadable", problems=(problem,))
    for excerpt in quote_places(report, text.encode(), None):
        shown, signs = quote_problem(excerpt, "", width, PLAIN)
        assert shown.isprintable()
        assert set(signs) <= set(" 0123456789|^")
        assert columns_of(shown) <= width
        assert len(signs) <= width


def test_a_checked_plan_brings_the_lines_it_points_at() -> None:
    checker = make_checker((), default_settings(()), date(2026, 12, 1))
    report = examine(b"plan_format: 1\nrooms: {hall: {outlin: 1}}\n", checker, path="a.yaml").report
    lines = {excerpt.line for excerpt in report.excerpts}
    assert lines == {problem.line for problem in report.problems}


def test_words_are_cut_at_a_space_near_by() -> None:
    assert cut_short("Strip A1 lies", 13) == "Strip A1 lies"
    assert cut_short("Strip A1 lies", 12) == "Strip A1…"
    assert cut_short("Strip A1 lies", 9) == "Strip A1…"
    assert cut_short("Strip, A1 lies", 7) == "Strip…"
    assert cut_short("Strip lies A1 near", 14) == "Strip lies A1…"
    assert cut_short("Strip lies A1. Near", 15) == "Strip lies A1…"
    assert cut_short("abcdefghij kl", 5) == "abcd…"
    assert cut_short("床暖房", 5) == "床暖…"
