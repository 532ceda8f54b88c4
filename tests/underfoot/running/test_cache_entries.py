"""What stands in the cache's folder: damaged, poisoned, shared, too much of it."""

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
from underfoot.checking.check import examine
from underfoot.commands import cache_folder
from underfoot.running import checking, result_cache

pytestmark = pytest.mark.usefixtures("folder")


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
    monkeypatch.setenv("UNDERFOOT_CACHE_KEY", " " * 20)
    assert check() == 2
    assert "0 characters" in capsys.readouterr().err

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
    assert main(["check", ".", "--cache", "kept", "--cluster", "tcp://127.0.0.1:1"]) == 2
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


@pytest.mark.parametrize("name", [".", "plans", "there"])
def test_a_folder_with_other_things_in_it_is_no_cache(name: str, capsys: Said) -> None:
    """Git would be told to ignore them."""
    put("plans/a.yaml", ROOM)
    put("there/notes.txt", "")
    assert main(["check", "plans", "--cache", name]) == 2
    assert "holds nothing else" in capsys.readouterr().err
    assert not Path(name, ".gitignore").exists()
    assert main(["check", "plans", "--cache", "new"]) == 0
    assert Path("new/.gitignore").is_file()
    assert main(["check", "plans", "--cache", "new"]) == 0
