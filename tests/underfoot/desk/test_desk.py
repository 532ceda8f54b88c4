"""The board follows what happens in the folder: plans come, go, break and are mended."""

import asyncio
from pathlib import Path

import httpx
import pytest

from tests.underfoot.desk.desks import PLAN, at_desk, decision, state_of
from underfoot.desk.asked import Decided, RefusedError, State
from underfoot.desk.desk import Desk
from underfoot.desk.watching import is_of_interest

pytestmark = pytest.mark.usefixtures("folder", "tiny")


def put(name: str, text: str = PLAN) -> str:
    place = Path(name)
    place.parent.mkdir(exist_ok=True)
    place.write_text(text, "utf-8")
    return str(place.resolve())


def verdicts(desk: Desk) -> dict[str, str]:
    found = {}
    for each in desk.board.held:
        assert each.found is not None
        found[each.file.path] = each.found.drawn.report.verdict
    return found


def test_a_broken_plan_shows_its_problems_over_what_could_last_be_read() -> None:
    hall = put("hall.yaml")

    async def scene(desk: Desk, client: httpx.AsyncClient) -> None:
        put("hall.yaml", PLAN.replace("outline", "outlin"))
        await desk.heed({hall})
        assert verdicts(desk) == {"hall.yaml": "unreadable"}
        page = (await client.get("")).text
        assert "did you mean <code>outline</code>?" in page
        stale = page.partition('<div class="stale">')[2]
        assert "Room hall is" in stale
        assert '<figure class="room"' in stale
        # What cannot be read is not decided about.
        assert '<template class="review"' not in page
        state = State(**await state_of(client))
        asked = Decided(state=state, finding=1, decision="accepted", reason="a", by="b")
        with pytest.raises(RefusedError, match="as it is"):
            await desk.decide(asked)
        put("hall.yaml")
        await desk.heed({hall})
        page = (await client.get("")).text
        assert "stale" not in page.partition("<main")[2].partition("</main>")[0]
        assert '<template class="review"' in page

    at_desk(scene)


def test_a_plan_that_never_could_be_read_shows_its_problems_alone() -> None:
    put("hall.yaml", "plan_format: 1\n")

    async def scene(desk: Desk, client: httpx.AsyncClient) -> None:
        page = (await client.get("")).text
        assert "What keeps the plan from being read" in page
        assert '<div class="stale">' not in page

    at_desk(scene)


def test_plans_come_and_go() -> None:
    put("hall.yaml")

    async def scene(desk: Desk, client: httpx.AsyncClient) -> None:
        before = desk.board
        attic = put("attic/attic.yaml")
        await desk.heed({attic})
        assert list(verdicts(desk)) == ["attic/attic.yaml", "hall.yaml"]
        assert desk.board.edition == before.edition + 1
        # What was shown before is not decided about now: another plan stands at its place.
        old = decision({"edition": before.edition, "plan": 1, "plan_hash": "", "review_hash": ""})
        with pytest.raises(RefusedError, match="at the desk"):
            await desk.decide(Decided(**{**old, "state": State(**old["state"])}))
        # What is no plan is looked at, and is no news.
        board = desk.board
        await desk.heed({put("catalogue.yaml", "catalogue_format: 1\nmaterials: {}\n")})
        assert desk.board.held == board.held
        assert desk.board.edition == board.edition
        assert desk.board.passed_over == board.passed_over + 1
        board = desk.board
        await desk.heed({str(Path("catalogue.yaml").resolve())})
        assert desk.board is board
        Path("catalogue.yaml").unlink()
        Path(attic).unlink()
        await desk.heed({attic})
        assert list(verdicts(desk)) == ["hall.yaml"]
        assert desk.board.edition == before.edition + 2

    at_desk(scene)


def test_a_save_by_renaming_is_no_leaving() -> None:
    hall = put("hall.yaml")

    async def scene(desk: Desk, client: httpx.AsyncClient) -> None:
        before = desk.board
        Path(hall).unlink()
        heeding = asyncio.create_task(desk.heed({hall}))
        await asyncio.sleep(0.05)
        put("hall.yaml", PLAN.replace("2100", "1900"))
        await heeding
        assert desk.board.edition == before.edition
        assert verdicts(desk) == {"hall.yaml": "revise and resubmit"}

    at_desk(scene)


def test_settings_and_catalogues_count_at_once() -> None:
    put("hall.yaml")

    async def scene(desk: Desk, client: httpx.AsyncClient) -> None:
        before = desk.board
        assert verdicts(desk) == {"hall.yaml": "no objection with comments"}
        text = "settings_format: 1\nlimits: {room-height: {minimum: 2150, because: local code}}\n"
        settings = put("underfoot.yaml", text)
        await desk.heed({settings})
        assert verdicts(desk) == {"hall.yaml": "revise and resubmit"}
        # The limits that the page lists are others: it is loaded anew.
        assert desk.board.edition > before.edition

    at_desk(scene)


@pytest.mark.parametrize(
    ("path", "expected"),
    [
        ("/work/hall.yaml", True),
        ("/work/a/hall.YML", True),
        ("/work/gone", True),
        ("/work/.git/x.yaml", False),
        ("/work/a/.hall.yaml.0a1b.part", False),
        ("/work/hall.yaml~", False),
        ("/work/hall.txt", False),
        ("/elsewhere/catalogue.yaml", True),
        ("/work-catalogue.yaml", True),
        ("/.hidden.yaml", False),
    ],
)
def test_what_may_matter(path: str, expected: bool) -> None:
    assert is_of_interest(path, "/work") is expected
    # A desk in a hidden folder is none the worse for it.
    assert is_of_interest("/work/.d/hall.yaml", "/work/.d")
