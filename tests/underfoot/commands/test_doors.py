"""Ways round the check in CI: each ends with a status other than 0, and says why."""

import os
from pathlib import Path

import pytest

import underfoot
from tests.underfoot.asking import Ask
from tests.underfoot.commands.git_house import CATALOGUE, SHARING, STRICT, git
from tests.underfoot.commands.tiny_plans import NOTED, RIGHT, WRONG, put

pytestmark = pytest.mark.usefixtures("folder", "tiny")

UNDATED = NOTED


def refused(ask: Ask, *arguments: str, stdin: bytes | None = None) -> bool:
    said = ask("check --format json", *arguments, stdin=stdin, status=None)
    errors = [each["counts"]["error"] for each in said.data["plans"]]
    assert said.status == int(any(errors))
    return said.status == 1


def test_a_linked_plan_is_under_the_settings_where_it_lies(house: None, ask: Ask) -> None:
    put("strict/underfoot.yaml", STRICT)
    put("strict/a.yaml", UNDATED)
    os.symlink("../strict/a.yaml", "plans/easy.yaml")
    assert refused(ask, "plans/easy.yaml")
    assert ask("check plans/easy.yaml --format json", status=1).plans == ["strict/a.yaml"]


@pytest.mark.parametrize("form", ["{}", "{}/", "./{}", "{} --root .", "plans {}"])
def test_a_link_is_no_way_out_however_it_is_named(house: None, ask: Ask, form: str) -> None:
    put("strict/underfoot.yaml", STRICT)
    put("strict/a.yaml", UNDATED)
    os.symlink("../strict/a.yaml", "plans/easy.yaml")
    os.symlink("strict", "easy")
    for place in ("plans/easy.yaml", "easy", "plans", "."):
        for named in (place, os.path.abspath(place)):
            odd = form[-1] == "/" and named.endswith(".yaml"), form[0] == "." and named[0] == "/"
            if not any(odd):
                assert refused(ask, *form.format(named).split())


def test_a_link_is_no_way_out_for_what_comes_from_elsewhere(house: None, ask: Ask) -> None:
    put("strict/underfoot.yaml", STRICT)
    put("strict/a.yaml", UNDATED)
    os.symlink("../strict/a.yaml", "plans/easy.yaml")
    for link in ("plans/easy.yaml", os.path.abspath("plans/easy.yaml")):
        assert refused(ask, "--files-from", "-", stdin=link.encode())
        assert refused(ask, "-", "--stdin-name", link, stdin=UNDATED.encode())
        assert "strict/underfoot.yaml" in ask("settings", link).out
        assert ask("compare plans/b.yaml", link, status=1).out
        (report,) = underfoot.check(underfoot.PlanText(UNDATED, path=link)).plans
        assert report.counts.error
        ask("review", link)
    assert Path("strict/a.review.yaml").is_file()
    assert not Path("plans/easy.review.yaml").exists()


def test_a_plan_moved_away_is_checked_through_its_link(house: None, ask: Ask) -> None:
    put("old/a.yaml", WRONG)
    os.symlink("../old/a.yaml", "plans/a-link.yaml")
    assert refused(ask, "plans")
    os.remove("plans/a-link.yaml")
    assert not refused(ask, "plans")
    os.symlink("../old", "plans/more")
    assert refused(ask, "plans")
    assert not refused(ask, "plans", "--exclude", "old")


def test_a_link_out_of_the_repository_is_no_pass(ask: Ask) -> None:
    put("house/.git/HEAD", "")
    put("house/plans/a.yaml", RIGHT)
    put("b.yaml", WRONG)
    os.symlink("../../b.yaml", "house/plans/b.yaml")
    said = " ".join(ask("check house/plans", status=2).out.split())
    assert "house/plans/b.yaml" in said
    assert "leads out" in said
    assert refused(ask, "house/plans", "--root", ".")
    assert not refused(ask, "house/plans", "--exclude", "house/plans/b.yaml")
    ask("check house/plans/gone.yaml house/plans --exclude house/plans/[bg]*", status=2)


