"""Six faults of six kinds are mended at the desk, one click after another."""

import re
import shutil
from pathlib import Path

import httpx
import pytest

from tests.underfoot.desk.desks import OWN, at_desk, state_of
from tests.underfoot.mending.test_music_room import CHANGED, PLANS
from underfoot.desk.desk import Desk


@pytest.mark.process
def test_mends_alone_bring_a_plan_in_order(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    for name in ("music-room.yaml", "catalogue.yaml"):
        shutil.copy(PLANS / name, tmp_path)

    async def scene(desk: Desk, client: httpx.AsyncClient) -> None:
        for left in range(6, 0, -1):
            state = await state_of(client)
            looked = await client.post("look", json={"state": state, "finding": 1}, headers=OWN)
            assert looked.json()[0]["says"], left
            asked = {"state": state, "finding": 1, "mend": 0}
            assert (await client.post("mend", json=asked, headers=OWN)).status_code == 200
        page = (await client.get("")).text
        assert re.findall(r'data-verdict="([a-z-]+)"', page) == ["no-objection"]

    at_desk(scene)
    before = (PLANS / "music-room.yaml").read_text("utf-8").splitlines()
    after = Path("music-room.yaml").read_text("utf-8").splitlines()
    assert after == [CHANGED.get(line, line) for line in before]
