"""Ways round the check in CI: each ends with a status other than 0, and says why."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.underfoot.commands.test_check import (
    NOTED,
    RIGHT,
    WRONG,
    Input,
    data_of,
    plan,
    put,
)
from tests.underfoot.commands.tiny_set import TINY
from underfoot.__main__ import main

pytestmark = pytest.mark.usefixtures("folder", "tiny")

Said = pytest.CaptureFixture[str]
CATALOGUE = "catalogue_format: 1\nmaterials: {}\n"
SHARING = RIGHT.replace("materials: {}", "catalogue: ../shared/catalogue.yaml\nmaterials: {}")


def listing(monkeypatch: pytest.MonkeyPatch, source: bytes) -> None:
    monkeypatch.setattr(sys, "stdin", Input(source))


def checked(capsys: Said) -> list[str]:
    return [each["path"] for each in data_of(capsys)["plans"]]


def git(*arguments: str, folder: str = ".") -> str:
    command = ["git", "-c", "user.name=Test", "-c", "user.email=test@localhost",
               "-c", "commit.gpgsign=false", *arguments]  # fmt: skip
    done = subprocess.run(command, cwd=folder, check=True, capture_output=True, text=True)
    return done.stdout.strip()


@pytest.fixture
def house(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A repository with two plans, one of them on a catalogue, committed on `main`."""
    monkeypatch.setenv("GIT_CONFIG_GLOBAL", os.devnull)
    put("plans/a.yaml", SHARING)
    put("plans/b.yaml", RIGHT)
    put("shared/catalogue.yaml", CATALOGUE)
    git("init", "-q", "-b", "main")
    git("add", "-A")
    git("commit", "-qm", "first")


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
    house: None, capsys: Said, monkeypatch: pytest.MonkeyPatch, source: bytes, says: str
) -> None:
    listing(monkeypatch, source)
    assert main(["check", "plans", "--changed", "-"]) == 2
    said = capsys.readouterr()
    assert says in said.err
    assert "--nothing-is-fine" in said.err
    listing(monkeypatch, source)
    assert main(["check", "plans", "--changed", "-", "--nothing-is-fine"]) == 0
    assert "nothing to check" in capsys.readouterr().err


def test_a_change_beside_the_plans_is_an_answer(
    house: None, capsys: Said, monkeypatch: pytest.MonkeyPatch
) -> None:
    listing(monkeypatch, b"plans/notes.txt\n")
    assert main(["check", "plans", "--changed", "-", "--nothing-is-fine"]) == 0
    assert "nothing to check: no plan has changed" in capsys.readouterr().err
    # It leaves nothing to check all the same, which passes only where that was said to be fine.
    listing(monkeypatch, b"plans/notes.txt\n")
    assert main(["check", "plans", "--changed", "-"]) == 2
    assert "nothing is left to check: no plan has changed" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("name", "quoted"),
    [
        ("plans/gr\u00fcn.yaml", b'"plans/gr\\303\\274n.yaml"'),
        ('plans/a "b".yaml', b'"plans/a \\"b\\".yaml"'),
        ("plans/tab\there.yaml", b'"plans/tab\\there.yaml"'),
    ],
)
def test_names_that_git_quotes(
    house: None, capsys: Said, monkeypatch: pytest.MonkeyPatch, name: str, quoted: bytes
) -> None:
    put(name, RIGHT)
    git("add", "-A")
    git("commit", "-qm", "second")
    told = subprocess.run(
        ["git", "diff", "--name-only", "HEAD~", "HEAD"], check=True, capture_output=True
    ).stdout
    assert told == quoted + b"\n"
    listing(monkeypatch, told)
    assert main(["check", "plans", "--changed", "-", "--format", "json"]) == 0
    assert checked(capsys) == [name]


