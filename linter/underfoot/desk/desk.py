"""The desk at work: what changes on the disk is checked anew, and whoever looks on is told."""

import asyncio
import os
from collections.abc import Callable, Collection, Iterable, Sequence
from datetime import date
from functools import partial
from pathlib import Path

from underfoot.checking.content_hash import HashedRules
from underfoot.checking.rule import AnyRule
from underfoot.desk.asked import (
    Decided,
    Looked,
    Mended,
    RefusedError,
    decide_at_desk,
    find_asked,
    mend_at_desk,
)
from underfoot.desk.board import Board, collect, take, write_page
from underfoot.desk.checks import Checks
from underfoot.desk.found import Found, keep_found
from underfoot.desk.mends import Offered, Sought, keep_offered
from underfoot.running.plan_files import Collected, PlanFile
from underfoot.running.reviews import place_of_review

# An editor that saves by putting a new file in place of the old leaves a moment with none.
_PATIENCE_SECONDS = 0.15
# The mends of so many findings are kept to be made.
_MOST_OFFERED = 20


class Desk:
    """Holds the board; everything that changes it runs in one event loop."""

    def __init__(
        self,
        checks: Checks,
        trials: Checks,
        collect_files: Callable[[], Collected],
        rules: Sequence[AnyRule],
        hashed: HashedRules,
        root: Path,
        today: date | None = None,
    ) -> None:
        self.checks = checks
        self.trials = trials
        self.collect_files = collect_files
        self.rules = rules
        self.keep = partial(keep_found, rules=hashed)
        self.root = root
        self.today = today
        self.board = Board()
        self.closing = asyncio.Event()
        self.fault = ""
        self._news = asyncio.Condition()
        self._writing = asyncio.Lock()
        self._offered: dict[tuple[str, int], Offered] = {}

    async def open(self) -> None:
        """Look at every plan for the first time."""
        await self.list_plans()
        await self.check(each.file for each in self.board.held)

    async def list_plans(self) -> None:
        """Look which plans there are now."""
        collected = await asyncio.to_thread(self.collect_files)
        await self._set(collect(self.board, collected))

    async def check(self, files: Iterable[PlanFile]) -> None:
        """Check plans, and take in each as it is done."""
        wanted = list(files)
        found = asyncio.Queue[tuple[PlanFile, Found] | None]()
        loop = asyncio.get_running_loop()

        def check_apart() -> None:
            try:
                for file, each in zip(wanted, self.checks.ask(wanted, self.keep), strict=True):
                    loop.call_soon_threadsafe(found.put_nowait, (file, each))
            finally:
                loop.call_soon_threadsafe(found.put_nowait, None)

        work = asyncio.create_task(asyncio.to_thread(check_apart))
        while (one := await found.get()) is not None:
            await self._set(take(self.board, *one))
        await work

    async def heed(self, changed: Collection[str]) -> None:
        """Check what hangs on files that have changed; they are named by their real paths.

        What is no plan and no review may be a catalogue, settings or a new plan: then all is looked
        at anew.
        """
        if not all(map(os.path.exists, changed)):
            await asyncio.sleep(_PATIENCE_SECONDS)
        plans: dict[str, PlanFile] = {}
        for each in self.board.held:
            for place in (each.file.lies, place_of_review(each.file.lies)):
                plans[os.path.realpath(place)] = each.file
        touched = [plans[each] for each in sorted(changed) if each in plans]
        if touched:
            await self.check(dict.fromkeys(touched))
        if any(each not in plans or not os.path.exists(each) for each in changed):
            await self.list_plans()
            await self.check(each.file for each in self.board.held if each.file not in touched)

    async def decide(self, asked: Decided) -> None:
        """Write a decision, then look at its plan again; RefusedError where nothing is written."""
        day = (self.today or date.today()).isoformat()
        async with self._writing:
            await asyncio.to_thread(decide_at_desk, self.board, asked, day, self.root)
        await self.check([self.board.held[asked.state.plan - 1].file])

    async def look_for_mends(self, asked: Looked) -> Offered:
        """Look for the mends of a finding, and keep them to be made; RefusedError where none is."""
        file = find_asked(self.board, asked.state).file
        sought = Sought(
            number=asked.finding,
            file=file,
            root=self.trials.asking.root,
            today=self.today or date.today(),
        )
        keep = partial(keep_offered, sought=sought)
        (offered,) = await asyncio.to_thread(lambda: list(self.trials.ask([file], keep)))
        if offered.plan_hash != asked.state.plan_hash:
            raise RefusedError(409, "The plan has changed meanwhile: look again.")
        key = (file.place, asked.finding)
        self._offered = {**dict(list(self._offered.items())[-_MOST_OFFERED:]), key: offered}
        return offered

    async def mend(self, asked: Mended) -> None:
        """Make a mend that was looked at; RefusedError where nothing is written."""
        file = find_asked(self.board, asked.state).file
        offered = self._offered.get((file.place, asked.finding))
        async with self._writing:
            await asyncio.to_thread(mend_at_desk, self.board, asked, offered, self.root)
        await self.check([file])

    async def page(self, only: Collection[int] | None = None) -> str:
        """Write the page as soon as every plan has been looked at."""
        async with self._news:
            await self._news.wait_for(lambda: self.board.is_ready or self.closing.is_set())
        board = self.board
        return await asyncio.to_thread(write_page, board, self.rules, only)

    async def wait_for_news(self, board: Board, seconds: float) -> Board:
        """Return another board as soon as there is one, the same after some time."""

        def is_new() -> bool:
            return self.closing.is_set() or (self.board is not board and self.board.is_ready)

        async with self._news:
            try:
                await asyncio.wait_for(self._news.wait_for(is_new), seconds)
            except TimeoutError:
                return board
            return self.board

    async def close(self) -> None:
        """Let whoever waits go."""
        self.closing.set()
        async with self._news:
            self._news.notify_all()

    async def _set(self, board: Board) -> None:
        self.board = board
        async with self._news:
            self._news.notify_all()
