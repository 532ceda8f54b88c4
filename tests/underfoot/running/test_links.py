"""How far links to plans and folders are followed."""

import os
from pathlib import Path

from tests.underfoot.running.test_plan_files import LINKS, paths, put
from underfoot.running.plan_files import collect_plans


@LINKS
def test_a_linked_plan_is_checked_once(folder: Path) -> None:
    put("plans/b.yaml")
    os.symlink("b.yaml", "plans/a.yaml")
    assert paths(collect_plans(["plans"])) == ["plans/b.yaml"]
    assert paths(collect_plans(["plans/a.yaml"])) == ["plans/b.yaml"]


@LINKS
def test_links_that_lead_out_or_round_are_left(folder: Path) -> None:
    put("elsewhere/secret.yaml")
    put("plans/a.yaml")
    put("plans/sub/b.yaml")
    os.symlink("../elsewhere", "plans/out")
    os.symlink("..", "plans/up")
    os.symlink("../sub", "plans/sub/round")
    os.symlink("sub", "plans/again")
    collected = collect_plans(["plans"])
    assert paths(collected) == ["plans/a.yaml", "plans/sub/b.yaml"]
    assert collected.passed_over == 2
    assert collected.problems == ()
    os.symlink("../elsewhere/secret.yaml", "plans/out.yaml")
    (problem,) = collect_plans(["plans"]).problems
    assert (problem.file, "leads out" in problem.message) == ("plans/out.yaml", True)


@LINKS
def test_links_are_followed_as_far_as_the_repository(folder: Path) -> None:
    put("plans/a.yaml")
    put("old/b.yaml")
    put("other/deep/c.yaml")
    Path(".git").mkdir()
    os.symlink("../old/b.yaml", "plans/b.yaml")
    os.symlink("../other", "plans/more")
    os.symlink("../plans/more", "other/again")
    os.symlink("../..", "other/deep/up")
    Path("plans/out").symlink_to(folder.parent, target_is_directory=True)
    found = ["old/b.yaml", "other/deep/c.yaml", "plans/a.yaml"]
    for named in ("plans", str(folder / "plans")):
        collected = collect_plans([named])
        assert [os.path.relpath(path) for path in paths(collected)] == found
        assert sorted((os.path.relpath(each.path), each.why) for each in collected.passed) == [
            ("other/deep/up", "a link to a folder that holds this one"),
            ("plans/out", "a link that leads out of what the plans belong to"),
        ]
        assert collected.problems == ()


@LINKS
def test_links_are_followed_as_far_as_the_root_that_is_named(folder: Path) -> None:
    put("all/plans/a.yaml")
    put("all/old/b.yaml")
    put("c.yaml")
    os.symlink("../old/b.yaml", "all/plans/b.yaml")
    assert paths(collect_plans(["all/plans"], root="all")) == ["all/old/b.yaml", "all/plans/a.yaml"]
    os.symlink("../../c.yaml", "all/plans/c.yaml")
    (problem,) = collect_plans(["all/plans"], root="all").problems
    assert problem.file == "all/plans/c.yaml"


@LINKS
def test_a_named_link_to_a_folder_is_that_folder(folder: Path) -> None:
    put("plans/a.yaml")
    os.symlink("plans", "today")
    assert paths(collect_plans(["today"])) == ["plans/a.yaml"]


@LINKS
def test_a_folder_named_like_its_neighbour_is_outside(folder: Path) -> None:
    put("plans/a.yaml")
    put("plans-old/b.yaml")
    os.symlink("../plans-old/b.yaml", "plans/b.yaml")
    assert paths(collect_plans(["plans"])) == ["plans/a.yaml"]
    assert len(collect_plans(["plans"]).problems) == 1


@LINKS
def test_a_link_to_nothing_is_a_plan_that_cannot_be_read(folder: Path) -> None:
    put("plans/a.yaml")
    os.symlink("gone.yaml", "plans/b.yaml")
    os.symlink("c.yaml", "plans/c.yaml")
    assert paths(collect_plans(["plans"])) == ["plans/a.yaml", "plans/b.yaml", "plans/c.yaml"]


@LINKS
def test_a_named_link_to_nothing_is_said(folder: Path) -> None:
    os.symlink("gone", "link.yaml")
    os.symlink("ring.yaml", "ring.yaml")
    assert [problem.message for problem in collect_plans(["link.yaml", "ring.yaml"]).problems] == [
        "this link leads nowhere",
        "this link leads nowhere",
    ]
