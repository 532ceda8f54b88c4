"""`underfoot mark` and `underfoot exercise`, run through their own front door."""

import json
import re
import shutil
from pathlib import Path

import pytest
import yaml

from tests.demo_plans import PLANS
from tests.underfoot.asking import Ask
from underfoot.__main__ import main

pytestmark = pytest.mark.process

Said = pytest.CaptureFixture[str]
CLASS = Path(__file__).parents[2] / "demo_class"
TODAY = ["--today", "2026-10-01"]


@pytest.fixture
def small_class(folder: Path) -> Path:
    """Three submissions of the demo class, with its scheme and its comments."""
    handed_in = folder / "submissions"
    handed_in.mkdir()
    for name in ("apprentice-01.yaml", "apprentice-04.yaml", "apprentice-10.yaml"):
        shutil.copy(CLASS / "submissions" / name, handed_in / name)
    for name in ("scheme.yaml", "brief.yaml", "comments.yaml"):
        shutil.copy(CLASS / name, folder / name)
    return folder


def test_a_class_is_marked_by_one_command(small_class: Path, ask: Ask) -> None:
    arguments = ["mark", "submissions", "--comments", "comments.yaml", "--output", "out", *TODAY]
    out = ask(*arguments).out
    assert "apprentice-01     70  passed" in out
    assert "the tool's mark is 64" in out
    assert "CAUTION" in out
    written = {str(one.relative_to("out")) for one in Path("out").rglob("*") if one.is_file()}
    assert written == {
        "class.html", "marks.csv", "marks.json", "marks.xlsx", "pages/apprentice-01.html",
        "pages/apprentice-04.html", "pages/apprentice-10.html",
    }  # fmt: skip
    first = {name: Path("out", name).read_bytes() for name in written}
    ask(*arguments)
    assert {name: Path("out", name).read_bytes() for name in written} == first


def test_known_marks_show_what_moved(small_class: Path, ask: Ask) -> None:
    ask("mark submissions --output out", *TODAY)
    scheme = Path("scheme.yaml")
    changed = scheme.read_text("utf-8").replace("rcd: {marks: 3", "rcd: {marks: 5")
    scheme.write_text(changed, "utf-8")
    out = ask("mark submissions --known out/marks.json", *TODAY).out
    assert "apprentice-04  64 -> 66" in out
    assert "circuit / rcd: 5 of 5, was 3 of 3; the scheme gives 5, not 3" in " ".join(out.split())
    # What can be read of it earns, and so moves too; what is right of all others is as it was.
    assert "apprentice-10  61 -> 63" in out
    assert "apprentice-01  70 -> 72" in out


def test_anonymous_marks_keep_their_key_apart(small_class: Path, ask: Ask) -> None:
    arguments = ["mark", "submissions", "--comments", "comments.yaml", "--anonymous", "key.csv"]
    said = ask(*arguments, "--output", "out", *TODAY)
    out = said.out
    # The comments file names some from whom nothing was handed in: the trainer is told, here alone.
    assert "a comments file names apprentice-02" in said.err
    assert "apprentice-" not in out
    assert re.search(r"^  S0[123] +65  failed outright", out, re.MULTILINE)
    for place in Path("out").rglob("*"):
        assert "apprentice" not in place.name
        if place.suffix in (".html", ".csv", ".json"):
            assert "apprentice-" not in place.read_text("utf-8")
    key = Path("key.csv").read_bytes()
    ask("", *arguments, "--output", "out", *TODAY)
    assert Path("key.csv").read_bytes() == key
    told = ask("", *arguments[:-1], "out/key.csv", "--output", "out", *TODAY, status=2).err
    assert "keep the key apart" in told


def test_no_page_with_a_name_is_left_among_anonymous_results(small_class: Path, ask: Ask) -> None:
    ask("mark submissions --output out", *TODAY)
    said = ask("mark submissions --output out --anonymous key.csv", *TODAY, status=2).err
    assert "would tell names: choose an empty folder" in said


