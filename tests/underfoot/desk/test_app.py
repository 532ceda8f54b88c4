"""Deciding at the desk: the same review as by the command, and nothing that changed is lost."""

import asyncio
from html import unescape
from pathlib import Path

import httpx
import pytest

from tests.underfoot.desk.desks import DOOR, OWN, PLAN, at_desk, decision, state_of
from underfoot.__main__ import main
from underfoot.desk import checks
from underfoot.desk.app import say_news
from underfoot.desk.board import Board
from underfoot.desk.desk import Desk

pytestmark = pytest.mark.usefixtures("folder", "tiny")

BESIDE = Path("hall.review.yaml")


@pytest.fixture
def hall() -> Path:
    """The one plan at the desk."""
    place = Path("hall.yaml")
    place.write_text(PLAN, "utf-8")
    return place


def test_a_decision_is_written_as_by_the_command(hall: Path) -> None:
    async def scene(desk: Desk, client: httpx.AsyncClient) -> None:
        asked = decision(await state_of(client))
        answer = await client.post("decide", json=asked, headers=OWN)
        assert (answer.status_code, answer.text) == (200, "written")
        # The page has followed by then.
        page = (await client.get("")).text
        assert "seen on site" in page
        whole = {"finding": None, "decision": "no objection", "reason": "small"}
        answer = await client.post(
            "decide", json=decision(await state_of(client), **whole), headers=OWN
        )
        assert answer.status_code == 200

    at_desk(scene)
    at_the_desk = BESIDE.read_bytes()
    assert main(["review", str(hall), "--verify"]) == 0
    BESIDE.unlink()
    by = ["--by", "design lead", "--today", "2026-10-01"]
    main(["review", str(hall), "--decide", "1=accepted", *by, "--reason", "seen on site"])
    main(["review", str(hall), "--overall", "no objection", *by, "--reason", "small"])
    assert BESIDE.read_bytes() == at_the_desk


def test_what_is_decided_badly_is_told(hall: Path) -> None:
    async def scene(desk: Desk, client: httpx.AsyncClient) -> None:
        state = await state_of(client)
        for change, words in [
            ({"reason": " "}, "A decision needs a reason."),
            ({"by": ""}, "A decision needs the name of whoever decides."),
            ({"decision": "fine"}, "There is no decision 'fine'."),
            ({"finding": 9}, "There is no such finding."),
            ({"finding": 0}, "There is no such finding."),
            ({"finding": None}, "There is no decision 'accepted' about a whole plan."),
            (
                {"finding": None, "decision": "no objection", "reason": ""},
                "The check says 'no objection with comments': say by a reason why you decide "
                "otherwise.",
            ),
        ]:
            answer = await client.post("decide", json=decision(state, **change), headers=OWN)
            assert (answer.status_code, answer.text) == (422, words)
        for asked in ({"state": state}, [], decision({**state, "path": "../x"}),
                      decision(state, more=1), decision(state, reason="x" * 2001)):  # fmt: skip
            answer = await client.post("decide", json=asked, headers=OWN)
            assert answer.status_code == 400
        assert not BESIDE.exists()

    at_desk(scene)


def test_a_plan_that_changed_meanwhile_is_not_decided_about(hall: Path) -> None:
    async def scene(desk: Desk, client: httpx.AsyncClient) -> None:
        asked = decision(await state_of(client))
        # The desk itself has not seen it yet.
        hall.write_text(f"{PLAN}# an editor was quicker\n", "utf-8")
        answer = await client.post("decide", json=asked, headers=OWN)
        assert answer.status_code == 409
        assert answer.text.startswith("The plan has changed meanwhile; nothing was written.")
        # And now it has.
        await desk.heed({str(hall.resolve())})
        answer = await client.post("decide", json=asked, headers=OWN)
        assert answer.status_code == 409
        answer = await client.post("decide", json=decision(await state_of(client)), headers=OWN)
        assert answer.status_code == 200

    at_desk(scene)
    assert "an editor was quicker" in hall.read_text("utf-8")


def test_two_browsers_and_an_editor_lose_nothing(hall: Path) -> None:
    async def scene(desk: Desk, client: httpx.AsyncClient) -> None:
        both_see = await state_of(client)
        first, second = decision(both_see), decision(both_see, finding=2, reason="the other")
        answers = await asyncio.gather(
            *(client.post("decide", json=asked, headers=OWN) for asked in (first, second))
        )
        assert sorted(answer.status_code for answer in answers) == [200, 409]
        (refused,) = (answer for answer in answers if answer.status_code == 409)
        assert refused.text.startswith("The review has changed meanwhile")
        # Also when the desk has followed, only what is seen as it is now is decided about.
        await desk.check([desk.board.held[0].file])
        late = await client.post("decide", json=second, headers=OWN)
        assert (late.status_code, late.text[:10]) == (409, "The review")
        again = decision(await state_of(client), finding=2, reason="the other")
        assert (await client.post("decide", json=again, headers=OWN)).status_code == 200
        # Somebody writes a remark into the review by hand, unseen by the desk.
        seen = await state_of(client)
        text = BESIDE.read_text("utf-8")
        BESIDE.write_text(f"{text}# by hand\n", "utf-8")
        answer = await client.post("decide", json=decision(seen, reason="third"), headers=OWN)
        assert answer.status_code == 409
        assert BESIDE.read_text("utf-8").endswith("# by hand\n")
        await desk.heed({str(BESIDE.resolve())})
        seen = await state_of(client)
        answer = await client.post("decide", json=decision(seen, reason="third"), headers=OWN)
        assert answer.status_code == 200

    at_desk(scene)
    text = BESIDE.read_text("utf-8")
    for kept in ("the other", "third", "# by hand"):
        assert kept in text