def test_folders_of_links_are_compared_by_name(ask: Ask) -> None:
    put("one/a.yaml", RIGHT)
    put("two/a.yaml", WRONG)
    os.symlink("one", "old")
    os.symlink("two", "new")
    (pair,) = ask("compare old new --format json", status=1).data["pairs"]
    assert pair["name"] == "a.yaml"


def test_a_submodule_that_is_not_there_is_told(house: None, ask: Ask) -> None:
    git("update-index", "--add", "--cacheinfo", f"160000,{git('rev-parse', 'HEAD')},plans/more")
    Path("plans/more").mkdir()
    for asked in ("--tracked", "--changed-since HEAD --nothing-is-fine"):
        said = ask(f"check plans {asked} --quiet", status=2).err
        assert "plans/more: " in said
        assert "git submodule update --init" in said
        ask(f"check plans --exclude plans/more {asked}")
        ask(f"check shared plans/a.yaml {asked}", status=None)


def test_a_submodule_does_not_end_the_search(ask: Ask) -> None:
    put(".git/HEAD", "")
    put("underfoot.yaml", STRICT)
    put("sub/.git", "gitdir: ../.git/modules/sub\n")
    put("sub/a.yaml", UNDATED)
    assert refused(ask, "sub")
    assert not refused(ask, "sub", "--root", "sub")


def test_a_work_tree_of_its_own_is_searched_to_its_top(ask: Ask) -> None:
    put("tree/.git", "gitdir: /elsewhere/.git/worktrees/tree\n")
    put("tree/underfoot.yaml", STRICT)
    put("tree/plans/a.yaml", UNDATED)
    assert refused(ask, "tree/plans")


def test_outside_a_repository_the_folder_named_is_the_top(ask: Ask) -> None:
    put("underfoot.yaml", STRICT)
    put("plans/inner/a.yaml", UNDATED)
    assert not refused(ask, "plans")
    assert refused(ask, ".")
    assert refused(ask, "plans", "--root", ".")
    put("plans/underfoot.yaml", STRICT)
    assert refused(ask, "plans")


def test_an_unpacked_archive_has_its_catalogue(ask: Ask) -> None:
    put("plans/shared/catalogue.yaml", CATALOGUE)
    put("plans/inner/a.yaml", SHARING)
    ask("check plans")
    assert "outside the folder" in " ".join(ask("check plans/inner", status=2).out.split())
    ask("check plans/inner --root plans")


@pytest.mark.parametrize(
    "name", ["underfoot.yml", "Underfoot.yaml", "UNDERFOOT.YML", ".underfoot.yaml"]
)
def test_settings_under_another_name_are_no_pass(ask: Ask, name: str) -> None:
    put(".git/HEAD", "")
    put("plans/a.yaml", UNDATED)
    put(name, STRICT)
    assert "rename it" in " ".join(ask("check plans", status=2).out.split())


def test_settings_that_lead_nowhere_are_no_pass(ask: Ask) -> None:
    put(".git/HEAD", "")
    put("plans/a.yaml", UNDATED)
    os.symlink("gone.yaml", "underfoot.yaml")
    assert "cannot be opened" in ask("check plans", status=2).out


def test_settings_in_any_yaml_are_no_pass_unless_they_are_named(ask: Ask) -> None:
    put(".git/HEAD", "")
    put("plans/a.yaml", UNDATED)
    put("plans/site.yaml", STRICT)
    assert "plans/site.yaml" in ask("check plans", status=2).out
    assert refused(ask, "plans", "--settings", "plans/site.yaml")


def test_only_what_git_has_taken_in(house: None, ask: Ask) -> None:
    put("plans/stray.yaml", NOTED)
    assert ask("check plans --tracked --format json").plans == ["plans/a.yaml", "plans/b.yaml"]
    git("add", "plans/stray.yaml")
    said = ask("check plans --tracked --format json")
    assert said.plans == ["plans/a.yaml", "plans/b.yaml", "plans/stray.yaml"]


