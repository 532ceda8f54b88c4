"""What has changed, as a list or git tells it: what is checked then, and what is no answer."""

import os
import shutil
import subprocess
from pathlib import Path

import pytest

from tests.underfoot.asking import Ask
from tests.underfoot.commands.git_house import CATALOGUE, SHARING, STRICT, git
from tests.underfoot.commands.tiny_plans import NOTED, RIGHT, WRONG, put

pytestmark = pytest.mark.usefixtures("folder", "tiny")


@pytest.mark.parametrize(
    ("source", "says"),
    [
        (b"", "the list is empty"),
        (b"\n\n", "the list is empty"),
        (b"\0", "the list is empty"),
        (b"docs/readme.md\n", "names nothing below the paths to check"),
        (b"plans-old/a.yaml\n", "names nothing below the paths to check"),
    ],
)
def test_a_list_that_tells_nothing_is_no_pass(
    house: None, ask: Ask, source: bytes, says: str
) -> None:
    said = ask("check plans --changed -", stdin=source, status=2)
    assert says in said.err
    assert "--nothing-is-fine" in said.err
    assert "nothing to check" in ask("check plans --changed - --nothing-is-fine", stdin=source).err


def test_a_change_beside_the_plans_is_an_answer(house: None, ask: Ask) -> None:
    said = ask("check plans --changed - --nothing-is-fine", stdin=b"plans/notes.txt\n").err
    assert "nothing to check: no plan has changed" in said
    # It leaves nothing to check all the same, which passes only where that was said to be fine.
    said = ask("check plans --changed -", stdin=b"plans/notes.txt\n", status=2).err
    assert "nothing is left to check: no plan has changed" in said


@pytest.mark.parametrize(
    ("name", "quoted"),
    [
        ("plans/gr\u00fcn.yaml", b'"plans/gr\\303\\274n.yaml"'),
        ('plans/a "b".yaml', b'"plans/a \\"b\\".yaml"'),
        ("plans/tab\there.yaml", b'"plans/tab\\there.yaml"'),
    ],
)
def test_names_that_git_quotes(house: None, ask: Ask, name: str, quoted: bytes) -> None:
    put(name, RIGHT)
    git("add", "-A")
    git("commit", "-qm", "second")
    told = subprocess.run(
        ["git", "diff", "--name-only", "HEAD~", "HEAD"], check=True, capture_output=True
    ).stdout
    assert told == quoted + b"\n"
    assert ask("check plans --changed - --format json", stdin=told).plans == [name]


@pytest.mark.parametrize("listed", [b"plans/sub\n", b"plans/sub/\n"])
def test_a_folder_stands_for_all_below_it(house: None, ask: Ask, listed: bytes) -> None:
    # A submodule's change is told as that of its folder.
    put("plans/sub/c.yaml", RIGHT)
    put("plans/sub/deep/d.yaml", RIGHT)
    put("plans/sub-old/e.yaml", RIGHT)
    said = ask("check plans --changed - --format json", stdin=listed)
    assert said.plans == ["plans/sub/c.yaml", "plans/sub/deep/d.yaml"]


def test_a_folder_with_the_catalogue_stands_for_it(house: None, ask: Ask) -> None:
    assert ask("check . --changed - --format json", stdin=b"shared\n").plans == ["plans/a.yaml"]


def test_a_link_stands_for_what_it_leads_to(house: None, ask: Ask) -> None:
    os.symlink("b.yaml", "plans/today.yaml")
    said = ask("check plans --changed - --format json", stdin=b"plans/today.yaml\n")
    assert said.plans == ["plans/b.yaml"]


