"""Plans that would slip through by their names, or because the folder is not what git has."""

import os

import pytest

from tests.underfoot.asking import Ask
from tests.underfoot.commands.git_house import CATALOGUE, SHARING, git
from tests.underfoot.commands.tiny_plans import WRONG, put

pytestmark = pytest.mark.usefixtures("folder", "tiny")


def test_a_plan_under_a_name_that_is_none_is_no_pass(house: None, ask: Ask) -> None:
    put("plans/c.yaml.txt", WRONG)
    said = ask("check plans", status=2)
    assert "plans/c.yaml.txt" in said.out
    assert "--exclude" in said.out
    ask("check plans --exclude *.txt")
    # What git has not taken in is not in the commit.
    ask("check plans --tracked")
    git("add", "-A")
    ask("check plans --tracked", status=2)
    put("underfoot.yaml", 'settings_format: 1\nignore: ["*.txt"]\n')
    ask("check plans")


@pytest.mark.parametrize("option", ["--tracked", "--changed-since main"])
@pytest.mark.parametrize("lost", ["plans/b.yaml", "shared/catalogue.yaml", "underfoot.yaml"])
def test_what_a_sparse_checkout_leaves_out_is_told(
    house: None, ask: Ask, option: str, lost: str
) -> None:
    put("underfoot.yaml", "settings_format: 1\n")
    put(".github/jobs.yaml", "jobs: {}\n")
    git("add", "-A")
    git("commit", "-qm", "settings")
    git("update-index", "--skip-worktree", lost, ".github/jobs.yaml")
    os.remove(lost)
    os.remove(".github/jobs.yaml")
    said = ask(f"check . --nothing-is-fine --format lines {option}", status=2)
    assert f"{lost}:1:1: error: git has this" in said.out
    assert "jobs.yaml" not in said.out
    if lost != "underfoot.yaml":
        ask(f"check plans --nothing-is-fine --format lines {option}", status=2)
        folder = lost.split("/")[0]
        ask(f"check . --nothing-is-fine {option} --exclude {folder} --exclude plans/a.yaml")


def test_what_is_deleted_here_alone_is_still_in_the_commit(house: None, ask: Ask) -> None:
    os.remove("plans/b.yaml")
    assert "git restore" in " ".join(ask("check plans --tracked", status=2).out.split())
    git("rm", "-q", "plans/b.yaml")
    ask("check plans --tracked")


def test_what_is_only_meant_to_be_added_is_in_no_commit(house: None, ask: Ask) -> None:
    put("shared/more.yaml", CATALOGUE)
    put("plans/c.yaml", SHARING.replace("catalogue.yaml", "more.yaml"))
    git("add", "plans/c.yaml")
    git("add", "-N", "shared/more.yaml")
    said = ask("check plans --tracked", status=2)
    assert "shared/more.yaml" in said.out
    git("add", "shared/more.yaml")
    ask("check plans --tracked")


def test_a_faulty_catalogue_is_named_where_it_lies(house: None, ask: Ask) -> None:
    put("shared/catalogue.yaml", "catalogue_format: 1\nmaterals: {}\n")
    for form in ("lines", "annotations", "code-quality", "sarif", "json"):
        for folder, named in ((".", "plans"), ("plans", ".")):
            with pytest.MonkeyPatch.context() as patch:
                patch.chdir(folder)
                said = ask("check --format", form, named, status=2).out
            seen = (
                "../shared"
                if (folder, form) in (("plans", "lines"), ("plans", "json"))
                else "shared"
            )
            assert f"{seen}/catalogue.yaml" in said.replace("`../shared/catalogue.yaml`", "")
