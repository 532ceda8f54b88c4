"""The desk as a web application: the page, its parts, its news, and what is asked to be written."""

import json
import re
from collections.abc import AsyncIterator, Awaitable, Callable
from typing import TypeVar

import msgspec
from starlette.applications import Starlette
from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import Request
from starlette.responses import HTMLResponse, PlainTextResponse, Response, StreamingResponse
from starlette.routing import Route
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from underfoot.desk.asked import Decided, Looked, Mended, RefusedError
from underfoot.desk.board import Board
from underfoot.desk.desk import Desk
from underfoot.desk.guarding import HEADERS, MOST_BYTES, Door, find_refusal
from underfoot.running.errors import CommandError

# So often a page that hears nothing is told that the desk is still there.
_PULSE_SECONDS = 10.0
# More pages than this do not look on at once.
_MOST_ONLOOKERS = 32

_PLACE = re.compile(r"[1-9][0-9]{0,3}", re.ASCII)

Answer = Callable[[Request], Awaitable[Response]]
Asked = TypeVar("Asked")


def make_app(desk: Desk, door: Door) -> ASGIApp:
    """Make the application; whatever does not come in by the door is turned away first."""
    onlookers = 0

    async def page(request: Request) -> Response:
        return HTMLResponse(await desk.page())

    async def parts(request: Request) -> Response:
        wanted = request.query_params.get("plans", "").split(",")
        only = frozenset(int(each) for each in wanted if _PLACE.fullmatch(each))
        # As text, so that nobody is shown it as a page without its policy.
        return PlainTextResponse(await desk.page(only))

    async def news(request: Request) -> Response:
        if onlookers >= _MOST_ONLOOKERS:
            return PlainTextResponse("too many pages look on already", 503)
        return StreamingResponse(tell(), media_type="text/event-stream")

    async def tell() -> AsyncIterator[str]:
        nonlocal onlookers
        onlookers += 1
        try:
            board = Board(edition=0)
            while not desk.closing.is_set():
                latest = await desk.wait_for_news(board, _PULSE_SECONDS)
                yield ": still there\n\n" if latest is board else say_news(latest)
                board = latest
        finally:
            onlookers -= 1

    async def decide(request: Request) -> Response:
        await desk.decide(await read_json(request, Decided))
        return PlainTextResponse("written")

    async def look(request: Request) -> Response:
        offered = await desk.look_for_mends(await read_json(request, Looked))
        shown = [mend.shown for mend in offered.mends]
        return Response(msgspec.json.encode(shown), media_type="application/json")

    async def mend(request: Request) -> Response:
        await desk.mend(await read_json(request, Mended))
        return PlainTextResponse("written")

    at = f"/{door.secret}"
    routes = [
        Route(f"{at}/", page),
        Route(f"{at}/parts", parts),
        Route(f"{at}/news", news),
        Route(f"{at}/decide", answering(decide), methods=["POST"]),
        Route(f"{at}/look", answering(look), methods=["POST"]),
        Route(f"{at}/mend", answering(mend), methods=["POST"]),
    ]
    return Guard(Starlette(routes=routes), door)


def say_news(board: Board) -> str:
    """Say how everything stands, as one event: so nothing depends on those before it."""
    return f"data: {json.dumps({'edition': board.edition, 'versions': board.versions})}\n\n"


def answering(ask: Answer) -> Answer:
    """Let what is refused be told in words."""

    async def answer(request: Request) -> Response:
        try:
            return await ask(request)
        except RefusedError as refused:
            return PlainTextResponse(refused.why, refused.status)
        except CommandError as error:
            return PlainTextResponse(f"Nothing was written: {error}.", 500)

    return answer


async def read_json(request: Request, kind: type[Asked]) -> Asked:
    """Read what is asked; RefusedError where it is not of that kind."""
    body = b""
    async for piece in request.stream():
        body += piece
        if len(body) > MOST_BYTES:
            raise RefusedError(413, "This is more than a decision takes.")
    try:
        return msgspec.json.decode(body, type=kind)
    except (msgspec.DecodeError, UnicodeDecodeError):
        raise RefusedError(400, "The desk does not understand this page: load it anew.") from None


class Guard:
    """Turns away what does not come in by the door, and tells browsers what nobody may do."""

    def __init__(self, app: ASGIApp, door: Door) -> None:
        self.app = app
        self.door = door

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self.app(scope, receive, send)
            return

        async def send_guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                MutableHeaders(scope=message).update(HEADERS)
            await send(message)

        refusal = find_refusal(self.door, scope["method"], scope["path"], Headers(scope=scope))
        app: ASGIApp = self.app
        if refusal is not None:
            app = PlainTextResponse(f"{refusal.why}\n", refusal.status)
        await app(scope, receive, send_guarded)