def test_names_from_the_top_are_understood_below_it(
    house: None, ask: Ask, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir("plans")
    for source in (b"plans/b.yaml\n", b"b.yaml\n"):
        assert ask("check . --changed - --format json", stdin=source).plans == ["b.yaml"]


def test_a_plan_whose_catalogue_is_missing_is_always_checked(house: None, ask: Ask) -> None:
    os.rename("shared/catalogue.yaml", "shared/kinds.yaml")
    said = ask("check plans --changed - --format json", stdin=b"plans/b.yaml\n", status=2)
    assert said.plans == ["plans/a.yaml", "plans/b.yaml"]


def test_git_is_asked_itself(house: None, ask: Ask) -> None:
    git("checkout", "-qb", "work")
    put("shared/catalogue.yaml", CATALOGUE + "note: dearer\n")
    git("commit", "-qam", "prices")
    assert ask("check plans --changed-since main --format json").plans == ["plans/a.yaml"]
    # What is not committed yet counts too, known to git or not.
    put("plans/b.yaml", RIGHT + "note: drawn anew\n")
    put("plans/c.yaml", RIGHT)
    said = ask("check plans --changed-since main --format json")
    assert said.plans == ["plans/a.yaml", "plans/b.yaml", "plans/c.yaml"]


def test_git_is_asked_from_a_folder_below(
    house: None, ask: Ask, monkeypatch: pytest.MonkeyPatch
) -> None:
    put("plans/b.yaml", RIGHT + "note: drawn anew\n")
    monkeypatch.chdir("plans")
    assert ask("check . --changed-since main --format json").plans == ["b.yaml"]


def test_what_happened_on_main_meanwhile_is_not_this_branch_s(house: None, ask: Ask) -> None:
    git("branch", "work")
    put("plans/b.yaml", RIGHT + "note: on main\n")
    git("commit", "-qam", "on main")
    git("checkout", "-q", "work")
    since = ["check", "plans", "--changed-since", "main"]
    assert "nothing to check" in ask(*since, "--nothing-is-fine").err
    assert "say --nothing-is-fine" in ask(*since, status=2).err


def test_a_plan_renamed_is_checked_under_its_new_name(house: None, ask: Ask) -> None:
    git("mv", "plans/b.yaml", "plans/new.yaml")
    git("commit", "-qm", "renamed")
    assert ask("check plans --changed-since HEAD~ --format json").plans == ["plans/new.yaml"]


@pytest.mark.parametrize("reference", ["origin/main", "--all", "HEAD:plans"])
def test_a_git_that_fails_ends_the_run(house: None, ask: Ask, reference: str) -> None:
    said = ask("check plans", f"--changed-since={reference}", status=2)
    assert said.out == ""
    assert "--changed-since" in said.err


def test_a_shallow_clone_ends_the_run_and_names_the_remedy(
    house: None, ask: Ask, monkeypatch: pytest.MonkeyPatch
) -> None:
    git("checkout", "-qb", "work")
    put("plans/b.yaml", RIGHT + "note: drawn anew\n")
    git("commit", "-qam", "work")
    here = Path.cwd().as_uri()
    git("clone", "-q", "--depth", "1", "--branch", "work", here, "clone")
    monkeypatch.chdir("clone")
    git("fetch", "-q", "--depth", "1", "origin", "main:refs/remotes/origin/main")
    assert "fetch the whole history" in ask("check plans --changed-since origin/main", status=2).err


def test_outside_a_repository_git_cannot_say(ask: Ask, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("GIT_CEILING_DIRECTORIES", str(Path.cwd().parent))
    put("plans/a.yaml", RIGHT)
    said = ask("check plans --changed-since main", status=2).err
    assert "--changed-since: git rev-parse failed" in said


def test_only_one_way_of_asking(house: None, ask: Ask) -> None:
    assert "give one of them" in ask("check plans --changed x --changed-since main", status=2).err


def test_what_git_ignores_or_does_not_look_at_is_always_checked(house: None, ask: Ask) -> None:
    put(".gitignore", "plans/own.yaml\n")
    git("add", "-A")
    git("commit", "-qm", "second")
    put("plans/own.yaml", RIGHT)
    put("plans/b.yaml", RIGHT + "note: drawn anew\n")
    git("update-index", "--assume-unchanged", "plans/b.yaml")
    said = ask("check plans --changed-since HEAD --format json")
    assert said.plans == ["plans/b.yaml", "plans/own.yaml"]


def test_settings_that_git_cannot_see_may_have_changed(house: None, ask: Ask) -> None:
    outside = Path.cwd().parent / "site.yaml"
    outside.write_text("settings_format: 1\n", "utf-8")
    command = ["check", "plans", "--changed-since", "HEAD", "--settings", str(outside)]
    assert ask(*command, "--format", "json").plans == ["plans/a.yaml", "plans/b.yaml"]


def test_settings_in_the_repository_above_a_submodule_are_asked_for(house: None, ask: Ask) -> None:
    git("init", "-q", "-b", "main", "part")
    put("part/c.yaml", RIGHT)
    git("add", "-A", folder="part")
    git("commit", "-qm", "part", folder="part")
    git("submodule", "--quiet", "add", "./part", "part")
    os.rename("part/.git", ".git/part")
    put("part/.git", "gitdir: ../.git/part\n")
    put("underfoot.yaml", STRICT)
    git("add", "-A")
    git("commit", "-qm", "second")
    put("underfoot.yaml", STRICT + "locked: true\n")
    assert ask("check part --changed-since main --format json").plans == ["part/c.yaml"]


@pytest.fixture
def held() -> None:
    """Two submodules whose plans lie in a repository that alone has a branch `base`."""
    for name in ("one", "two"):
        put(f"{name}/plan.yaml", RIGHT)
        git("init", "-q", "-b", "main", folder=name)
        git("add", "-A", folder=name)
        git("commit", "-qm", "first", folder=name)
    put("house/own.yaml", RIGHT)
    git("init", "-q", "-b", "main", folder="house")
    for name in ("one", "two"):
        place = str(Path(name).resolve())
        allow = "protocol.file.allow=always"
        git("-c", allow, "submodule", "add", "-q", place, name, folder="house")
    git("add", "-A", folder="house")
    git("commit", "-qm", "first", folder="house")
    git("branch", "base", folder="house")


def test_a_submodule_that_does_not_know_the_branch_is_answered_for(held: None, ask: Ask) -> None:
    since = ["check", "house", "--changed-since", "base", "--format", "json"]
    assert "nothing is left to check" in ask(*since, status=2).err
    put("house/one/plan.yaml", WRONG)  # not committed yet
    assert ask(*since, status=1).plans == ["house/one/plan.yaml"]
    git("commit", "-qam", "second", folder="house/one")
    git("add", "one", folder="house")
    git("commit", "-qm", "second", folder="house")
    assert ask(*since, status=1).plans == ["house/one/plan.yaml"]
    assert "git merge-base failed" in ask(*since[:3], "nowhere", status=2).err


@pytest.mark.parametrize("told", ["GIT_INDEX_FILE", "GIT_INDEX_FILE GIT_DIR"])
@pytest.mark.parametrize("asked", ["--tracked", "--changed-since base"])
def test_in_a_hook_each_repository_is_asked_for_itself(
    held: None, ask: Ask, asked: str, told: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Git tells a hook which list of files it runs for, and in a further work tree which folder."""
    put("house/one/plan.yaml", WRONG)
    put("house/one/stray.yaml", WRONG)
    top = os.path.abspath("house")
    git("add", "one", folder="house")
    places = {"GIT_DIR": f"{top}/.git", "GIT_INDEX_FILE": f"{top}/.git/index.lock"}
    for name in told.split():
        monkeypatch.setenv(name, places[name])
    shutil.copy(f"{top}/.git/index", f"{top}/.git/index.lock")
    said = ask(f"check house {asked} --format json", status=1)
    stray = [] if asked == "--tracked" else ["house/one/stray.yaml"]
    unchanged = ["house/own.yaml", "house/two/plan.yaml"] if asked == "--tracked" else []
    assert said.plans == ["house/one/plan.yaml", *stray, *unchanged]


def test_a_catalogue_behind_a_link_and_back_is_where_it_is_read(house: None, ask: Ask) -> None:
    put("plans/a.yaml", SHARING.replace("../shared", "out/.."))
    put("plans/catalogue.yaml", CATALOGUE)
    put("shared/deep/notes.txt", "")
    os.symlink("../shared/deep", "plans/out")
    assert "plans/a.yaml\tshared/catalogue.yaml\n" in ask("check plans --depends").out
    since = "check plans --changed - --nothing-is-fine --format json"
    assert ask(since, stdin=b"shared/catalogue.yaml\n").plans == ["plans/a.yaml"]
    assert ask(since, stdin=b"plans/catalogue.yaml\n").plans == []


@pytest.mark.parametrize("key", ['"catalog\\u0075e"', '"\\x63atalogue"'])
def test_a_catalogue_by_any_spelling_is_what_a_plan_stands_on(
    house: None, ask: Ask, key: str
) -> None:
    put("plans/a.yaml", SHARING.replace("catalogue:", f"{key}:"))
    said = ask("check plans --changed - --format json", stdin=b"shared/catalogue.yaml\n")
    assert said.plans == ["plans/a.yaml"]


@pytest.mark.parametrize("answer", ["exit 0", "echo", "echo fine", "pwd"])
@pytest.mark.parametrize("option", ["--tracked", "--changed-since main"])
def test_another_program_called_git_is_no_pass(
    house: None, ask: Ask, monkeypatch: pytest.MonkeyPatch, answer: str, option: str
) -> None:
    put("plans/b.yaml", WRONG)
    put("bin/git", f"#!/bin/sh\n{answer}\n")
    os.chmod("bin/git", 0o755)
    monkeypatch.setenv("PATH", os.path.abspath("bin"), prepend=os.pathsep)
    said = ask(f"check plans --nothing-is-fine {option}", status=2)
    assert "git" in said.err


def test_on_the_branch_itself_it_says_that_little_can_have_changed(house: None, ask: Ask) -> None:
    said = ask("check plans --changed-since main --nothing-is-fine")
    assert "holds all commits of this branch" in said.err
    git("checkout", "-qb", "more")
    put("plans/b.yaml", NOTED)
    git("commit", "-qam", "more")
    assert "holds all" not in ask("check plans --changed-since main").err


def test_a_git_that_refuses_the_folder_is_quoted_by_its_main_line(
    house: None, ask: Ask, monkeypatch: pytest.MonkeyPatch
) -> None:
    # A variable of git's own tests: the folder counts as somebody else's.
    monkeypatch.setenv("GIT_TEST_ASSUME_DIFFERENT_OWNER", "1")
    for option in ("--tracked", "--changed-since main"):
        assert "dubious ownership" in ask(f"check plans {option}", status=2).err
