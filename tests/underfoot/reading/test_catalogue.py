from pathlib import Path

import pytest

from tests.there import there
from tests.underfoot.reading.samples import SMALL, change
from underfoot.reading import Reading, read_plan
from underfoot.reading.catalogue import find_root

CATALOGUE = """\
catalogue_format: 1
materials:
  films:
    film-140: {width: 400, output: 100 W/m2, voltage: 230 V}
    film-80: {width: 500, output: 80 W/m2, voltage: 230 V, boards: [board-6, board-9]}
  boards:
    board-6: {size: [1200, 600]}
  coverings:
    oak: {kind: laminate}
method_statement:
  busbars: up
  floor_cleaned: true
"""
PLAN = change(SMALL, "materials:", "catalogue: shared/kinds.yaml\nmaterials:")
PLAN = change(PLAN, "\nsupply:", "\n  boards: {board-9: {size: [900, 600]}}\nsupply:")
PLAN = change(PLAN, "{breaker: 10 A}", "{breaker: 10 A}\nmethod_statement: {busbars: down}")


def lay_out(folder: Path, catalogue: str | bytes = CATALOGUE) -> Path:
    """A repository with a catalogue beside the plan's folder."""
    (folder / ".git").mkdir()
    (folder / "plans" / "shared").mkdir(parents=True)
    source = catalogue.encode() if isinstance(catalogue, str) else catalogue
    (folder / "plans" / "shared" / "kinds.yaml").write_bytes(source)
    return folder / "plans"


def read_in(folder: Path, text: str = PLAN, root: Path | None = None) -> Reading:
    return read_plan(text.encode(), path="plans/study.yaml", folder=folder, root=root)


def test_the_plan_s_own_entries_win(tmp_path: Path) -> None:
    reading = read_in(lay_out(tmp_path))
    plan = there(reading.plan)
    assert plan.catalogue == "shared/kinds.yaml"
    films = plan.materials.films
    assert (films["film-140"].width, films["film-140"].path) == (
        500,
        "materials.films.film-140",
    )
    assert (films["film-80"].output_w_m2, films["film-80"].path) == (
        80,
        "catalogue.materials.films.film-80",
    )
    assert plan.rooms["study"].elements[0].film is films["film-140"]
    assert set(plan.materials.boards) == {"board-6", "board-9"}
    method = there(plan.method_statement)
    assert method.path == "method_statement"
    assert method.steps == {"busbars": "down", "floor_cleaned": True}
    assert method.paths == {
        "busbars": "method_statement.busbars",
        "floor_cleaned": "catalogue.method_statement.floor_cleaned",
    }


def test_a_catalogue_s_things_lie_at_the_plan_s_key(tmp_path: Path) -> None:
    reading = read_in(lay_out(tmp_path))
    assert reading.plan is not None
    here = reading.positions["catalogue"]
    assert here == (2, 1)
    for path in (
        "catalogue.materials.films.film-80",
        "catalogue.materials.coverings.oak",
        "catalogue.method_statement",
        "catalogue.method_statement.floor_cleaned",
    ):
        assert reading.positions[path] == here


def test_a_catalogue_s_method_alone(tmp_path: Path) -> None:
    text = PLAN.replace("method_statement: {busbars: down}\n", "")
    plan = there(read_in(lay_out(tmp_path), text).plan)
    assert plan.method_statement is not None
    assert plan.method_statement.path == "catalogue.method_statement"
    assert plan.method_statement.steps["busbars"] == "up"


def test_problems_of_a_catalogue_name_its_file_and_line(tmp_path: Path) -> None:
    faulty = change(CATALOGUE, "output: 80 W/m2", "output: 80")
    faulty = change(faulty, "[board-6, board-9]", "[board-6, board-7]")
    faulty = change(faulty, "kind: laminate", "kind: laminate, warmest_surface: 27 K")
    reading = read_in(lay_out(tmp_path, faulty))
    assert reading.plan is None
    assert [(one.file, one.line, one.column, one.path) for one in reading.problems] == [
        ("plans/shared/kinds.yaml", 5, 27, "materials.films.film-80.output"),
        ("plans/shared/kinds.yaml", 5, 73, "materials.films.film-80.boards.1"),
        ("plans/shared/kinds.yaml", 9, 27, "materials.coverings.oak.warmest_surface"),
    ]
    assert [one.message for one in reading.problems] == [
        "in the catalogue `shared/kinds.yaml`: `output`: `80` has no unit: write `80 W/m2` or "
        "`80 W/m`",
        "in the catalogue `shared/kinds.yaml`: `board-7` names no board; did you mean `board-9`?",
        "in the catalogue `shared/kinds.yaml`: `warmest_surface`: `27 K` is -246.15 °C, which "
        "cannot be meant: write `27 degC`",
    ]


@pytest.mark.parametrize(
    ("catalogue", "words"),
    [
        ("plan_format: 1\n", "this is a plan (`plan_format`), where a catalogue"),
        ("catalogue_format: 2\n", "is not known to this version"),
        ("a: &a [*a]\n", "(an anchor) is not read"),
        (b"\xff", "is not UTF-8"),
        ("", "the file is empty"),
        ("catalogue_format: 1\nrooms: {}\n", "`rooms` is no key of a catalogue"),
        (b"#" * 5_000_001, "at most 5 MB are read"),
    ],
)
def test_the_same_limits_hold_for_a_catalogue(
    tmp_path: Path, catalogue: str | bytes, words: str
) -> None:
    reading = read_in(lay_out(tmp_path, catalogue))
    assert reading.plan is None
    assert any(words in one.message for one in reading.problems)
    assert all(one.file == "plans/shared/kinds.yaml" for one in reading.problems)