def test_results_never_go_among_the_submissions(small_class: Path, ask: Ask) -> None:
    said = ask("mark submissions --output submissions/out", *TODAY, status=2).err
    assert "among the submissions" in said


def test_a_broken_scheme_is_told_with_its_line(small_class: Path, ask: Ask) -> None:
    Path("scheme.yaml").write_text("scheme_format: 1\ntitel: x\n", "utf-8")
    assert "scheme.yaml:2:1" in ask("mark submissions", *TODAY, status=2).err


def test_no_scheme_no_folder_and_no_submission_are_said(small_class: Path, capsys: Said) -> None:
    Path("empty").mkdir()
    assert main(["mark", "empty", *TODAY]) == 2
    assert main(["mark", "nowhere", *TODAY]) == 2
    Path("scheme.yaml").unlink()
    assert main(["mark", "submissions", *TODAY]) == 2
    err = capsys.readouterr().err
    assert "nothing was handed in" in err
    assert "no such folder" in err
    assert "no scheme.yaml stands beside" in err


def test_an_exercise_is_made_and_its_answers_marked(folder: Path, ask: Ask) -> None:
    shutil.copy(PLANS / "bedroom.yaml", folder / "bedroom.yaml")
    making = ["exercise", "bedroom.yaml", "--faults", "2", "--seed", "3", "--output", "out", *TODAY]
    ask(*making)
    # What finds no room on a sheet stands on a further one.
    assert {one.name.replace(".part-2", "") for one in Path("out").iterdir()} == {
        "exercise.yaml", "brief.txt", "answers.yaml", "key.yaml", "exercise-bedroom.svg",
        "exercise-bedroom-boards.svg", "exercise-bedroom-membrane.svg",
    }  # fmt: skip
    first = {one.name: one.read_bytes() for one in Path("out").iterdir()}
    ask(*making)
    assert {one.name: one.read_bytes() for one in Path("out").iterdir()} == first
    key = yaml.safe_load(Path("out/key.yaml").read_text("utf-8"))
    fault = key["faults"][0]
    answers = {
        "answers_format": 1,
        "faults": [
            {"kind": fault["rule"], **({"room": fault["room"]} if "room" in fault else {}),
             **({"item": fault["items"][0]} if fault["items"] else {})},
            {"kind": "bath-zone", "room": "bedroom", "item": "no-such-thing"},
        ],
    }  # fmt: skip
    Path("answers").mkdir()
    Path("answers/ada.yaml").write_text(json.dumps(answers), "utf-8")
    Path("answers/broken.yaml").write_text("answers_format: 1\nfault: []\n", "utf-8")
    out = ask("mark answers --answers out/key.yaml --output marked").out
    # One found at 2, one wrong accusation at 1 off, of two faults at 2.
    assert "ada: 1 of 4 (1 of 2 faults found, 1 wrong accusation)" in out
    assert "broken: 0 of 4" in out
    marked = json.loads(Path("marked/answers.json").read_text("utf-8"))
    assert [one["earned"] for one in marked["lists"]] == [1, 0]
    assert sorted(one.name for one in Path("marked/pages").iterdir()) == ["ada.html", "broken.html"]
    page = Path("marked/pages/ada.html").read_text("utf-8")
    assert "1 of 2 faults found" in page
    # The exercise lies beside its key, so its faults are drawn.
    assert 'class="room-drawing"' in page
    assert "did you mean" in Path("marked/pages/broken.html").read_text("utf-8")
    assert {one.name for one in Path("marked").iterdir()} == {
        "answers.csv", "answers.json", "answers.xlsx", "class.html", "pages",
    }  # fmt: skip
    assert "ada" in Path("marked/class.html").read_text("utf-8")
    # Kinds that are no rules are refused with the nearest; where the file lies, nobody else looks.
    Path("answers/notes.txt").write_text("mine", "utf-8")
    Path("answers/cy.yaml").write_text(
        "answers_format: 1\nfaults:\n  - {kind: bathzone, room: bedroom}\n", "utf-8"
    )
    said = ask("mark answers --answers out/key.yaml")
    assert "notes.txt was passed over" in said.err
    assert "cy.yaml:3:6" in said.out
    assert "the kind `bathzone` is no rule; did you mean `bath-zone`?" in " ".join(said.out.split())
    assert "cy: 0 of 4 (0 of 2 faults found, 0 wrong accusations)" in said.out


