"""What is saved is followed by itself, also what plans stand on elsewhere; what fails is told."""

import asyncio
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from tests.underfoot.commands.tiny_plans import put
from tests.underfoot.desk.desks import PLAN, checks, make_desk
from underfoot.desk import serving
from underfoot.desk.board import Board
from underfoot.desk.desk import Desk
from underfoot.running.plan_files import Collected

pytestmark = pytest.mark.usefixtures("folder", "tiny")

CATALOGUE = "catalogue_format: 1\nmaterials: {}\n"
SETTINGS = "settings_format: 1\nlimits: {room-height: {minimum: %s, because: local code}}\n"


async def until(desk: Desk, board: Board) -> Board:
    """Wait for another board."""
    async with asyncio.timeout(30):
        return await desk.wait_for_news(board, 30)


def verdict(board: Board) -> str:
    (held,) = board.held
    assert held.found is not None
    return held.found.drawn.report.verdict


def test_every_save_is_followed() -> None:
    # Settings and a catalogue above the folder, in one repository.
    Path("house/.git").mkdir(parents=True)
    put("house/catalogue.yaml", CATALOGUE)
    put("house/plans/hall.yaml", f"{PLAN}catalogue: ../catalogue.yaml\n")

    async def play(desk: Desk) -> None:
        server: Any = SimpleNamespace(should_exit=False)
        work = asyncio.create_task(serving._work(desk, server, deep=True))
        board = await until(desk, Board())
        while not board.is_ready or not board.held:
            board = await until(desk, board)
        assert serving.beyond(desk) == {str(Path("house").resolve())}
        await asyncio.sleep(0.5)  # until the folder above is watched
        assert verdict(board) == "no objection with comments"
        put("house/underfoot.yaml", SETTINGS % 2150)
        board = await until(desk, board)
        assert verdict(board) == "revise and resubmit"
        put("house/catalogue.yaml", "catalogue_format: 1\nmaterial: {}\n")
        board = await until(desk, board)
        assert verdict(board) == "unreadable"
        put("house/catalogue.yaml", CATALOGUE)
        board = await until(desk, board)
        put("house/plans/hall.yaml", PLAN.replace("2100", "2300"))
        board = await until(desk, board)
        assert verdict(board) == "no objection"
        await desk.close()
        work.cancel()
        await asyncio.gather(work, return_exceptions=True)
        assert not server.should_exit
        assert not desk.fault

    with checks() as at_work:
        asyncio.run(play(make_desk(at_work, "house/plans")))


def test_outside_a_repository_nothing_above_counts() -> None:
    put("plans/hall.yaml", f"{PLAN}catalogue: catalogue.yaml\n")
    put("plans/catalogue.yaml", CATALOGUE)

    async def play(desk: Desk) -> None:
        await desk.open()
        assert verdict(desk.board) == "no objection with comments"
        assert serving.beyond(desk) == set()

    with checks() as at_work:
        asyncio.run(play(make_desk(at_work, "plans")))


@pytest.mark.parametrize(
    ("fails", "words"),
    [
        ("collect_files", "a fault of the tool: "),
        ("watch", "the folder cannot be watched: no more"),
    ],
)
def test_what_fails_ends_the_desk_and_is_told(
    monkeypatch: pytest.MonkeyPatch, fails: str, words: str
) -> None:
    put("hall.yaml", PLAN)

    def fail(*arguments: object, **more: object) -> Collected:
        raise OSError("no more") if fails == "watch" else RuntimeError("a mistake")

    async def play(desk: Desk) -> None:
        server: Any = SimpleNamespace(should_exit=False)
        async with asyncio.timeout(30):
            await serving._work(desk, server, deep=False)
        assert server.should_exit
        assert desk.closing.is_set()
        assert desk.fault.startswith(words)

    with checks() as at_work:
        desk = make_desk(at_work)
        if fails == "watch":
            monkeypatch.setattr(serving, "watch", fail)
        else:
            desk.collect_files = fail
        asyncio.run(play(desk))
