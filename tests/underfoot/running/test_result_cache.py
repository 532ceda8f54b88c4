"""`underfoot check --cache`: the same bytes, and no answer from an entry that does not hold."""

import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from msgspec.structs import replace

from tests.underfoot.asking import Ask
from tests.underfoot.commands.tiny_plans import put
from tests.underfoot.running.caching import (
    LOCKED,
    ROOM,
    SECRET,
    Said,
    Told,
    check,
    entries,
)
from underfoot.__main__ import main
from underfoot.commands import cache_folder
from underfoot.commands.outputs import FORMATS
from underfoot.running import checking

pytestmark = pytest.mark.usefixtures("folder")


WAIVED = (
    "waivers:\n  - {rule: cold-area, item: room-1, reason: agreed, agreed_by: owner, "
    'until: "2026-12-05"}\n'
)


def catalogued(text: str = ROOM) -> str:
    """A plan that takes its materials from a catalogue, which is written beside it."""
    head, rest = text.split("materials:\n")
    materials, supply = rest.split("supply:\n")
    put("catalogue.yaml", f"catalogue_format: 1\nmaterials:\n{materials}")
    return put("plan.yaml", f"{head}catalogue: catalogue.yaml\nmaterials: {{}}\nsupply:\n{supply}")


@pytest.mark.slow
@pytest.mark.parametrize("form", [each for each in FORMATS if each != "html"])
def test_a_kept_result_gives_the_same_bytes(form: str, examined: Told, capsys: Said) -> None:
    catalogued()
    put("low.yaml", ROOM.replace("height: 2400", "height: 2000").replace("x: 0", "x: 1"))
    put("wrong.yaml", ROOM.replace("breaker: 10 A", "breaker: 32 A").replace("rcd: 30 mA\n", "\n"))
    put("odd.yaml", ROOM.replace("Benchmark block", "Süd \\u2028 'x'"))
    put("unread.yaml", ROOM.replace("height: 2400", "height: tall"))
    told = []
    for cache in ((), ("--cache", "kept"), ("--cache", "kept")):
        main(["check", ".", "--jobs", "1", "--today", "2026-12-01", "--format", form, *cache])
        told.append(capsys.readouterr())
    assert told[0] == told[1] == told[2]
    assert len(examined) == 10
    assert len(entries()) == 5


def test_results_with_mends_are_kept_apart(capsys: Said) -> None:
    put("low.yaml", ROOM.replace("rcd: 30 mA\n", "\n"))
    told = {}
    for mends in ((), ("--mends",), (), ("--mends",)):
        check("--format", "json", *mends)
        told.setdefault(mends, set()).add(capsys.readouterr().out)
    (bare,), (with_mends,) = told.values()
    assert '"mends"' not in bare
    assert '"mends"' in with_mends
    assert len(entries()) == 2


def test_results_that_say_what_to_do_are_kept_apart(examined: Told, capsys: Said, ask: Ask) -> None:
    put("near.yaml", ROOM.replace("at: [60, 60]", "at: [30, 60]"))
    told = {}
    for detail in ("brief", "full", "brief", "full"):
        check("--detail", detail)
        told.setdefault(detail, set()).add(capsys.readouterr().out)
    assert [len(each) for each in told.values()] == [1, 1]
    assert len(examined) == len(entries()) == 2
    anew = ask("check . --jobs 1 --today 2026-12-01 --detail full", status=1).out
    assert told["full"] == {anew}
    assert "Move " in anew


def test_the_page_of_drawings_is_made_anew(examined: Told, capsys: Said) -> None:
    put("plan.yaml", ROOM)
    check()
    check("--report", "html=page.html")
    assert examined.names() == ["plan.yaml"] * 2


def change_catalogue() -> None:
    put("catalogue.yaml", Path("catalogue.yaml").read_text("utf-8").replace("9 m", "8 m"))


def drop_catalogue() -> None:
    os.unlink("catalogue.yaml")


def change_plan() -> None:
    put("plan.yaml", Path("plan.yaml").read_text("utf-8").replace("2400", "2401"))


def add_settings() -> None:
    put("underfoot.yaml", "settings_format: 1\nrules: {rcd: {off: true, because: a trial}}\n")