@pytest.mark.parametrize("stray", ["plans/underfoot.yaml", "shared/more.yaml"])
def test_what_a_plan_stands_on_must_be_taken_in_too(house: None, ask: Ask, stray: str) -> None:
    put(stray, "settings_format: 1\n" if "underfoot" in stray else CATALOGUE)
    put("plans/b.yaml", SHARING.replace("shared/catalogue.yaml", "shared/more.yaml")
        if "more" in stray else RIGHT)  # fmt: skip
    git("add", "plans/b.yaml")
    assert stray in ask("check plans --tracked", status=2).out
    git("add", "-A")
    ask("check plans --tracked")


def test_plans_left_out_by_pattern(house: None, ask: Ask) -> None:
    put("plans/old/c.yaml", RIGHT)
    put("plans/old/deep/draft-d.yaml", RIGHT)
    for patterns, expected in (
        (["plans/old"], ["plans/a.yaml", "plans/b.yaml"]),
        (["plans/old/"], ["plans/a.yaml", "plans/b.yaml"]),
        (["./plans/old"], ["plans/a.yaml", "plans/b.yaml"]),
        (["*/draft-*"], ["plans/a.yaml", "plans/b.yaml", "plans/old/c.yaml"]),
        (["plans/[ab].yaml", "plans/old/deep"], ["plans/old/c.yaml"]),
        (["old"], ["plans/a.yaml", "plans/b.yaml", "plans/old/c.yaml",
                   "plans/old/deep/draft-d.yaml"]),
    ):  # fmt: skip
        options = [f"--exclude={pattern}" for pattern in patterns]
        assert ask("check", "plans", *options, "--format", "json").plans == expected


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
    house: None, ask: Ask, arguments: list[str], form: str
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
    said = ask(*command, status=2)
    assert "nothing is left to check" in " ".join((said.out + said.err).split())
    assert "nothing to check: " in ask(*command, "--nothing-is-fine").err


def test_a_root_that_is_not_above_is_no_root(house: None, ask: Ask) -> None:
    assert "plans/a.yaml does not lie below it" in ask("check plans --root shared", status=2).err


def test_a_named_plan_must_be_taken_in(house: None, ask: Ask) -> None:
    put("plans/stray.yaml", RIGHT)
    said = ask("check plans/a.yaml plans/stray.yaml --tracked", status=2).out
    assert "plans/stray.yaml: git has not taken this in" in said


def test_a_link_to_a_catalogue_must_be_taken_in(house: None, ask: Ask) -> None:
    os.symlink("../shared/catalogue.yaml", "plans/kinds.yaml")
    put("plans/a.yaml", SHARING.replace("../shared/catalogue.yaml", "kinds.yaml"))
    git("add", "plans/a.yaml")
    assert "plans/kinds.yaml" in ask("check plans --tracked", status=2).out
    git("add", "plans/kinds.yaml")
    ask("check plans --tracked")


@pytest.mark.parametrize("place", ["site.yaml", "plans/site.yml"])
@pytest.mark.parametrize(
    "begins",
    ["# ours\n---\n", "--- # ours\n", "--- !!map\n", "%YAML 1.1\n---\n", "# words\n" * 1000, "{"],
)
def test_settings_in_any_yaml_beside_or_above_a_named_plan(
    ask: Ask, place: str, begins: str
) -> None:
    put(".git/HEAD", "")
    put("plans/a.yaml", UNDATED)
    put(place, "{settings_format: 1}\n" if begins == "{" else begins + STRICT)
    assert "rename it" in " ".join(ask("check plans/a.yaml", status=2).out.split())
    if STRICT in Path(place).read_text() and "!!" not in begins:
        assert refused(ask, "plans/a.yaml", "--settings", place)