@pytest.mark.parametrize("listed", [b"plans/sub\n", b"plans/sub/\n"])
def test_a_folder_stands_for_all_below_it(
    house: None, capsys: Said, monkeypatch: pytest.MonkeyPatch, listed: bytes
) -> None:
    # A submodule's change is told as that of its folder.
    put("plans/sub/c.yaml", RIGHT)
    put("plans/sub/deep/d.yaml", RIGHT)
    put("plans/sub-old/e.yaml", RIGHT)
    listing(monkeypatch, listed)
    assert main(["check", "plans", "--changed", "-", "--format", "json"]) == 0
    assert checked(capsys) == ["plans/sub/c.yaml", "plans/sub/deep/d.yaml"]


def test_a_folder_with_the_catalogue_stands_for_it(
    house: None, capsys: Said, monkeypatch: pytest.MonkeyPatch
) -> None:
    listing(monkeypatch, b"shared\n")
    assert main(["check", ".", "--changed", "-", "--format", "json"]) == 0
    assert checked(capsys) == ["plans/a.yaml"]


def test_a_link_stands_for_what_it_leads_to(
    house: None, capsys: Said, monkeypatch: pytest.MonkeyPatch
) -> None:
    os.symlink("b.yaml", "plans/today.yaml")
    listing(monkeypatch, b"plans/today.yaml\n")
    assert main(["check", "plans", "--changed", "-", "--format", "json"]) == 0
    assert checked(capsys) == ["plans/b.yaml"]


