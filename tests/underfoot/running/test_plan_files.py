"""Which files are plans, in which order, and what is passed over."""

import os
import sys
from pathlib import Path

import pytest
from msgspec.structs import astuple

from underfoot.running.plan_files import Collected, collect_plans, display_path

PLAN = "plan_format: 1\n"
LINKS = pytest.mark.skipif(sys.platform == "win32", reason="links need a right there")


def put(place: str, text: str = PLAN) -> None:
    path = Path(place)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, "utf-8")


def paths(collected: Collected) -> list[str]:
    return [file.path for file in collected.files]


def test_both_endings_are_plans_and_nothing_else(folder: Path) -> None:
    for name in ("a.yaml", "b.yml", "C.YAML"):
        put(f"plans/{name}")
    for name in ("notes.txt", "d.json", "e.yaml.bak", "format.md"):
        put(
            f"plans/{name}",
            "# Notes\n\n    plan_format: 1\n\nis how a plan begins:\n\nplan_format: 1\n",
        )
    collected = collect_plans(["plans"])
    assert paths(collected) == ["plans/C.YAML", "plans/a.yaml", "plans/b.yml"]
    assert collected.passed_over == 0
    assert collected.problems == ()


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("a.json", '{"plan_format": 1}'),
        ("a.json", '\n{\n  "job": {},\n  "plan_format": 1}'),
        ("a.yaml.txt", "# the hall\n\n" + PLAN),
        ("a.yml_", PLAN),
        ("a", PLAN),
    ],
)
def test_a_plan_under_a_name_that_is_none_is_no_pass(folder: Path, name: str, text: str) -> None:
    put("plans/b.yaml")
    put(f"plans/{name}", text)
    (problem,) = collect_plans(["plans"]).problems
    assert (problem.file, "not called one" in problem.message) == (f"plans/{name}", True)


@pytest.mark.parametrize("name", ["a.yaml~", "a.yaml.bak", "a.yaml.orig"])
def test_a_plan_put_aside_is_told(folder: Path, name: str) -> None:
    put("plans/b.yaml")
    put(f"plans/{name}")
    collected = collect_plans(["plans"])
    assert not collected.problems
    assert [each.path for each in collected.passed] == [f"plans/{name}"]


@pytest.mark.skipif(sys.platform == "win32", reason="such names cannot be there")
@pytest.mark.parametrize(
    "name", ["a.yaml ", "a.yaml\t", "a.yaml\u200b", "a.yaml\u00a0", "a.\u200fyml", "a\uff0eyaml"]
)
def test_a_name_that_ends_as_yaml_to_the_eye_is_one(folder: Path, name: str) -> None:
    put(f"plans/{name}")
    assert len(paths(collect_plans(["plans"]))) == 1


def test_what_is_passed_over_is_counted(folder: Path) -> None:
    put("plans/a.yaml")
    put("plans/underfoot.yaml", PLAN)
    put("plans/.draft.yaml")
    put("plans/.git/old.yaml")
    put("plans/catalogue.yaml", "# what we buy\n\ncatalogue_format: 1\n")
    put("plans/site.yaml", "settings_format: 1\n")
    put("plans/a.review.yaml", "review_format: 1\nplan: plan_format\n")
    put("plans/own.yaml", '{"scheme_format": 1}\n')
    collected = collect_plans(["plans"])
    assert paths(collected) == ["plans/a.yaml"]
    assert collected.passed_over == 6
    # Settings that would not count are no file to pass over.
    (problem,) = collected.problems
    assert (problem.file, "`underfoot.yaml` count: rename it" in problem.message) == (
        "plans/site.yaml",
        True,
    )


def test_only_the_first_key_tells(folder: Path) -> None:
    put("plans/late.yaml", "status: draft\nplan_format: 1\n")
    put("plans/odd.yaml", "status: draft\ncatalogue_format: 1\n")
    put("plans/random.yaml", "- 1\n- 2\n")
    put("plans/broken.yaml", "catalogue_format: [\x07\n")
    put("plans/empty.yaml", "")
    put("plans/json.yaml", '{"plan_format": 1}')
    collected = collect_plans(["plans"])
    assert len(collected.files) == 6
    assert collected.passed_over == 0