def message_of(folder: Path, name: str, root: Path | None = None) -> str:
    text = change(PLAN, "shared/kinds.yaml", name)
    reading = read_in(folder, text, root)
    assert reading.plan is None
    problem = reading.problems[0]
    assert (problem.path, problem.line, problem.column) == ("catalogue", 2, 1)
    return problem.message


def test_a_catalogue_lies_inside_the_repository(tmp_path: Path) -> None:
    plans = lay_out(tmp_path)
    (tmp_path / "kinds.yaml").write_text(CATALOGUE)
    outside = tmp_path.parent / f"{tmp_path.name}-outside.yaml"
    outside.write_text(CATALOGUE)
    assert read_in(plans, change(PLAN, "shared/kinds.yaml", "../kinds.yaml")).plan is not None
    for name in (f"../../{outside.name}", str(outside), "/etc/hostname", "../.."):
        assert "lies outside the plan's repository" in message_of(plans, name)
    (plans / "link.yaml").symlink_to(outside)
    assert "lies outside the plan's repository" in message_of(plans, "link.yaml")
    (plans / "inner.yaml").symlink_to(tmp_path / "kinds.yaml")
    assert read_in(plans, change(PLAN, "shared/kinds.yaml", "inner.yaml")).plan is not None


def test_without_a_repository_the_plan_s_folder_is_the_bound(tmp_path: Path) -> None:
    plans = lay_out(tmp_path)
    (tmp_path / ".git").rmdir()
    (tmp_path / "kinds.yaml").write_text(CATALOGUE)
    assert find_root(plans) == plans.resolve()
    assert read_in(plans).plan is not None
    assert "lies outside" in message_of(plans, "../kinds.yaml")
    text = change(PLAN, "shared/kinds.yaml", "../kinds.yaml")
    assert read_in(plans, text, tmp_path).plan is not None


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("none.yaml", "there is no file `none.yaml`, seen from the plan's folder"),
        ("shared", "there is no file `shared`"),
        ('"a\\0b"', "cannot be opened"),
        ("x" * 5000, "cannot be opened"),
        ('""', "there is no file"),
    ],
)
def test_a_catalogue_that_cannot_be_opened(tmp_path: Path, name: str, words: str) -> None:
    assert words in message_of(lay_out(tmp_path), name)


@pytest.mark.parametrize(
    ("there", "named", "words"),
    [
        ("Kinds.yaml", "kinds.yaml", "`Kinds.yaml` is there, written with other capitals"),
        # The same letter as one sign, and as a letter and its accent (Unicode's NFC and NFD).
        ("ka\u0308.yaml", "k\u00e4.yaml", "is there, written with other signs that look the same"),
        ("other.yaml", "kinds.yaml", "seen from the plan's folder"),
    ],
)
def test_a_catalogue_whose_name_is_written_otherwise(
    tmp_path: Path, there: str, named: str, words: str
) -> None:
    plans = lay_out(tmp_path)
    (plans / there).write_text(CATALOGUE)
    if (plans / named).exists():
        pytest.skip("this system takes the two for one")
    assert words in message_of(plans, named)


def test_a_pointer_to_a_catalogue_that_is_kept_elsewhere(tmp_path: Path) -> None:
    # As git-lfs.com publishes the form of its pointers.
    pointer = b"version https://git-lfs.github.com/spec/v1\noid sha256:4d7a21\nsize 12345\n"
    (problem,) = read_in(lay_out(tmp_path, pointer)).problems
    assert "only the pointer to it is here" in problem.message


def test_a_link_to_itself(tmp_path: Path) -> None:
    plans = lay_out(tmp_path)
    (plans / "loop.yaml").symlink_to(plans / "loop.yaml")
    assert message_of(plans, "loop.yaml")


def test_a_plan_in_no_folder_takes_nothing_in() -> None:
    reading = read_plan(PLAN.encode(), path="-")
    assert "lies in no folder" in reading.problems[0].message


@pytest.mark.parametrize("catalogue", [b"", b"plan_format: 1\n", b"\xff", b"catalogue_format: ["])
def test_what_a_catalogue_would_have_named_is_not_told_beside_it(
    tmp_path: Path, catalogue: bytes
) -> None:
    # Of one cause one problem: what it holds cannot be known, a misspelt room can.
    text = change(PLAN, "film: film-140", "film: film-80")
    reading = read_in(lay_out(tmp_path, catalogue), text)
    (problem,) = reading.problems
    assert problem.file == "plans/shared/kinds.yaml"
    text = change(text, "C1: {breaker", "C1: {thermostat: stady, breaker")
    told = [problem.message for problem in read_in(tmp_path / "plans", text).problems]
    assert told[0] == "`stady` names no room; did you mean `study`?"
    assert len(told) == 2


def test_what_a_faulty_catalogue_does_name_is_held_against_it(tmp_path: Path) -> None:
    faulty = CATALOGUE.replace("80 W/m2", "80")
    text = change(PLAN, "film: film-140", "film: film-90")
    messages = [problem.message for problem in read_in(lay_out(tmp_path, faulty), text).problems]
    assert any("`film-90` names no film" in message for message in messages)


def test_what_differs_from_the_catalogue_s_method_is_listed_whatever_unit_it_is_in(
    tmp_path: Path,
) -> None:
    catalogue = change(CATALOGUE, "busbars: up", "busbars: up\n  bare_conductor: 6 mm")
    steps = "{busbars: down, bare_conductor: 0.6 cm}"
    plan = there(read_in(lay_out(tmp_path, catalogue), change(PLAN, "{busbars: down}", steps)).plan)
    (method,) = [entry for entry in plan.own_entries if entry.kind == "method statement"]
    assert [(each.key, each.own, each.shared) for each in method.differences] == [
        ("busbars", "down", "up")
    ]
