import pytest

from tests.underfoot.reading.samples import SMALL, change, only_problem, problems_of, read
from underfoot.reading.schema import MOST_VIOLATIONS, check_data
from underfoot.reading.syntax import parse

ROW = "A: {film: film-140, at: [60, 60], along: y, lengths: [2750, 2750], circuit: C1}"


@pytest.mark.parametrize(
    ("old", "new", "path", "message"),
    [
        (
            "width: 500",
            "widht: 500",
            "materials.films.film-140.widht",
            "`widht` is no key of a film; did you mean `width`?",
        ),
        (
            "width: 500, ",
            "",
            "materials.films.film-140",
            "a film needs `width`, which is missing: write for example `width: 500`",
        ),
        (
            "{voltage: 230 V}",
            "{voltage: 230}",
            "supply.voltage",
            "`voltage`: `230` has no unit: write `230 V`",
        ),
        (
            "output: 140 W/m2",
            "output: 140",
            "materials.films.film-140.output",
            "`output`: `140` has no unit: write `140 W/m2` or `140 W/m`",
        ),
        (
            "{breaker: 10 A}",
            "{breaker: [10]}",
            "circuits.C1.breaker",
            "`breaker`: a list stands where a current is expected: write for example `10 A`",
        ),
        (
            "plan_format: 1",
            "plan_format: 1\nstatus: For Review",
            "status",
            "`status`: `For Review` is not known here; did you mean `for review`? (write `draft`, "
            "`for review`, `laid`, `covered` or `handed over`)",
        ),
        (
            "plan_format: 1",
            "plan_format: 1\nstatus: done",
            "status",
            "`status`: `done` is not known here: write `draft`, `for review`, `laid`, `covered` or "
            "`handed over`",
        ),
        (
            "plan_format: 1",
            "plan_format: 1\nhandover: {diagram: yes}",
            "handover.diagram",
            "`diagram`: the text `yes` is neither true nor false: write `true`",
        ),
        (
            "plan_format: 1",
            "plan_format: 1\nhandover: {diagram: 1}",
            "handover.diagram",
            "`diagram`: the number `1` is neither true nor false: write `true` or `false`",
        ),
        (
            "plan_format: 1",
            "plan_format: 1\njob: {revision: 2}",
            "job.revision",
            '`revision`: the number `2` stands where text is expected: put it in quotes, `"2"`',
        ),
        (
            "plan_format: 1",
            "plan_format: 1\njob: {date: 14.9.2026}",
            "job.date",
            "`date`: `14.9.2026` is not a date: write `2026-09-14`",
        ),
        (
            "plan_format: 1",
            "plan_format: 1\njob: plot 7",
            "job",
            "`job`: the text `plot 7` stands where a mapping of keys is expected",
        ),
        (
            "  study:",
            "  thermostat:",
            "rooms.thermostat",
            "`thermostat` has a meaning of its own in a plan and cannot be an id: choose another",
        ),
        (
            "  study:",
            "  the study:",
            "rooms.the study",
            "`the study` is no id: an id is made of the letters A to Z, digits, `-` and `_`",
        ),
        (
            "along: y",
            "along: north",
            "rooms.study.rows.A.along",
            "`along`: the text `north` stands where a direction is expected: write `x`, `y` or "
            "`30 deg`",
        ),
        (
            "along: y",
            "along: 30",
            "rooms.study.rows.A.along",
            "`along`: `30` has no unit: write `30 deg`",
        ),
        (
            "at: [60, 60], ",
            "",
            "rooms.study.rows.A",
            "a row needs `at` or `after`",
        ),
        (
            "lengths: [2750, 2750]",
            "length: 2750",
            "rooms.study.rows.A",
            "a row needs `lengths`, or `length` with `count`",
        ),
        (
            "lengths: [2750, 2750]",
            "lengths: [2750, 0]",
            "rooms.study.rows.A.lengths.1",
            "`lengths`: `0` is too small: write more than 0",
        ),
        (
            "lengths: [2750, 2750]",
            "lengths: []",
            "rooms.study.rows.A.lengths",
            "`lengths`: this list is empty; it has 1 or more: `[2750, 2750, null, 2500]`",
        ),
        (
            "lengths: [2750, 2750]",
            "lengths: ['2,75 m']",
            "rooms.study.rows.A.lengths.0",
            "`lengths`: `2,75 m`: write `2.75 m` with a point",
        ),
        (
            "lengths: [2750, 2750]",
            "length: 1 m, count: 2.5",
            "rooms.study.rows.A.count",
            "`count`: the number `2.5` stands where a whole number is expected: write for example "
            "`4`",
        ),
        (
            "at: [60, 60]",
            "at: [60, 60, 0]",
            "rooms.study.rows.A.at",
            "`at`: this list has 3 entries; a point has 2: `[60, 60]`",
        ),
        (
            "film: film-140,",
            "film: film 140,",
            "rooms.study.rows.A.film",
            "`film`: `film 140` is not an id: it is made of the letters A to Z, digits, `-` and "
            "`_`",
        ),
        (
            "output: 140 W/m2",
            "output: 140 W/m2, tolerance: [-10, +5]",
            "materials.films.film-140.tolerance.1",
            "`tolerance`: `+5` is text: write `5`",
        ),
    ],
)
def test_a_violation_says_what_is_expected(old: str, new: str, path: str, message: str) -> None:
    problem = only_problem(change(SMALL, old, new))
    assert (problem.path, problem.message) == (path, message)