def test_a_long_remark_may_stand_before_the_first_key(folder: Path) -> None:
    put("plans/catalogue.yaml", "# words\n" * 8000 + "catalogue_format: 1\n")
    put("plans/a.yaml", "# ä\n" * 20000 + "plan_format: 1\n")
    collected = collect_plans(["plans"])
    assert paths(collected) == ["plans/a.yaml"]
    assert collected.passed_over == 1


def test_a_named_file_is_a_plan_unless_it_says_that_it_is_something_else(folder: Path) -> None:
    put("underfoot.yaml", "settings_format: 1\n")
    put(".hidden.txt", "catalogue_format: 1\n")
    put("catalogue.yaml", "catalogue_format: 1\n")
    put("a.review.yaml", "review_format: 1\n")
    put("other.yaml", "other_format: 1\n")
    collected = collect_plans(
        ["underfoot.yaml", ".hidden.txt", "catalogue.yaml", "other.yaml", "a.review.yaml"]
    )
    assert paths(collected) == [".hidden.txt", "other.yaml"]
    assert tuple(map(astuple, collected.passed)) == (
        ("underfoot.yaml", "settings"),
        ("catalogue.yaml", "a catalogue"),
        ("a.review.yaml", "a review"),
    )
    assert collected.problems == ()


def test_named_settings_that_would_not_count_are_said(folder: Path) -> None:
    put("site.yaml", "settings_format: 1\n")
    (problem,) = collect_plans(["site.yaml"]).problems
    assert (problem.file, "rename it" in problem.message) == ("site.yaml", True)
    collected = collect_plans(["site.yaml"], "site.yaml")
    assert collected.problems == ()
    assert tuple(map(astuple, collected.passed)) == (("site.yaml", "settings"),)


@pytest.mark.parametrize("key", ["Plan_format", "floor_plan_format", "planformat", "plan_Format"])
def test_a_misspelt_format_is_not_passed_over(folder: Path, key: str) -> None:
    put("plans/a.yaml", f"{key}: 1\n")
    assert paths(collect_plans(["plans"])) == ["plans/a.yaml"]


@pytest.mark.parametrize(
    "text",
    [
        "catalogue_format: 1\nplan_format: 1\n",
        "{review_format: 1, 'plan_format': 1}\n",
        '"scheme_format": 1\n"plan\\x5fformat": 1\nplan_format: [',
        "catalogue_format: 1\n" + "# words\n" * 20000 + "plan_format: 1\n",
    ],
)
def test_what_says_that_it_is_two_things_is_not_passed_over(folder: Path, text: str) -> None:
    put("plans/a.yaml")
    put("plans/b.yaml", text)
    for named in ("plans", "plans/b.yaml"):
        (problem,) = collect_plans([named]).problems
        assert (problem.file, "a plan as well" in problem.message) == ("plans/b.yaml", True)


@LINKS
def test_each_file_that_is_passed_over_has_its_reason(folder: Path) -> None:
    put("plans/a.yaml")
    put("plans/underfoot.yaml", "settings_format: 1\n")
    put("plans/catalogue.yaml", "catalogue_format: 1\n")
    put("plans/.draft.yaml")
    put("plans/.old/b.yaml")
    put("elsewhere/c.yaml")
    os.symlink("../elsewhere", "plans/out")
    os.symlink("..", "plans/up")
    collected = collect_plans(["plans"])
    assert tuple(map(astuple, collected.passed)) == (
        ("plans/.draft.yaml", "hidden"),
        ("plans/.old", "a hidden folder"),
        ("plans/catalogue.yaml", "a catalogue"),
        ("plans/out", "a link that leads out of what the plans belong to"),
        ("plans/underfoot.yaml", "settings"),
        ("plans/up", "a link that leads out of what the plans belong to"),
    )


def test_standard_input_may_be_taken_to_lie_somewhere(folder: Path) -> None:
    (file,) = collect_plans(["-"], stdin_name="plans/sub/a.yaml").files
    assert (file.place, file.path, file.folder) == ("-", "plans/sub/a.yaml", "plans/sub")
    (file,) = collect_plans(["-"]).files
    assert (file.place, file.path, file.folder) == ("-", "-", ".")