@pytest.mark.parametrize(
    ("given", "named"),
    [
        (["--scheme", "scheme.yaml"], "--scheme"),
        (["--comments", "comments.yaml", "--jobs", "2"], "--comments and --jobs"),
        (["--known", "marks.json"], "--known"),
        (["--jobs", "2"], "--jobs"),
        (["--plan-seconds", "9"], "--plan-seconds"),
        (TODAY, "--today"),
    ],
)
def test_answers_go_with_no_option_that_is_for_plans(
    folder: Path, given: list[str], named: str, ask: Ask
) -> None:
    Path("answers").mkdir()
    said = ask("mark answers --answers key.yaml", *given, status=2).err
    assert f"{named}: this is for marking plans, and does nothing with --answers" in said


def test_answers_are_not_written_among_what_was_handed_in(folder: Path, ask: Ask) -> None:
    Path("answers").mkdir()
    arguments = ["mark", "answers", "--answers", "key.yaml", "--output", "answers/out"]
    assert "this lies among the submissions" in ask(*arguments, status=2).err


@pytest.fixture
def answers(folder: Path) -> Path:
    """Lists of answers for an exercise's key: Ada's two, and Cy's."""
    Path("key.yaml").write_text(
        "key_format: 1\nattempt: best\nmarks: {found: 2, place_only: 1, wrong: 1}\n"
        "faults:\n  - {rule: rcd, items: [C1]}\n",
        "utf-8",
    )
    Path("answers").mkdir()
    for name, kind in (("ada", "rcd"), ("ada-2", "bath-zone"), ("cy", "rcd")):
        Path(f"answers/{name}.yaml").write_text(
            f"answers_format: 1\nfaults: [{{kind: {kind}, item: C1}}]\n", "utf-8"
        )
    return folder


def test_answers_know_roster_and_attempts(answers: Path, ask: Ask) -> None:
    Path("roster.csv").write_text("file,name\nada,Ada Ash\nbo,Bo Beech\n", "utf-8")
    command = ["mark", "answers", "--answers", "key.yaml", "--roster", "roster.csv"]
    said = ask(*command, "--output", "out")
    assert (
        "Ada Ash: 2 of 2 (1 of 1 faults found, 0 wrong accusations; attempt 1 of 2, the best)"
        in (said.out)
    )
    assert "Bo Beech: nothing handed in" in said.out
    assert "cy was handed in, but is not on the roster" in said.err
    assert "2 pages" in said.err
    assert sorted(one.name for one in Path("out/pages").iterdir()) == ["Ada-Ash.html", "cy.html"]
    found = json.loads(Path("out/answers.json").read_text("utf-8"))["lists"]
    assert [(one["name"], one["attempt"], one["attempts"]) for one in found] == [
        ("Ada Ash", 1, 2), ("Bo Beech", None, 0), ("cy", 1, 1),
    ]  # fmt: skip
    assert "leave one of them out" in ask(*command, "--anonymous", "lots.csv", status=2).err


def test_answers_go_by_numbers_whose_key_is_kept_apart(
    answers: Path, capsys: Said, ask: Ask
) -> None:
    command = ["mark", "answers", "--answers", "key.yaml", "--output", "out", "--anonymous"]
    assert "keep the key apart" in ask(*command, "out/lots.csv", status=2).err
    assert main([*command, "lots.csv"]) == 0
    lots = Path("lots.csv").read_text("utf-8")
    assert sorted(lots.split()[1:]) in (["S01,ada", "S02,cy"], ["S01,cy", "S02,ada"])
    for place in Path("out").rglob("*.*"):
        if place.suffix != ".xlsx":
            assert not re.search(r"\b(ada|cy)\b", place.read_text("utf-8")), place
    assert not re.search(r"\b(ada|cy)\b", capsys.readouterr().out)
    # The numbers stay where the key is there already.
    assert main([*command, "lots.csv"]) == 0
    assert Path("lots.csv").read_text("utf-8") == lots


