"""Keeps what is marked true: every text is judged, and told of where it is still the newest."""

import asyncio
import logging
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from typing import Any

from underfoot.checking.crash import describe
from underfoot.editor.documents import PLAN, Document
from underfoot.editor.judgement import Judgement, gave_up
from underfoot.editor.other_files import KINDS
from underfoot.editor.worker import GaveUpError, Question, Worker

Publish = Callable[[Document], None]


class Rounds:
    """The documents that are open, and the round in which those that changed are judged."""

    def __init__(self, publish: Publish) -> None:
        self.worker = Worker()
        self.open: dict[str, Document] = {}
        self._publish = publish
        self._threads = ThreadPoolExecutor(max_workers=4, thread_name_prefix="asking")
        self._waiting: dict[str, None] = {}
        self._round: asyncio.Task[None] | None = None

    def warm_up(self) -> None:
        """Have the judging process ready before the first text comes."""
        self._threads.submit(self.worker.warm_up)

    def take(self, document: Document) -> None:
        """Take a document, or a new version of one, and have it judged."""
        self.open[document.uri] = document
        self.judge_anew([document.uri])

    def close(self, uri: str) -> None:
        """Let a document go; what was marked in it is taken back."""
        self._waiting.pop(uri, None)
        closed = self.open.pop(uri, None)
        if closed is not None:
            closed.marks = ()
            self._publish(closed)

    def judge_anew(self, uris: Iterable[str]) -> None:
        """Have documents judged, the latest asked for first."""
        for uri in uris:
            self._waiting.pop(uri, None)
            self._waiting[uri] = None
        if self._round is None or self._round.done():
            self._round = asyncio.get_running_loop().create_task(self._judge_waiting())

    async def forget(self) -> None:
        """Files changed on disk: look at them anew, and judge all that is open."""
        await self.ask(Question(what="forget"))
        self.judge_anew(list(self.open))

    async def ask(self, question: Question) -> Any:
        """Ask the judging process; None where it gave no answer."""
        try:
            return await self._ask(question)
        except GaveUpError:
            return None

    async def _ask(self, question: Question) -> Any:
        loop = asyncio.get_running_loop()
        return await loop.run_in_executor(self._threads, self.worker.ask, question)

    async def _judge_waiting(self) -> None:
        while self._waiting:
            uri, _ = self._waiting.popitem()
            document = self.open.get(uri)
            if document is None:
                continue
            told = await self._judge(document)
            # What is told of an older version would stand at the wrong places.
            if self.open.get(uri) is document:
                try:
                    document.take(told)
                    self._publish(document)
                except Exception as error:  # the texts that wait are told of all the same
                    logging.getLogger(__name__).critical("%s: %s", uri, describe(error))

    async def _judge(self, document: Document) -> Judgement:
        kind = document.kind
        if kind == PLAN:
            question = document.question("judge")
        elif kind in KINDS:
            question = document.question("file", kind)
        else:
            return Judgement(verdict="")
        try:
            told: Judgement = await self._ask(question)
        except GaveUpError as error:
            return gave_up(str(error))
        return told

    def end(self) -> None:
        """End the judging process."""
        self.worker.close()
        self._threads.shutdown(wait=False, cancel_futures=True)