def test_a_folder_is_read_in_the_order_of_its_paths(folder: Path) -> None:
    for name in ("b.yaml", "a/z.yaml", "a/b/c.yaml", "a-1.yaml", "a.yaml", "Z.yaml", "ä.yaml"):
        put(f"plans/{name}")
    assert paths(collect_plans(["plans"])) == [
        "plans/Z.yaml",
        "plans/a/b/c.yaml",
        "plans/a/z.yaml",
        "plans/a-1.yaml",
        "plans/a.yaml",
        "plans/b.yaml",
        "plans/ä.yaml",
    ]


def test_arguments_keep_their_order(folder: Path) -> None:
    put("b/1.yaml")
    put("a/2.yaml")
    assert paths(collect_plans(["b", "-", "a"])) == ["b/1.yaml", "-", "a/2.yaml"]


def test_a_plan_named_twice_is_checked_once(folder: Path) -> None:
    put("plans/a.yaml")
    put("plans/b.yaml")
    collected = collect_plans(
        ["plans/b.yaml", "plans", "./plans/a.yaml", str(folder / "plans"), "-", "-"]
    )
    assert paths(collected) == ["plans/b.yaml", "plans/a.yaml", "-"]
    assert collected.problems == ()


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="there are no pipes with names")
def test_a_pipe_in_a_folder_is_not_waited_for(folder: Path) -> None:
    put("plans/a.yaml")
    os.mkfifo("plans/b.yaml")
    collected = collect_plans(["plans"])
    assert paths(collected) == ["plans/a.yaml"]
    assert collected.passed_over == 1


def test_what_is_not_there_is_said(folder: Path) -> None:
    put("a.yaml")
    collected = collect_plans(["a.yaml", "b.yaml", "a.yaml/c.yaml", ""])
    assert paths(collected) == ["a.yaml"]
    assert [(problem.file, problem.message) for problem in collected.problems] == [
        ("b.yaml", "there is no such file or folder"),
        ("a.yaml/c.yaml", "there is no such file or folder"),
        ("''", "there is no such file or folder"),
    ]


def test_a_folder_without_plans_is_said(folder: Path) -> None:
    put("plans/underfoot.yaml")
    Path("empty").mkdir()
    collected = collect_plans(["plans", "empty"])
    assert collected.files == ()
    assert collected.passed_over == 1
    assert [(problem.file, problem.message) for problem in collected.problems] == [
        ("plans", "no plan was found in this folder"),
        ("empty", "no plan was found in this folder"),
    ]


def test_paths_are_shown_as_given_with_forward_slashes() -> None:
    assert display_path("./plans//a.yaml") == "plans/a.yaml"
    assert display_path("../plans/a.yaml") == "../plans/a.yaml"
    assert display_path(os.path.join("plans", "a.yaml")) == "plans/a.yaml"
    assert display_path("/plans/a.yaml") == "/plans/a.yaml"


@pytest.mark.skipif(sys.platform != "linux", reason="names are bytes there only")
def test_a_name_that_is_no_text_is_written_out(folder: Path) -> None:
    os.mkdir(b"plans")
    with open(b"plans/\xff.yaml", "wb") as stream:
        stream.write(PLAN.encode())
    assert paths(collect_plans(["plans"])) == ["plans/\\xff.yaml"]


def test_a_very_deep_folder_is_walked(folder: Path) -> None:
    deep = "/".join(["d"] * 300)
    put(f"plans/{deep}/a.yaml")
    assert paths(collect_plans(["plans"])) == [f"plans/{deep}/a.yaml"]


def test_a_folder_that_is_closed_is_said(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    put("plans/a.yaml")
    put("plans/closed/b.yaml")
    scandir = os.scandir

    def refuse(place: str) -> object:
        if str(place).endswith("closed"):
            raise PermissionError(13, "Permission denied", place)
        return scandir(place)

    monkeypatch.setattr(os, "scandir", refuse)
    collected = collect_plans(["plans"])
    assert paths(collected) == ["plans/a.yaml"]
    assert [(problem.file, problem.message) for problem in collected.problems] == [
        ("plans/closed", "this folder cannot be opened: Permission denied")
    ]