def test_the_place_is_the_key_or_what_lacks_it() -> None:
    problem = only_problem(change(SMALL, "width: 500", "widht: 500"))
    assert (problem.line, problem.column) == (4, 16)
    problem = only_problem(change(SMALL, "width: 500, ", ""))
    assert (problem.line, problem.column) == (4, 5)
    problem = only_problem(change(SMALL, "plan_format: 1\n", ""))
    assert (problem.line, problem.column, problem.path) == (1, 1, "")
    assert problem.message.startswith("a plan needs `plan_format`, which is missing")


def test_the_keys_are_listed_where_none_is_close() -> None:
    message = only_problem(change(SMALL, "{breaker: 10 A}", "{xyzzy: 10 A}")).message
    assert message == (
        "`xyzzy` is no key of a circuit; its keys are `thermostat`, `breaker`, `rcd`, `rcd_type`, "
        "`rcd_group`, `phase`, `cable`, `shares` and `links`"
    )


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            "plan_format: 2\nfloors: {}\n",
            "`plan_format: 2` is not known to this version, which reads `plan_format: 1`",
        ),
        (
            "catalogue_format: 1\nmaterials: {}\n",
            "this is a catalogue (`catalogue_format`), where a plan (`plan_format`) is expected",
        ),
        (
            "scheme_format: 1\n",
            "this is a marking scheme (`scheme_format`), where a plan (`plan_format`) is expected",
        ),
        (
            "letter_format: 1\n",
            "this is another file (`letter_format`), where a plan (`plan_format`) is expected",
        ),
        (
            "- 1\n",
            "this is not a plan: a file begins with `plan_format: 1`, and is a mapping of keys",
        ),
        (
            "just text\n",
            "this is not a plan: a file begins with `plan_format: 1`, and is a mapping of keys",
        ),
    ],
)
def test_a_file_of_another_format_has_one_problem(text: str, message: str) -> None:
    assert only_problem(text).message == message


def test_a_format_number_in_quotes_is_a_problem_like_any_other() -> None:
    problem = only_problem(change(SMALL, "plan_format: 1", 'plan_format: "1"'))
    assert problem.path == "plan_format"
    assert "whole number" in problem.message


def test_all_problems_are_listed_in_the_order_of_the_file() -> None:
    text = change(SMALL, "width: 500", "width: -500")
    text = change(text, "{voltage: 230 V}", "{voltage: 230}")
    text = change(text, "along: y", "along: 10 A")
    text = change(text, "circuit: C1", "circiut: C1")
    text = change(text, "film: film-140", "film: film-14")
    text = change(text, "breaker: 10 A", "breaker: 10 V, rcd: &a 30 mA")
    assert problems_of(text) == [
        (4, "materials.films.film-140.width", "`width`: `-500` is too small: write more than 0"),
        (5, "supply.voltage", "`voltage`: `230` has no unit: write `230 V`"),
        (
            10,
            "rooms.study.rows.A.film",
            "`film-14` names no film; did you mean `film-140`?",
        ),
        (
            10,
            "rooms.study.rows.A.along",
            "`along`: `10 A` is a current; an angle is expected: write `30 deg`",
        ),
        (
            10,
            "rooms.study.rows.A.circiut",
            "`circiut` is no key of a row; did you mean `circuit`?",
        ),
        (
            12,
            "circuits.C1.breaker",
            "`breaker`: `10 V` is a voltage; a current is expected: write `10 A`",
        ),
        (
            12,
            "circuits.C1.rcd",
            "`&a` (an anchor) is not read: delete it, and write the values out where they are "
            "needed",
        ),
    ]


def test_what_could_not_be_read_is_not_said_to_be_missing() -> None:
    text = change(SMALL, "film: film-140, at", "film: *alias, at")
    assert "(an alias)" in only_problem(text).message
    text = change(SMALL, "width: 500, output", "<<: *alias, output")
    assert [path for _, path, _ in problems_of(text)] == ["materials.films.film-140"] * 2
    text = change(SMALL, "lengths: [2750, 2750]", "lengths: [2750, 1e999]")
    assert "too large" in only_problem(text).message


def test_a_plan_without_materials_of_its_own_is_told_what_to_write() -> None:
    text = change(SMALL, "materials:\n  films:\n    film-140:", "catalogue: c.yaml\njob:\n  note:")
    messages = [message for _, _, message in problems_of(text)]
    assert (
        "a plan needs `materials`; where the catalogue holds them all, write `materials: {}`"
        in messages
    )


def test_very_many_problems_are_cut_short_with_a_word() -> None:
    rows = "".join(f"  K{number}: {{x: 1}}\n" for number in range(MOST_VIOLATIONS + 5))
    checked = check_data(parse((SMALL + rows).encode()), "plan")
    assert checked.data is None
    assert len(checked.problems) == MOST_VIOLATIONS + 1
    assert "more problems than are listed" in checked.problems[-1].message
    assert read(SMALL + rows).plan is None


def test_null_is_as_if_the_key_were_absent() -> None:
    reading = read(change(SMALL, "{voltage: 230 V}", "{voltage: 230 V, system: null, note: }"))
    assert reading.plan is not None
    assert reading.plan.supply.system == "mains"
    assert (
        "needs `voltage`"
        in only_problem(
            change(SMALL, "supply: {voltage: 230 V}", "supply: {voltage: null}")
        ).message
    )
