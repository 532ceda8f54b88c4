"""`--format known`: what stands in short, held against where plans move and things are renamed."""

import json
import re
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from tests.underfoot.asking import Ask
from underfoot.__main__ import main
from underfoot.reporting import known

STUDY = (Path(__file__).parents[3] / "plans" / "study.yaml").read_text("utf-8")
SCHEMA = Path(known.__file__).with_name("known.schema.json")
TODAY = ("--today", "2026-10-01")
Said = pytest.CaptureFixture[str]


@pytest.fixture(autouse=True)
def top(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A repository with one faulty plan, and what stands in it written down."""
    (tmp_path / ".git").mkdir()
    monkeypatch.chdir(tmp_path)
    put(STUDY)
    write()
    return tmp_path


def put(text: str, place: str = "plans/study.yaml") -> None:
    path = Path(place)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, "utf-8")


def write(where: str = "plans", place: str = "known.json", form: str = "known") -> None:
    arguments = ["check", where, "--format", form, "--output", place, "--refuse-at", "never"]
    assert main([*arguments, *TODAY]) == 0


def held(capsys: Said, where: str = "plans", name: str = "known.json") -> tuple[int, str]:
    status = main(["check", where, "--known", name, *TODAY])
    said = " ".join(capsys.readouterr().out.split())
    match = re.search(r"\d+ new, \d+ worse, \d+ known, \d+ cleared", said)
    assert match
    return status, match[0]


def test_it_follows_its_schema_and_is_short(capsys: Said) -> None:
    data = json.loads(Path("known.json").read_text("utf-8"))
    validator = Draft202012Validator(json.loads(SCHEMA.read_text("utf-8")))
    validator.validate(data)
    assert not validator.is_valid({**data, "known_format": 2})
    (plan,) = data["plans"]
    assert not validator.is_valid({**data, "plans": [{**plan, "findings": [{"rule": "x"}]}]})
    write(form="json", place="whole.json")
    assert Path("known.json").stat().st_size * 10 < Path("whole.json").stat().st_size


def test_a_finding_a_line_and_nothing_of_lines_or_days() -> None:
    lines = Path("known.json").read_text("utf-8").splitlines()
    assert sum('"rule"' in line for line in lines) == 4
    write(place="again.json")
    assert Path("again.json").read_bytes() == Path("known.json").read_bytes()
    put("# a remark\n\n" + STUDY)
    write(place="again.json")
    other = Path("again.json").read_text("utf-8").splitlines()
    assert [line for line in lines if line not in other] == [lines[5]]
    assert '"source"' in lines[5]


def test_nothing_new_passes_from_the_top_and_from_below(
    capsys: Said, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert held(capsys) == (0, "0 new, 0 worse, 4 known, 0 cleared")
    monkeypatch.chdir("plans")
    assert held(capsys, ".", "../known.json") == (0, "0 new, 0 worse, 4 known, 0 cleared")
    write(".", "../from-below.json")
    assert Path("../from-below.json").read_bytes() == Path("../known.json").read_bytes()


def test_a_plan_that_moved_is_known_where_it_is_the_same(capsys: Said) -> None:
    Path("plans/study.yaml").unlink()
    put(STUDY, "plans/upstairs/work.yaml")
    assert held(capsys) == (0, "0 new, 0 worse, 4 known, 0 cleared")


def test_a_plan_that_moved_and_was_edited_is_known_by_reference_and_rooms(capsys: Said) -> None:
    Path("plans/study.yaml").unlink()
    put("# moved\n" + STUDY, "plans/work.yaml")
    assert held(capsys) == (0, "0 new, 0 worse, 4 known, 0 cleared")
    put(STUDY.replace("TC5-FH-03", "TC5-FH-09"), "plans/work.yaml")
    assert held(capsys) == (1, "4 new, 0 worse, 0 known, 0 cleared")


def test_a_copy_is_no_move(capsys: Said) -> None:
    put(STUDY, "plans/copy.yaml")
    assert held(capsys) == (1, "4 new, 0 worse, 4 known, 0 cleared")


def test_of_two_copies_one_alone_can_be_the_plan_that_moved(capsys: Said) -> None:
    Path("plans/study.yaml").unlink()
    put(STUDY, "plans/one.yaml")
    put(STUDY, "plans/two.yaml")
    assert held(capsys) == (1, "4 new, 0 worse, 4 known, 0 cleared")


def test_a_renamed_strip_and_a_renamed_room_are_known(capsys: Said) -> None:
    put(STUDY.replace("X1", "Z9"))
    assert held(capsys) == (0, "0 new, 0 worse, 4 known, 0 cleared")
    put(re.sub(r"\bstudy\b", "den", STUDY))
    assert held(capsys) == (0, "0 new, 0 worse, 4 known, 0 cleared")


def test_a_strip_that_was_renamed_and_moved_is_new(capsys: Said) -> None:
    line = next(line for line in STUDY.splitlines() if re.match(r"\s+X1:", line))
    at = re.search(r"at: \[(\d+), (\d+)\]", line)
    assert at
    moved = line.replace("X1", "Z9").replace(at[0], f"at: [{int(at[1]) + 1}, {at[2]}]")
    put(STUDY.replace(line, moved).replace("X1", "Z9"))
    status, said = held(capsys)
    assert status == 1
    assert not said.startswith("0 new")


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"known_format": 2}, "its known_format is 2"),
        ({"plans": 3}, "`plans` must be a list"),
        ({"plans": [{"path": "a", "findings": [], "source": "x"}]}, "must be mappings"),
        ({"plans": [{"path": "a", "findings": [], "may_be_errors": 3}]}, "must be a mapping"),
    ],
)
def test_what_is_none_is_one_line(ask: Ask, change: dict[str, Any], says: str) -> None:
    data = json.loads(Path("known.json").read_text("utf-8"))
    put(json.dumps({**data, **change}), "known.json")
    said = ask("check plans --known known.json", status=2).err
    assert said.startswith("underfoot: --known known.json: ")
    assert says in said
    assert said.count("\n") == 1
