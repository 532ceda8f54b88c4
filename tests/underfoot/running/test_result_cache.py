"""`underfoot check --cache`: the same bytes, and no answer from an entry that does not hold."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path
from typing import Any

import msgspec
import pytest
from msgspec.structs import replace

from tests.benchmarks.rooms import plan_room, render_room
from tests.underfoot.asking import Ask
from tests.underfoot.commands.tiny_plans import put
from underfoot.__main__ import main
from underfoot.checking.check import examine
from underfoot.commands import cache_folder
from underfoot.commands.outputs import FORMATS
from underfoot.running import checking, result_cache

pytestmark = pytest.mark.usefixtures("folder")

Said = pytest.CaptureFixture[str]
ROOM = render_room(plan_room(1))
SECRET = "only the build knows this one"
LOCKED = "settings_format: 1\nlocked: true\n"
WAIVED = (
    "waivers:\n  - {rule: cold-area, item: room-1, reason: agreed, agreed_by: owner, "
    'until: "2026-12-05"}\n'
)


class Told:
    """The plans that were really checked, as a file that all processes write has them."""

    def __init__(self, place: Path) -> None:
        self.place = place

    def names(self) -> list[str]:
        return self.place.read_text("utf-8").split() if self.place.exists() else []

    def __len__(self) -> int:
        return len(self.names())


@pytest.fixture
def examined(monkeypatch: pytest.MonkeyPatch, tmp_path_factory: pytest.TempPathFactory) -> Told:
    """Tell which plans are really checked."""
    told = Told(tmp_path_factory.mktemp("told") / "names")

    def examine_aloud(source: bytes, *args: Any, **named: Any) -> Any:
        with told.place.open("a", encoding="utf-8") as stream:
            stream.write(named["path"] + "\n")
        return examine(source, *args, **named)

    monkeypatch.setattr(checking, "examine", examine_aloud)
    return told


def catalogued(text: str = ROOM) -> str:
    """A plan that takes its materials from a catalogue, which is written beside it."""
    head, rest = text.split("materials:\n")
    materials, supply = rest.split("supply:\n")
    put("catalogue.yaml", f"catalogue_format: 1\nmaterials:\n{materials}")
    return put("plan.yaml", f"{head}catalogue: catalogue.yaml\nmaterials: {{}}\nsupply:\n{supply}")


def check(*more: str, day: str = "2026-12-01") -> int:
    return main(["check", ".", "--jobs", "1", "--cache", "kept", "--today", day, *more])


def entries() -> list[Path]:
    return sorted(each for each in Path("kept").glob("??/*"))


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


def truncate(entry: Path) -> None:
    entry.write_bytes(entry.read_bytes()[:-7])


def alter(entry: Path) -> None:
    entry.write_bytes(entry.read_bytes().replace(b"no objection", b"no objectioN"))


def empty(entry: Path) -> None:
    entry.write_bytes(b"")


def put_pipe(entry: Path) -> None:
    entry.unlink()
    os.mkfifo(entry)


def put_link(entry: Path) -> None:
    entry.rename("elsewhere")
    entry.symlink_to(Path("elsewhere").absolute())


def seal(entry: Path, body: bytes) -> None:
    said = (entry.parent.name + entry.name).encode() + b"\n" + body
    entry.write_bytes(b"plain " + sha256(said).hexdigest().encode() + b"\n" + body)


def put_foreign(entry: Path) -> None:
    seal(entry, b'[null,"2026-12-01",false,["plan.yaml",7]]')


def put_deep(entry: Path) -> None:
    seal(entry, b"[" * 100_000)


DAMAGES: list[Callable[[Path], None]] = [
    truncate, alter, empty, put_pipe, put_link, put_foreign, put_deep,
]  # fmt: skip


@pytest.mark.parametrize("damage", DAMAGES, ids=lambda each: each.__name__)
def test_a_damaged_entry_is_made_anew(
    damage: Callable[[Path], None], examined: Told, capsys: Said
) -> None:
    put("plan.yaml", ROOM)
    check()
    told = capsys.readouterr()
    good = entries()[0].read_bytes()
    damage(entries()[0])
    check()
    assert capsys.readouterr() == told
    assert len(examined) == 2
    assert entries()[0].read_bytes() == good


def test_an_entry_answers_for_its_own_plan_alone(examined: Told, capsys: Said) -> None:
    put("plan.yaml", ROOM)
    check()
    put("plan.yaml", ROOM.replace("breaker: 10 A", "breaker: 32 A"))
    check()
    old, new = sorted(entries(), key=lambda each: each.stat().st_mtime_ns)
    shutil.copyfile(old, new)
    check()
    assert len(examined) == 3


def poison() -> None:
    """Write a verdict without objection into the entry of a plan that has an error."""
    (entry,) = entries()
    body = json.loads(entry.read_bytes().partition(b"\n")[2])
    body["report"] |= {"verdict": "no objection", "findings": []}
    body["report"]["counts"] = dict.fromkeys(body["report"]["counts"], 0)
    seal(entry, json.dumps(body, separators=(",", ":")).encode())


def test_locked_settings_are_not_answered_by_a_poisoned_entry(
    examined: Told, capsys: Said, monkeypatch: pytest.MonkeyPatch
) -> None:
    put("underfoot.yaml", LOCKED)
    put("plan.yaml", ROOM.replace("breaker: 10 A", "breaker: 32 A"))
    assert check() == 2
    assert "underfoot.yaml is locked" in capsys.readouterr().err
    assert not entries()
    assert not examined.names()
    monkeypatch.setenv("UNDERFOOT_CACHE_KEY", SECRET)
    assert check() == 1
    assert check() == 1
    assert len(examined) == 1
    poison()
    assert check() == 1
    assert len(examined) == 2
    monkeypatch.setenv("UNDERFOOT_CACHE_KEY", SECRET + "!")
    assert check() == 1
    assert len(examined) == 3
    os.unlink("underfoot.yaml")
    monkeypatch.setenv("UNDERFOOT_CACHE_KEY", "")
    assert check() == 1


def test_a_poisoned_entry_would_be_seen_by_this_test(capsys: Said) -> None:
    put("plan.yaml", ROOM.replace("breaker: 10 A", "breaker: 32 A"))
    assert check() == 1
    poison()
    assert check() == 0


def test_a_short_key_is_refused(capsys: Said, monkeypatch: pytest.MonkeyPatch) -> None:
    put("plan.yaml", ROOM)
    monkeypatch.setenv("UNDERFOOT_CACHE_KEY", "x" * 15)
    assert check() == 2
    assert "15 characters: give 16 or more" in capsys.readouterr().err
    monkeypatch.setenv("UNDERFOOT_CACHE_KEY", "x" * 16)
    assert check() == 0


def test_a_crash_is_not_kept(capsys: Said, monkeypatch: pytest.MonkeyPatch) -> None:
    put("plan.yaml", ROOM)

    def crash(*args: Any, **named: Any) -> Any:
        raise RuntimeError("no more")

    with monkeypatch.context() as broken:
        broken.setattr(checking, "examine", crash)
        assert check() == 2
    assert check() == 0

    def fall(*args: Any, **named: Any) -> Any:
        done = examine(*args, **named)
        return replace(done, report=replace(done.report, faults=(("rcd", "fell"),)))

    Path("plan.yaml").write_text(ROOM.replace("2400", "2500"), "utf-8")
    with monkeypatch.context() as broken:
        broken.setattr(checking, "examine", fall)
        check()
    assert len(entries()) == 1


def test_several_processes_share_the_folder(capsys: Said) -> None:
    for number in range(6):
        put(f"plan-{number}.yaml", ROOM)
    told = []
    for jobs in ("3", "2"):
        main(["check", ".", "--jobs", jobs, "--cache", "kept", "--today", "2026-12-01"])
        told.append(capsys.readouterr().out)
    assert told[0] == told[1]
    assert len(entries()) == 6
    assert not list(Path("kept").rglob("*.part"))
    assert Path("kept/.gitignore").read_text("utf-8") == "*\n"


def test_a_cache_that_cannot_be_written_costs_nothing_but_time(
    examined: Told, capsys: Said
) -> None:
    put("plan.yaml", ROOM)
    check()
    shelf = entries()[0].parent
    shutil.rmtree(shelf)
    shelf.write_text("in the way", "utf-8")
    assert check() == 0
    assert len(examined) == 2


def test_a_file_is_no_folder(capsys: Said) -> None:
    put("plan.yaml", ROOM)
    put("kept", "")
    assert check() == 2
    assert "--cache kept: this is a file; name a folder" in capsys.readouterr().err


def test_a_cluster_has_no_cache(capsys: Said) -> None:
    put("plan.yaml", ROOM)
    assert check("--cluster", "tcp://127.0.0.1:1") == 2
    assert "--cache and --cluster" in capsys.readouterr().err


def test_the_oldest_go_where_there_are_too_many(capsys: Said) -> None:
    for number in range(5):
        put(f"plan-{number}.yaml", ROOM)
    check()
    by_age = entries()
    for number, entry in enumerate(by_age):
        os.utime(entry, (1_000 + number, 1_000 + number))
    size = max(entry.stat().st_size for entry in by_age)
    cache_folder.thin_out("kept", most=4 * size)
    assert len(entries()) == 5  # it has just been looked at
    os.utime("kept/looked-at", (0, 0))
    cache_folder.thin_out("kept", most=4 * size)
    assert entries() == sorted(by_age[2:])


def test_what_is_of_another_shape_is_no_report() -> None:
    for data in (None, [], {}, "", 7, [1] * 14, {"path": "x", "verdict": 5}):
        entry = {"catalogue": None, "day": "2026-10-01", "only_then": False, "report": data}
        with pytest.raises(msgspec.ValidationError):
            result_cache.decoder().decode(json.dumps(entry).encode())
