"""A desk for tests: set up in a folder, asked as a browser asks, without a server."""

import asyncio
import re
from collections.abc import Awaitable, Callable, Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import Any

import httpx

from underfoot import __version__
from underfoot.checking.content_hash import hash_rules
from underfoot.desk.app import make_app
from underfoot.desk.checks import Asking, Checks
from underfoot.desk.desk import Desk
from underfoot.desk.guarding import Door
from underfoot.running.checking import rule_sets_to_use
from underfoot.running.plan_files import collect_plans

TODAY = date(2026, 10, 1)
DOOR = Door(authority="127.0.0.1:4711", secret="a-secret")
# What the browser adds by itself.
OWN = {"Origin": DOOR.origin, "Sec-Fetch-Site": "same-origin"}

PLAN = (
    "plan_format: 1\njob: {revision: P1}\nmaterials: {}\nsupply: {voltage: 230 V}\n"
    "rooms:\n  hall: {outline: [[0, 0], [4000, 0], [4000, 3000], [0, 3000]], height: 2100}\n"
)

Scene = Callable[[Desk, httpx.AsyncClient], Awaitable[None]]


@contextmanager
def checks() -> Iterator[Checks]:
    """The process that checks."""
    made = Checks(rule_sets_to_use(), Asking(today=TODAY))
    made.start()
    try:
        yield made
    finally:
        made.end()


def make_desk(at_work: Checks, path: str = ".") -> Desk:
    """A desk for a folder."""
    rules = [rule for rule_set in at_work.sets for rule in rule_set.rules]
    return Desk(
        at_work,
        at_work,
        lambda: collect_plans([path]),
        rules,
        hash_rules(at_work.sets, __version__),
        Path(path).resolve(),
        TODAY,
    )


def at_desk(scene: Scene, path: str = ".") -> None:
    """Play a scene at a desk whose plans have been looked at."""

    async def play(at_work: Checks) -> None:
        desk = make_desk(at_work, path)
        await desk.open()
        transport = httpx.ASGITransport(app=make_app(desk, DOOR))
        async with httpx.AsyncClient(transport=transport, base_url=DOOR.address) as client:
            await scene(desk, client)

    with checks() as at_work:
        asyncio.run(play(at_work))


def state_on(page: str, place: int = 1) -> dict[str, Any]:
    """What a page says that it shows of a plan."""
    (found,) = re.findall(rf'<article class="plan" id="plan-{place}"[^>]*>', page)
    hashes = dict(re.findall(r'data-(plan|review)-hash="([^"]*)"', found))
    (edition,) = re.findall(r'data-edition="([0-9]+)"', page)
    return {
        "edition": int(edition),
        "plan": place,
        "plan_hash": hashes["plan"],
        "review_hash": hashes["review"],
    }


async def state_of(client: httpx.AsyncClient, place: int = 1) -> dict[str, Any]:
    """What the page shows now."""
    answer = await client.get("")
    assert answer.status_code == 200
    return state_on(answer.text, place)


def decision(state: dict[str, Any], **more: Any) -> dict[str, Any]:
    """A decision about the first finding."""
    asked = {"finding": 1, "decision": "accepted", "reason": "seen on site", "by": "design lead"}
    return {"state": state, **asked, **more}
