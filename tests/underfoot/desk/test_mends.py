"""Mends at the desk: looked at, then written, and only into the plan that was looked at."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest
from msgspec.structs import replace

from tests.underfoot.commands.tiny_set import TINY
from tests.underfoot.desk.desks import OWN, PLAN, at_desk, state_of
from underfoot.api.rules import Edit, Mender, Proposal, ToMend
from underfoot.desk.desk import Desk
from underfoot.running import checking

pytestmark = pytest.mark.usefixtures("folder", "raising")


def raise_ceiling(asked: ToMend) -> Iterator[Proposal]:
    """Raise it too little, then enough, then by moving a wall as well."""
    where = ("rooms", "hall", "height")
    for height in (2150, 2300):
        edits = (Edit(op="replace", path=where, value=height),)
        yield Proposal(says=f"Plan {height} mm.", edits=edits)
    wider = Edit(op="replace", path=("rooms", "hall", "outline", 1), value=[4100, 0])
    wall = Edit(op="replace", path=("rooms", "hall", "outline", 2), value=[4100, 3000])
    higher = Edit(op="replace", path=where, value=2400)
    yield Proposal(says="Plan 2400 mm, and more room.", edits=(wider, wall, higher))


@pytest.fixture
def raising(monkeypatch: pytest.MonkeyPatch) -> None:
    """A rule set that has something to propose for rooms that are too low."""
    mender = Mender(rule="room-height", propose=raise_ceiling)
    sets = (replace(TINY, gather_menders=lambda: (mender,)),)
    monkeypatch.setattr(checking, "installed_rule_sets", lambda: sets)


@pytest.fixture
def hall() -> Path:
    """The one plan at the desk, with a remark in it."""
    place = Path("hall.yaml")
    plan = f"{PLAN}  attic: {{outline: [[0, 0], [900, 0], [900, 900]], height: 2400}}\n"
    place.write_bytes(plan.replace("\n", "\r\n").encode() + b"# as it is\r\n")
    return place


async def look(client: httpx.AsyncClient, state: dict[str, Any], finding: int) -> httpx.Response:
    return await client.post("look", json={"state": state, "finding": finding}, headers=OWN)


async def mend(client: httpx.AsyncClient, state: dict[str, Any], **more: int) -> httpx.Response:
    asked = {"state": state, "finding": 1, "mend": 0, **more}
    return await client.post("mend", json=asked, headers=OWN)


def test_a_mend_is_looked_at_and_written(hall: Path) -> None:
    before = hall.read_bytes()

    async def scene(desk: Desk, client: httpx.AsyncClient) -> None:
        state = await state_of(client)
        first, second = (await look(client, state, 1)).json()
        assert first["says"] == "Plan 2300 mm."
        assert first["verdict"] == "no objection"
        assert [line for line in first["lines"].splitlines() if line[:1] in "+-"][2:] == [
            "-  hall: {outline: [[0, 0], [4000, 0], [4000, 3000], [0, 3000]], height: 2100}",
            "+  hall: {outline: [[0, 0], [4000, 0], [4000, 3000], [0, 3000]], height: 2300}",
        ]
        # A wall moves: the room is drawn before and after, and no other.
        (room,) = second["rooms"]
        assert room["room"] == "hall"
        assert room["before"].startswith("<svg")
        assert room["before"] != room["after"]
        assert hall.read_bytes() == before  # nothing is written by looking
        assert (await mend(client, state)).status_code == 200
        assert 'data-verdict="no-objection"' in (await client.get("")).text

    at_desk(scene)
    assert hall.read_bytes() == before.replace(b"height: 2100", b"height: 2300")


def test_what_nothing_helps_has_no_mend(hall: Path) -> None:
    async def scene(desk: Desk, client: httpx.AsyncClient) -> None:
        state = await state_of(client)
        for finding in (2, 9):
            answer = await look(client, state, finding)
            assert (answer.status_code, answer.json()) == (200, [])
            assert (await mend(client, state, finding=finding)).status_code == 422

    at_desk(scene)


def test_only_what_was_looked_at_is_written(hall: Path) -> None:
    before = hall.read_bytes()

    async def scene(desk: Desk, client: httpx.AsyncClient) -> None:
        state = await state_of(client)
        assert (await mend(client, state)).status_code == 409
        await look(client, state, 1)
        for at in (2, -1):
            assert (await mend(client, state, mend=at)).status_code == 422
        # An editor saves; the desk has not seen it yet, and then it has.
        hall.write_bytes(before + b"# meanwhile\r\n")
        assert (await mend(client, state)).status_code == 409
        assert (await look(client, state, 1)).status_code == 409
        await desk.heed({str(hall.resolve())})
        assert (await mend(client, state)).status_code == 409
        late = await mend(client, await state_of(client))
        assert (late.status_code, late.text[:9]) == (409, "This mend")
        assert hall.read_bytes() == before + b"# meanwhile\r\n"

    at_desk(scene)


def test_two_mends_at_once_are_one(hall: Path) -> None:
    async def scene(desk: Desk, client: httpx.AsyncClient) -> None:
        state = await state_of(client)
        await look(client, state, 1)
        assert (await mend(client, state, mend=1)).status_code == 200
        assert (await mend(client, state)).status_code == 409

    at_desk(scene)
    assert b"height: 2400" in hall.read_bytes()


def test_what_is_waived_is_left(hall: Path) -> None:
    waiver = "{rule: room-height, item: hall, reason: agreed, agreed_by: the client}"
    with hall.open("a", encoding="utf-8") as stream:
        stream.write(f"waivers: [{waiver}]\n")

    async def scene(desk: Desk, client: httpx.AsyncClient) -> None:
        found = desk.board.held[0].found
        assert found is not None
        (number,) = (each.number for each in found.drawn.report.findings if each.waiver)
        assert (await look(client, await state_of(client), number)).json() == []

    at_desk(scene)