def test_names_from_the_top_are_understood_below_it(
    house: None, capsys: Said, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir("plans")
    for source in (b"plans/b.yaml\n", b"b.yaml\n"):
        listing(monkeypatch, source)
        assert main(["check", ".", "--changed", "-", "--format", "json"]) == 0
        assert checked(capsys) == ["b.yaml"]


def test_a_plan_whose_catalogue_is_missing_is_always_checked(
    house: None, capsys: Said, monkeypatch: pytest.MonkeyPatch
) -> None:
    os.rename("shared/catalogue.yaml", "shared/kinds.yaml")
    listing(monkeypatch, b"plans/b.yaml\n")
    assert main(["check", "plans", "--changed", "-", "--format", "json"]) == 2
    assert checked(capsys) == ["plans/a.yaml", "plans/b.yaml"]


def test_git_is_asked_itself(house: None, capsys: Said) -> None:
    git("checkout", "-qb", "work")
    put("shared/catalogue.yaml", CATALOGUE + "note: dearer\n")
    git("commit", "-qam", "prices")
    assert main(["check", "plans", "--changed-since", "main", "--format", "json"]) == 0
    assert checked(capsys) == ["plans/a.yaml"]
    # What is not committed yet counts too, known to git or not.
    put("plans/b.yaml", RIGHT + "note: drawn anew\n")
    put("plans/c.yaml", RIGHT)
    assert main(["check", "plans", "--changed-since", "main", "--format", "json"]) == 0
    assert checked(capsys) == ["plans/a.yaml", "plans/b.yaml", "plans/c.yaml"]


def test_git_is_asked_from_a_folder_below(
    house: None, capsys: Said, monkeypatch: pytest.MonkeyPatch
) -> None:
    put("plans/b.yaml", RIGHT + "note: drawn anew\n")
    monkeypatch.chdir("plans")
    assert main(["check", ".", "--changed-since", "main", "--format", "json"]) == 0
    assert checked(capsys) == ["b.yaml"]


def test_what_happened_on_main_meanwhile_is_not_this_branch_s(house: None, capsys: Said) -> None:
    git("branch", "work")
    put("plans/b.yaml", RIGHT + "note: on main\n")
    git("commit", "-qam", "on main")
    git("checkout", "-q", "work")
    since = ["check", "plans", "--changed-since", "main"]
    assert main([*since, "--nothing-is-fine"]) == 0
    assert "nothing to check" in capsys.readouterr().err
    assert main(since) == 2
    assert "say --nothing-is-fine" in capsys.readouterr().err


def test_a_plan_renamed_is_checked_under_its_new_name(house: None, capsys: Said) -> None:
    git("mv", "plans/b.yaml", "plans/new.yaml")
    git("commit", "-qm", "renamed")
    assert main(["check", "plans", "--changed-since", "HEAD~", "--format", "json"]) == 0
    assert checked(capsys) == ["plans/new.yaml"]


@pytest.mark.parametrize("reference", ["origin/main", "--all", "HEAD:plans"])
def test_a_git_that_fails_ends_the_run(house: None, capsys: Said, reference: str) -> None:
    assert main(["check", "plans", f"--changed-since={reference}"]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert "--changed-since" in said.err


def test_a_shallow_clone_ends_the_run_and_names_the_remedy(
    house: None, capsys: Said, monkeypatch: pytest.MonkeyPatch
) -> None:
    git("checkout", "-qb", "work")
    put("plans/b.yaml", RIGHT + "note: drawn anew\n")
    git("commit", "-qam", "work")
    here = Path.cwd().as_uri()
    git("clone", "-q", "--depth", "1", "--branch", "work", here, "clone")
    monkeypatch.chdir("clone")
    git("fetch", "-q", "--depth", "1", "origin", "main:refs/remotes/origin/main")
    assert main(["check", "plans", "--changed-since", "origin/main"]) == 2
    assert "fetch the whole history" in capsys.readouterr().err


def test_outside_a_repository_git_cannot_say(capsys: Said, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("GIT_CEILING_DIRECTORIES", str(Path.cwd().parent))
    put("plans/a.yaml", RIGHT)
    assert main(["check", "plans", "--changed-since", "main"]) == 2
    assert "--changed-since: git rev-parse failed" in capsys.readouterr().err


def test_only_one_way_of_asking(house: None, capsys: Said) -> None:
    assert main(["check", "plans", "--changed", "x", "--changed-since", "main"]) == 2
    assert "give one of them" in capsys.readouterr().err


STRICT = """\
settings_format: 1
rules:
  job-date: {severity: error, because: every plan is dated}
"""
UNDATED = NOTED


def refused(capsys: Said, *arguments: str) -> bool:
    status = main(["check", *arguments, "--format", "json"])
    errors = [each["counts"]["error"] for each in data_of(capsys)["plans"]]
    assert status == int(any(errors))
    return status == 1


def test_a_linked_plan_is_under_the_settings_where_it_lies(house: None, capsys: Said) -> None:
    put("strict/underfoot.yaml", STRICT)
    put("strict/a.yaml", UNDATED)
    os.symlink("../strict/a.yaml", "plans/easy.yaml")
    assert refused(capsys, "plans/easy.yaml")
    main(["check", "plans/easy.yaml", "--format", "json"])
    assert checked(capsys) == ["strict/a.yaml"]


def test_a_submodule_does_not_end_the_search(capsys: Said) -> None:
    put(".git/HEAD", "")
    put("underfoot.yaml", STRICT)
    put("sub/.git", "gitdir: ../.git/modules/sub\n")
    put("sub/a.yaml", UNDATED)
    assert refused(capsys, "sub")
    assert not refused(capsys, "sub", "--root", "sub")


def test_a_work_tree_of_its_own_is_searched_to_its_top(capsys: Said) -> None:
    put("tree/.git", "gitdir: /elsewhere/.git/worktrees/tree\n")
    put("tree/underfoot.yaml", STRICT)
    put("tree/plans/a.yaml", UNDATED)
    assert refused(capsys, "tree/plans")


def test_outside_a_repository_the_folder_named_is_the_top(capsys: Said) -> None:
    put("underfoot.yaml", STRICT)
    put("plans/inner/a.yaml", UNDATED)
    assert not refused(capsys, "plans")
    assert refused(capsys, ".")
    assert refused(capsys, "plans", "--root", ".")
    put("plans/underfoot.yaml", STRICT)
    assert refused(capsys, "plans")


def test_an_unpacked_archive_has_its_catalogue(capsys: Said) -> None:
    put("plans/shared/catalogue.yaml", CATALOGUE)
    put("plans/inner/a.yaml", SHARING)
    assert main(["check", "plans"]) == 0
    assert main(["check", "plans/inner"]) == 2
    assert "outside the folder" in " ".join(capsys.readouterr().out.split())
    assert main(["check", "plans/inner", "--root", "plans"]) == 0


@pytest.mark.parametrize(
    "name", ["underfoot.yml", "Underfoot.yaml", "UNDERFOOT.YML", ".underfoot.yaml"]
)
def test_settings_under_another_name_are_no_pass(capsys: Said, name: str) -> None:
    put(".git/HEAD", "")
    put("plans/a.yaml", UNDATED)
    put(name, STRICT)
    assert main(["check", "plans"]) == 2
    assert "rename it" in " ".join(capsys.readouterr().out.split())


def test_settings_that_lead_nowhere_are_no_pass(capsys: Said) -> None:
    put(".git/HEAD", "")
    put("plans/a.yaml", UNDATED)
    os.symlink("gone.yaml", "underfoot.yaml")
    assert main(["check", "plans"]) == 2
    assert "cannot be opened" in capsys.readouterr().out


def test_settings_in_any_yaml_are_no_pass_unless_they_are_named(capsys: Said) -> None:
    put(".git/HEAD", "")
    put("plans/a.yaml", UNDATED)
    put("plans/site.yaml", STRICT)
    assert main(["check", "plans"]) == 2
    assert "plans/site.yaml" in capsys.readouterr().out
    assert refused(capsys, "plans", "--settings", "plans/site.yaml")


def test_only_what_git_has_taken_in(house: None, capsys: Said) -> None:
    put("plans/stray.yaml", NOTED)
    assert main(["check", "plans", "--tracked", "--format", "json"]) == 0
    assert checked(capsys) == ["plans/a.yaml", "plans/b.yaml"]
    git("add", "plans/stray.yaml")
    assert main(["check", "plans", "--tracked", "--format", "json"]) == 0
    assert checked(capsys) == ["plans/a.yaml", "plans/b.yaml", "plans/stray.yaml"]


@pytest.mark.parametrize("stray", ["plans/underfoot.yaml", "shared/more.yaml"])
def test_what_a_plan_stands_on_must_be_taken_in_too(house: None, capsys: Said, stray: str) -> None:
    put(stray, "settings_format: 1\n" if "underfoot" in stray else CATALOGUE)
    put("plans/b.yaml", SHARING.replace("shared/catalogue.yaml", "shared/more.yaml")
        if "more" in stray else RIGHT)  # fmt: skip
    git("add", "plans/b.yaml")
    assert main(["check", "plans", "--tracked"]) == 2
    assert stray in capsys.readouterr().out
    git("add", "-A")
    assert main(["check", "plans", "--tracked"]) == 0


def test_plans_left_out_by_pattern(house: None, capsys: Said) -> None:
    put("plans/old/c.yaml", RIGHT)
    put("plans/old/deep/draft-d.yaml", RIGHT)
    for patterns, expected in (
        (["plans/old"], ["plans/a.yaml", "plans/b.yaml"]),
        (["plans/old/"], ["plans/a.yaml", "plans/b.yaml"]),
        (["*/draft-*"], ["plans/a.yaml", "plans/b.yaml", "plans/old/c.yaml"]),
        (["plans/[ab].yaml", "plans/old/deep"], ["plans/old/c.yaml"]),
        (["old"], ["plans/a.yaml", "plans/b.yaml", "plans/old/c.yaml",
                   "plans/old/deep/draft-d.yaml"]),
    ):  # fmt: skip
        options = [f"--exclude={pattern}" for pattern in patterns]
        assert main(["check", "plans", *options, "--format", "json"]) == 0
        assert checked(capsys) == expected


EMPTIED = [
    ["plans", "--exclude", "plans"],
    ["shared/catalogue.yaml"],
    ["plans/c.yaml", "--exclude", "plans"],
    ["plans/out", "--tracked"],
    ["plans", "--changed-since", "HEAD"],
    ["plans/out"],
]


@pytest.mark.slow
@pytest.mark.parametrize("arguments", EMPTIED)
@pytest.mark.parametrize("form", ["text", "json", "sarif", "junit", "html", "lines",
                                  "annotations", "code-quality"])  # fmt: skip
def test_leaving_everything_out_is_no_pass(
    house: None, capsys: Said, arguments: list[str], form: str
) -> None:
    put("plans/c.yaml", RIGHT)
    put("plans/out/underfoot.yaml", "settings_format: 1\nignore: ['*']\n")
    put("plans/out/d.yaml", RIGHT)
    put(".gitignore", "out\n")
    git("add", "-A")
    git("commit", "-qm", "second")
    Path("plans/out/d.yaml").touch()
    command = ["check", *arguments, "--format", form]
    if arguments[-1] == "HEAD":  # what git ignores is always checked
        command += ["--exclude", "plans/out"]
    assert main(command) == 2
    said = capsys.readouterr()
    assert "nothing is left to check" in " ".join((said.out + said.err).split())
    assert main([*command, "--nothing-is-fine"]) == 0
    assert "nothing to check: " in capsys.readouterr().err


def test_what_git_ignores_or_does_not_look_at_is_always_checked(house: None, capsys: Said) -> None:
    put(".gitignore", "plans/own.yaml\n")
    git("add", "-A")
    git("commit", "-qm", "second")
    put("plans/own.yaml", RIGHT)
    put("plans/b.yaml", RIGHT + "note: drawn anew\n")
    git("update-index", "--assume-unchanged", "plans/b.yaml")
    assert main(["check", "plans", "--changed-since", "HEAD", "--format", "json"]) == 0
    assert checked(capsys) == ["plans/b.yaml", "plans/own.yaml"]


def test_settings_that_git_cannot_see_may_have_changed(house: None, capsys: Said) -> None:
    outside = Path.cwd().parent / "site.yaml"
    outside.write_text("settings_format: 1\n", "utf-8")
    command = ["check", "plans", "--changed-since", "HEAD", "--settings", str(outside)]
    assert main([*command, "--format", "json"]) == 0
    assert checked(capsys) == ["plans/a.yaml", "plans/b.yaml"]


def test_settings_in_the_repository_above_a_submodule_are_asked_for(
    house: None, capsys: Said
) -> None:
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
    assert main(["check", "part", "--changed-since", "main", "--format", "json"]) == 0
    assert checked(capsys) == ["part/c.yaml"]


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


def test_a_submodule_that_does_not_know_the_branch_is_answered_for(
    held: None, capsys: Said
) -> None:
    since = ["check", "house", "--changed-since", "base", "--format", "json"]
    assert main(since) == 2
    assert "nothing is left to check" in capsys.readouterr().err
    put("house/one/plan.yaml", WRONG)  # not committed yet
    assert main(since) == 1
    assert checked(capsys) == ["house/one/plan.yaml"]
    git("commit", "-qam", "second", folder="house/one")
    git("add", "one", folder="house")
    git("commit", "-qm", "second", folder="house")
    assert main(since) == 1
    assert checked(capsys) == ["house/one/plan.yaml"]
    assert main([*since[:3], "nowhere"]) == 2
    assert "git merge-base failed" in capsys.readouterr().err


@pytest.mark.parametrize("key", ['"catalog\\u0075e"', '"\\x63atalogue"'])
def test_a_catalogue_by_any_spelling_is_what_a_plan_stands_on(
    house: None, capsys: Said, monkeypatch: pytest.MonkeyPatch, key: str
) -> None:
    put("plans/a.yaml", SHARING.replace("catalogue:", f"{key}:"))
    listing(monkeypatch, b"shared/catalogue.yaml\n")
    assert main(["check", "plans", "--changed", "-", "--format", "json"]) == 0
    assert checked(capsys) == ["plans/a.yaml"]


def test_a_root_that_is_not_above_is_no_root(house: None, capsys: Said) -> None:
    assert main(["check", "plans", "--root", "shared"]) == 2
    assert "plans/a.yaml does not lie below it" in capsys.readouterr().err


def test_a_named_plan_must_be_taken_in(house: None, capsys: Said) -> None:
    put("plans/stray.yaml", RIGHT)
    assert main(["check", "plans/a.yaml", "plans/stray.yaml", "--tracked"]) == 2
    assert "plans/stray.yaml: git has not taken this in" in capsys.readouterr().out


def test_a_link_to_a_catalogue_must_be_taken_in(house: None, capsys: Said) -> None:
    os.symlink("../shared/catalogue.yaml", "plans/kinds.yaml")
    put("plans/a.yaml", SHARING.replace("../shared/catalogue.yaml", "kinds.yaml"))
    git("add", "plans/a.yaml")
    assert main(["check", "plans", "--tracked"]) == 2
    assert "plans/kinds.yaml" in capsys.readouterr().out
    git("add", "plans/kinds.yaml")
    assert main(["check", "plans", "--tracked"]) == 0


@pytest.mark.parametrize("place", ["site.yaml", "plans/site.yml"])
def test_settings_in_any_yaml_beside_or_above_a_named_plan(capsys: Said, place: str) -> None:
    put(".git/HEAD", "")
    put("plans/a.yaml", UNDATED)
    put(place, f"# ours\n---\n{STRICT}")
    assert main(["check", "plans/a.yaml"]) == 2
    assert "rename it" in " ".join(capsys.readouterr().out.split())
    assert refused(capsys, "plans/a.yaml", "--settings", place)


def test_what_settings_ignore_is_left_alone(house: None, capsys: Said) -> None:
    put("underfoot.yaml", "settings_format: 1\nignore: [plans/old, '*/draft-*']\n")
    put("plans/underfoot.yaml", "settings_format: 1\nignore: [b.yaml]\n")
    put("plans/old/c.yaml", WRONG)
    put("plans/draft-d.yaml", WRONG)
    for arguments in (["plans"], ["plans/a.yaml", "plans/old/c.yaml", "plans/b.yaml"]):
        assert main(["check", *arguments, "--format", "json"]) == 0
        assert checked(capsys) == ["plans/a.yaml"]
    assert main(["check", "plans", "--list-passed-over"]) == 0
    assert capsys.readouterr().out == (
        "plans/b.yaml\tignored by plans/underfoot.yaml: b.yaml\n"
        "plans/draft-d.yaml\tignored by underfoot.yaml: */draft-*\n"
        "plans/old/c.yaml\tignored by underfoot.yaml: plans/old\n"
        "plans/underfoot.yaml\tsettings\n"
    )


def test_a_folder_cannot_ignore_itself_out_of_a_locked_check(house: None, capsys: Said) -> None:
    put("underfoot.yaml", "settings_format: 1\nlocked: true\n")
    put("plans/underfoot.yaml", "settings_format: 1\nignore: ['*']\n")
    assert main(["check", "plans"]) == 2
    assert "which plans are checked" in " ".join(capsys.readouterr().out.split())


def test_everything_passed_over_is_listed_with_its_reason(house: None, capsys: Said) -> None:
    put("plans/.c.yaml", RIGHT)
    put("plans/d.yaml", RIGHT)
    command = ["check", ".", "--exclude", "plans/d.yaml", "--changed-since", "HEAD",
               "--list-passed-over", "--format", "json"]  # fmt: skip
    assert main(command) == 0
    assert data_of(capsys)["passed_over"] == [
        {"path": ".git", "why": "a hidden folder"},
        {"path": "plans/.c.yaml", "why": "hidden"},
        {"path": "plans/a.yaml", "why": "a plan that has not changed, nor what it stands on"},
        {"path": "plans/b.yaml", "why": "a plan that has not changed, nor what it stands on"},
        {"path": "plans/d.yaml", "why": "left out by --exclude plans/d.yaml"},
        {"path": "shared/catalogue.yaml", "why": "a catalogue"},
    ]


def test_a_plan_of_another_format_is_told(house: None, capsys: Said) -> None:
    put("plans/b.yaml", RIGHT.replace("plan_format: 1", "plan_format: 2"))
    assert main(["check", "plans"]) == 2
    assert "`plan_format: 2` is not known to this version" in " ".join(
        capsys.readouterr().out.split()
    )


def test_a_hook_s_names_may_be_of_catalogues_and_settings(
    house: None, capsys: Said, monkeypatch: pytest.MonkeyPatch
) -> None:
    put("plans/underfoot.yaml", "settings_format: 1\n")
    put("plans/b.review.yaml", "review_format: 1\n")
    names = ["shared/catalogue.yaml", "plans/underfoot.yaml", "plans/a.yaml"]
    assert main(["check", *names, "--format", "json"]) == 0
    assert checked(capsys) == ["plans/a.yaml"]
    listing(monkeypatch, "\n".join(names).encode())
    assert main(["check", "--files-from", "-", "--format", "json"]) == 0
    assert checked(capsys) == ["plans/a.yaml"]
    listing(monkeypatch, b"shared/catalogue.yaml\n")
    assert main(["check", "--files-from", "-"]) == 2
    assert "shared/catalogue.yaml is passed over (a catalogue)" in capsys.readouterr().err


def test_standard_input_under_a_name(
    house: None, capsys: Said, monkeypatch: pytest.MonkeyPatch
) -> None:
    put("plans/sub/underfoot.yaml", STRICT)
    source = UNDATED.replace(
        "materials: {}", "catalogue: ../../shared/catalogue.yaml\nmaterials: {}"
    )
    listing(monkeypatch, source.encode())
    assert refused(capsys, "-", "--stdin-name", "plans/sub/new.yaml")
    listing(monkeypatch, source.encode())
    main(["check", "-", "--stdin-name", "plans/sub/new.yaml", "--format", "lines"])
    assert capsys.readouterr().out.startswith("plans/sub/new.yaml:")
    listing(monkeypatch, source.encode())
    command = ["check", "-", "--stdin-name", "plans/sub/new.yaml", "--changed-since", "HEAD"]
    assert main(command) == 1
    for wrong, says in (
        (["plans", "--stdin-name", "x.yaml"], "give - as a PATH"),
        (["-", "--stdin-name", "nowhere/x.yaml"], "there is no such folder"),
    ):
        assert main(["check", *wrong]) == 2
        assert says in capsys.readouterr().err


FORMS = ["text", "json", "sarif", "junit", "html", "lines", "annotations", "code-quality"]


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("option", [["--rule", "job-title"], ["--topic", "job papers"]])
def test_a_run_of_some_rules_says_so(
    house: None, capsys: Said, form: str, option: list[str]
) -> None:
    assert main(["check", "plans/b.yaml", *option, "--format", form]) == 0
    out = " ".join(capsys.readouterr().out.split())
    asked = 1 if option[0] == "--rule" else sum(rule.topic == "job_papers" for rule in TINY.rules)
    assert f"ONLY {asked} OF {len(TINY.rules)} RULES" in out
    assert "job-title" in out
    assert "No whole check" in out


def test_only_what_the_rules_asked_find_is_reported(house: None, capsys: Said) -> None:
    put("plans/b.yaml", plan(height="1900", date="null"))
    main(["check", "plans/b.yaml", "--format", "json"])
    (whole,) = data_of(capsys)["plans"]
    assert len({each["rule"] for each in whole["findings"]}) > 1
    for rule in {each["rule"] for each in whole["findings"]}:
        main(["check", "plans/b.yaml", "--rule", rule, "--format", "json"])
        data = data_of(capsys)
        (part,) = data["plans"]
        same = [each for each in whole["findings"] if each["rule"] == rule]
        assert [{**each, "number": 0} for each in part["findings"]] == [
            {**each, "number": 0} for each in same
        ]
        assert [row["rule"] for row in part["checks"]] == [rule]
        assert data["asked"] == {"rules": [rule], "of": len(TINY.rules)}


@pytest.mark.parametrize(
    ("option", "says"),
    [
        (
            ["--rule", "job-titel"],
            "--rule job-titel: there is no such rule; did you mean `job-title`",
        ),
        (["--rule", "xyzzy"], "`underfoot rules` lists them"),
        (["--topic", "job-paper"], "there is no such topic; did you mean `job-papers`"),
        (["--topic", "xyzzy"], "; there are "),
        (["--rule", "job-title", "--known", "x.json"], "it does not go with --rule"),
    ],
)
def test_a_rule_that_is_not_known_is_no_pass(
    house: None, capsys: Said, option: list[str], says: str
) -> None:
    assert main(["check", "plans", *option]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert says in said.err