def test_a_roster_names_everybody_and_shows_who_is_missing(small_class: Path, ask: Ask) -> None:
    Path("roster.csv").write_text(
        "file,name,number\napprentice-10,Cy Cedar,\napprentice-04,Ada Ash,\nbo,Bo Beech,\n", "utf-8"
    )
    arguments = ["mark", "submissions", "--comments", "comments.yaml", "--roster", "roster.csv"]
    said = ask(*arguments, "--output", "out", *TODAY)
    assert "apprentice-01 was handed in, but is not on the roster" in said.err
    assert re.search(r"Bo Beech +– +nothing handed in", said.out)
    # The comments name the file; the roster says whose it is.
    assert re.search(r"Ada Ash +65 +failed outright", said.out)
    assert sorted(one.name for one in Path("out/pages").iterdir()) == [
        "Ada-Ash.html", "Bo-Beech.html", "Cy-Cedar.html", "apprentice-01.html",
    ]  # fmt: skip
    told = ask(*arguments, "--anonymous", "key.csv", *TODAY, status=2).err
    assert "leave one of them out" in told
    with open("comments.yaml", "a", encoding="utf-8") as stream:
        stream.write("  Ada Ash: {comment: once more}\n")
    told = ask(*arguments, *TODAY, status=2).err
    assert "name one submission twice, as apprentice-04 and as Ada Ash" in told


def test_a_roster_with_numbers_leaves_no_name_in_the_results(small_class: Path, ask: Ask) -> None:
    Path("roster.csv").write_text(
        "file;name;number\napprentice-10;Cy Cedar;710\napprentice-04;Ada Ash;704\n", "utf-8"
    )
    told = Path("comments.yaml").read_text("utf-8")
    Path("comments.yaml").write_text(told.replace("The route", "Ada Ash, the route"), "utf-8")
    arguments = ["mark", "submissions", "--comments", "comments.yaml", "--roster", "roster.csv"]
    said = ask(*arguments, "--output", "out", *TODAY)
    assert "apprentice-01 was handed in, but is not on the roster" in said.err
    assert re.search(r"^  704 +65  failed outright", said.out, re.MULTILINE)
    for place in Path("out").rglob("*"):
        assert "apprentice" not in place.name
        if place.suffix in (".html", ".csv", ".json"):
            text = place.read_text("utf-8")
            assert "apprentice-" not in text
            assert "Ada" not in text
    Path("roster.csv").write_text("name\nAda\n", "utf-8")
    heard = ask(*arguments, *TODAY, status=2).err
    assert "--roster roster.csv: its first line names no column `file`" in heard


def test_jobs_change_no_byte(small_class: Path, capsys: Said) -> None:
    outs = []
    for jobs in ("1", "3"):
        assert main(["mark", "submissions", "--jobs", jobs, "--output", jobs, *TODAY]) == 0
        outs.append(capsys.readouterr().out)
        outs.append(Path(jobs, "marks.json").read_text("utf-8"))
    assert outs[:2] == outs[2:]


def test_an_attempt_has_so_much_processor_time(small_class: Path, ask: Ask) -> None:
    assert ask("mark submissions --plan-seconds 0.001", *TODAY).out.count("not readable") == 3
    ask("mark submissions --plan-seconds 0", *TODAY, status=2)


@pytest.mark.parametrize("of", ["scheme", "comments", "answers", "key"])
def test_the_trainers_files_have_schemas(of: str, ask: Ask) -> None:
    schema = ask("schema --of", of).data
    assert f"{of}_format" in schema["properties"]