def test_nothing_is_written_for_who_comes_from_elsewhere(hall: Path) -> None:
    async def scene(desk: Desk, client: httpx.AsyncClient) -> None:
        asked = decision(await state_of(client))
        for headers in ({}, {"Origin": "http://evil.example"}, {**OWN, "Host": "evil.example"},
                        {**OWN, "Sec-Fetch-Site": "cross-site"}):  # fmt: skip
            answer = await client.post("decide", json=asked, headers=headers)
            assert answer.status_code == 403
        assert (await client.get("decide")).status_code == 405
        wrong = f"{DOOR.origin}/another/decide"
        assert (await client.post(wrong, json=asked, headers=OWN)).status_code == 404
        assert not BESIDE.exists()

    at_desk(scene)


def test_no_file_is_given_out(hall: Path) -> None:
    async def scene(desk: Desk, client: httpx.AsyncClient) -> None:
        for path in ("../x", "%2e%2e/x", "hall.yaml", "..%2fhall.yaml", "static/x"):
            answer = await client.get(f"{DOOR.address}{path}")
            assert answer.status_code == 404
            assert "plan_format" not in answer.text

    at_desk(scene)


def test_every_answer_says_what_may_be_done_with_it(hall: Path) -> None:
    async def scene(desk: Desk, client: httpx.AsyncClient) -> None:
        for path, kind in [("", "text/html"), ("parts?plans=1", "text/plain"),
                           (f"{DOOR.origin}/elsewhere", "text/plain")]:  # fmt: skip
            headers = (await client.get(path)).headers
            assert headers["content-type"].startswith(kind)
            assert "frame-ancestors 'none'" in headers["content-security-policy"]
            assert headers["x-content-type-options"] == "nosniff"
            assert headers["referrer-policy"] == "no-referrer"
            assert headers["cache-control"] == "no-store"
        page = (await client.get("")).text
        assert "connect-src 'self'" in unescape(page.partition("<title>")[0])
        assert DOOR.secret not in page

    at_desk(scene)


def test_a_part_holds_the_plans_asked_for_and_what_is_told_of_all(hall: Path) -> None:
    Path("attic.yaml").write_text(PLAN, "utf-8")

    async def scene(desk: Desk, client: httpx.AsyncClient) -> None:
        part = (await client.get("parts?plans=2,7,x,")).text
        assert 'id="plan-2"' in part
        assert 'id="plan-1"' not in part
        assert "attic.yaml" in part  # in the register
        assert "<script></script>" in part
        assert len(part) < len((await client.get("")).text) / 2

    at_desk(scene)


def test_the_news_tell_how_everything_stands(hall: Path) -> None:
    async def scene(desk: Desk, client: httpx.AsyncClient) -> None:
        before = desk.board
        assert (
            say_news(before) == f'data: {{"edition": {before.edition}, "versions": {{"1": 1}}}}\n\n'
        )
        waiting = asyncio.create_task(desk.wait_for_news(before, 60))
        hall.write_text(PLAN.replace("2100", "1900"), "utf-8")
        await desk.heed({str(hall.resolve())})
        after = await waiting
        assert after.versions == {"1": 2}
        assert after.edition == before.edition
        assert await desk.wait_for_news(after, 0.01) is after
        # What is as it was is no news.
        await desk.heed({str(hall.resolve())})
        assert desk.board is after

    at_desk(scene)


def test_onlookers_are_told_what_is_new_and_that_the_desk_is_still_there(
    hall: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def scene(desk: Desk, client: httpx.AsyncClient) -> None:
        shown: list[Board] = []

        async def wait(board: Board, _: float) -> Board:
            """Return the board at once, and the same once more, as after some time; then close."""
            shown.append(board)
            if len(shown) == 2:
                desk.closing.set()
            return desk.board

        monkeypatch.setattr(desk, "wait_for_news", wait)
        answer = await client.get("news")
        assert answer.headers["content-type"].startswith("text/event-stream")
        assert answer.text == f"{say_news(desk.board)}: still there\n\n"
        assert [each.edition for each in shown] == [0, desk.board.edition]

    at_desk(scene)


@pytest.mark.parametrize("copies", [True, False], ids=["in a copy", "where there are none"])
def test_of_several_plans_the_one_decided_about_is_looked_at_again(
    hall: Path, monkeypatch: pytest.MonkeyPatch, copies: bool
) -> None:
    if not copies:
        monkeypatch.setattr(checks, "can_copy", lambda: False)
    for name in ("a.yaml", "z.yaml"):
        Path(name).write_text(PLAN, "utf-8")

    async def scene(desk: Desk, client: httpx.AsyncClient) -> None:
        for place in (1, 2, 3):
            before = desk.board.versions
            asked = decision(await state_of(client, place))
            assert (await client.post("decide", json=asked, headers=OWN)).status_code == 200
            changed = {key for key, now in desk.board.versions.items() if before[key] != now}
            assert changed == {str(place)}

    at_desk(scene)
    names = ["a.review.yaml", "hall.review.yaml", "z.review.yaml"]
    assert sorted(each.name for each in Path().glob("*.review.yaml")) == names


def test_where_there_are_no_copies_none_is_started(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(checks, "can_copy", lambda: False)
    monkeypatch.delattr(checks, "start_copy")
    made = checks.Checks((), checks.Asking())
    made.start()
    made.end()