def add_review() -> None:
    put("plan.review.yaml", "review_format: 1\n")


def move_plan() -> None:
    os.rename("plan.yaml", "other.yaml")


CHANGES: list[Callable[[], None]] = [
    change_catalogue, drop_catalogue, change_plan, add_settings, add_review, move_plan,
]  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize("change", CHANGES, ids=lambda each: each.__name__)
def test_what_a_report_hangs_on_makes_it_anew(
    change: Callable[[], None], examined: Told, capsys: Said, ask: Ask
) -> None:
    catalogued()
    check("--format", "json")
    capsys.readouterr()
    change()
    check("--format", "json")
    cached = capsys.readouterr().out
    assert len(examined) == 2
    assert ask("check . --jobs 1 --today 2026-12-01 --format json", status=None).out == cached


def test_other_rules_asked_are_another_result(examined: Told, capsys: Said) -> None:
    put("plan.yaml", ROOM)
    for rule in ("rcd", "cold-area", "rcd"):
        check("--rule", rule)
    check()
    assert len(examined) == 3


def test_the_same_catalogue_at_another_place_may_not_be_the_owned_one(
    examined: Told, capsys: Said, ask: Ask, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("UNDERFOOT_CACHE_KEY", SECRET)
    put("underfoot.yaml", f"{LOCKED}materials_from:\n  catalogues: [owned.yaml]\n"
        "  because: our own figures\n")  # fmt: skip
    catalogued()
    os.rename("catalogue.yaml", "owned.yaml")
    shutil.copyfile("owned.yaml", "other.yaml")
    os.symlink("owned.yaml", "catalogue.yaml")
    assert check() == 0
    assert check() == 0
    assert len(examined) == 1
    os.unlink("catalogue.yaml")
    os.symlink("other.yaml", "catalogue.yaml")
    capsys.readouterr()
    check("--format", "json")
    cached = capsys.readouterr().out
    assert len(examined) == 2
    assert ask("check . --jobs 1 --today 2026-12-01 --format json", status=1).out == cached


def test_without_waivers_is_another_result(examined: Told, capsys: Said) -> None:
    put("plan.yaml", ROOM + WAIVED)
    check()
    check("--no-waivers")
    check("--no-waivers")
    assert len(examined) == 2


@pytest.mark.parametrize(
    ("text", "days", "checked"),
    [
        (ROOM, ("2026-12-01", "2026-12-09"), 1),
        (ROOM, ("2026-12-09", "2026-12-01"), 2),
        (ROOM + WAIVED, ("2026-12-01", "2026-12-09"), 2),
        (ROOM + WAIVED, ("2026-12-01", "2026-12-01"), 1),
    ],
)
def test_the_day_counts_where_a_date_may(
    text: str, days: tuple[str, str], checked: int, examined: Told, capsys: Said
) -> None:
    put("plan.yaml", text)
    for day in days:
        check(day=day)
    assert len(examined) == checked


def test_other_rules_are_held_for_their_day_alone(
    examined: Told, capsys: Said, monkeypatch: pytest.MonkeyPatch
) -> None:
    sets = checking.installed_rule_sets()
    other = replace(sets[0], name="own", rules=(), silences=())
    monkeypatch.setattr(checking, "installed_rule_sets", lambda: (*sets, other))
    put("plan.yaml", ROOM)
    for day in ("2026-12-01", "2026-12-01", "2026-12-02"):
        check(day=day)
    assert len(examined) == 2


def test_another_program_makes_anew(
    examined: Told, capsys: Said, monkeypatch: pytest.MonkeyPatch
) -> None:
    put("plan.yaml", ROOM)
    check()
    file = Path("rule.py")
    file.write_text("1", "utf-8")
    listed = cache_folder._list_files
    monkeypatch.setattr(cache_folder, "_list_files", lambda top: [*listed(top), ("rule.py", file)])
    check()
    file.write_text("2", "utf-8")
    check()
    check()
    assert len(examined) == 3
    monkeypatch.setattr(cache_folder, "_list_installed", lambda: ["shapely-0.1.dist-info"])
    check()
    assert len(examined) == 4