def test_what_settings_ignore_is_left_alone(house: None, ask: Ask) -> None:
    put("underfoot.yaml", "settings_format: 1\nignore: [plans/old, '*/draft-*']\n")
    put("plans/underfoot.yaml", "settings_format: 1\nignore: [b.yaml]\n")
    put("plans/old/c.yaml", WRONG)
    put("plans/draft-d.yaml", WRONG)
    for arguments in (["plans"], ["plans/a.yaml", "plans/old/c.yaml", "plans/b.yaml"]):
        assert ask("check", *arguments, "--format", "json").plans == ["plans/a.yaml"]
    assert ask("check plans --list-passed-over").out == (
        "plans/b.yaml\tignored by plans/underfoot.yaml: b.yaml\n"
        "plans/draft-d.yaml\tignored by underfoot.yaml: */draft-*\n"
        "plans/old/c.yaml\tignored by underfoot.yaml: plans/old\n"
        "plans/underfoot.yaml\tsettings\n"
    )


def test_a_folder_cannot_ignore_itself_out_of_a_locked_check(house: None, ask: Ask) -> None:
    put("underfoot.yaml", "settings_format: 1\nlocked: true\n")
    put("plans/underfoot.yaml", "settings_format: 1\nignore: ['*']\n")
    assert "which plans are checked" in " ".join(ask("check plans", status=2).out.split())


def test_everything_passed_over_is_listed_with_its_reason(house: None, ask: Ask) -> None:
    put("plans/.c.yaml", RIGHT)
    put("plans/d.yaml", RIGHT)
    command = ["check", ".", "--exclude", "plans/d.yaml", "--changed-since", "HEAD",
               "--list-passed-over", "--format", "json"]  # fmt: skip
    assert ask(*command).data["passed_over"] == [
        {"path": ".git", "why": "a hidden folder"},
        {"path": "plans/.c.yaml", "why": "hidden"},
        {"path": "plans/a.yaml", "why": "a plan that has not changed, nor what it stands on"},
        {"path": "plans/b.yaml", "why": "a plan that has not changed, nor what it stands on"},
        {"path": "plans/d.yaml", "why": "left out by --exclude plans/d.yaml"},
        {"path": "shared/catalogue.yaml", "why": "a catalogue"},
    ]


def test_a_plan_of_another_format_is_told(house: None, ask: Ask) -> None:
    put("plans/b.yaml", RIGHT.replace("plan_format: 1", "plan_format: 2"))
    assert "`plan_format: 2` is not known to this version" in " ".join(
        ask("check plans", status=2).out.split()
    )


def test_a_hook_s_names_may_be_of_catalogues_and_settings(house: None, ask: Ask) -> None:
    put("plans/underfoot.yaml", "settings_format: 1\n")
    put("plans/b.review.yaml", "review_format: 1\n")
    names = ["shared/catalogue.yaml", "plans/underfoot.yaml", "plans/a.yaml"]
    assert ask("check", *names, "--format", "json").plans == ["plans/a.yaml"]
    said = ask("check --files-from - --format json", stdin="\n".join(names).encode())
    assert said.plans == ["plans/a.yaml"]
    said = ask("check --files-from -", stdin=b"shared/catalogue.yaml\n", status=2)
    assert "shared/catalogue.yaml is passed over (a catalogue)" in said.err


def test_standard_input_under_a_name(house: None, ask: Ask) -> None:
    put("plans/sub/underfoot.yaml", STRICT)
    catalogue = "catalogue: ../../shared/catalogue.yaml\nmaterials: {}"
    source = UNDATED.replace("materials: {}", catalogue).encode()
    assert refused(ask, "-", "--stdin-name", "plans/sub/new.yaml", stdin=source)
    said = ask("check - --stdin-name plans/sub/new.yaml --format lines", stdin=source, status=1).out
    assert said.startswith("plans/sub/new.yaml:")
    command = "check - --stdin-name plans/sub/new.yaml --changed-since HEAD"
    ask(command, stdin=source, status=1)
    for wrong, says in (
        (["plans", "--stdin-name", "x.yaml"], "give - as a PATH"),
        (["-", "--stdin-name", "nowhere/x.yaml"], "there is no such folder"),
    ):
        assert says in ask("check", *wrong, status=2).err
