"""Runs the desk until it is told to end."""

import asyncio
import os
import secrets
import signal
import socket
import webbrowser
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from types import FrameType

import uvicorn

from underfoot.checking.crash import describe
from underfoot.desk.app import make_app
from underfoot.desk.desk import Desk
from underfoot.desk.found import folders_beyond
from underfoot.desk.guarding import Door
from underfoot.desk.watching import watch
from underfoot.reading.root import find_root
from underfoot.running.errors import CommandError

HERE = "127.0.0.1"
_SECRET_BYTES = 24
_GRACE_SECONDS = 1


def take_port(port: int) -> socket.socket:
    """Take a port of this machine's own address, 0 any free one; CommandError where it is taken."""
    taken = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    if os.name == "posix":
        taken.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        taken.bind((HERE, port))
        taken.listen()  # whoever is told the address may come at once
    except OSError as error:
        taken.close()
        raise CommandError(f"--port {port}: {error.strerror}") from None
    return taken


def make_door(taken: socket.socket) -> Door:
    """Make the door for a port, with a new secret."""
    authority = f"{HERE}:{taken.getsockname()[1]}"
    return Door(authority=authority, secret=secrets.token_urlsafe(_SECRET_BYTES))


class _Server(uvicorn.Server):
    """A server that lets go of those who wait before it ends."""

    def __init__(self, config: uvicorn.Config, desk: Desk) -> None:
        super().__init__(config)
        self.desk = desk
        self.loop = asyncio.get_running_loop()

    def handle_exit(self, sig: int, frame: FrameType | None) -> None:
        """End as asked; an interrupt is how a desk is closed, and nothing that went wrong."""
        if sig == signal.SIGINT and not self.should_exit:
            self.should_exit = True
        else:
            super().handle_exit(sig, frame)
        asyncio.run_coroutine_threadsafe(self.desk.close(), self.loop)


async def serve(
    desk: Desk, taken: socket.socket, door: Door, *, deep: bool, say: Callable[[str], None],
    opens: bool,
) -> None:  # fmt: skip
    """Serve the desk, and check what changes; CommandError where it cannot go on."""
    config = uvicorn.Config(
        make_app(desk, door),
        log_level="critical",
        access_log=False,
        server_header=False,
        date_header=False,
        ws="none",
        http="h11",
        timeout_graceful_shutdown=_GRACE_SECONDS,
    )
    server = _Server(config, desk)
    at_work = asyncio.create_task(_work(desk, server, deep=deep))
    say(door.address)
    if opens:
        asyncio.get_running_loop().run_in_executor(None, webbrowser.open, door.address)
    try:
        await server.serve(sockets=[taken])
    finally:
        await desk.close()
        at_work.cancel()
        with suppress(asyncio.CancelledError):
            await at_work
    if desk.fault:
        raise CommandError(desk.fault)


Changes = asyncio.Queue[set[str] | Exception]


async def _work(desk: Desk, server: uvicorn.Server, *, deep: bool) -> None:
    """Check what there is, then what changes; what goes wrong ends the desk and is told."""
    changes: Changes = asyncio.Queue()
    root = str(desk.root)
    # Watched from before the first look, so that nothing is missed.
    near = asyncio.create_task(_gather({root}, root, desk.closing, changes, deep=deep))
    try:
        await desk.open()
        await _heed(desk, changes)
    except Exception as error:
        is_told = isinstance(error, CommandError)
        desk.fault = str(error) if is_told else f"a fault of the tool: {describe(error)}"
        server.should_exit = True
        await desk.close()
    finally:
        near.cancel()


async def _gather(
    folders: set[str], root: str, stop: asyncio.Event, changes: Changes, *, deep: bool
) -> None:
    try:
        async for paths in watch(folders, root, stop, deep=deep):
            changes.put_nowait(paths)
    except Exception as error:  # such as too many folders for the system to watch
        changes.put_nowait(error)


async def _heed(desk: Desk, changes: Changes) -> None:
    far: set[str] = set()
    far_off = asyncio.Event()
    watching: set[asyncio.Task[None]] = set()
    while not desk.closing.is_set():
        wanted = beyond(desk)
        if wanted != far:
            far_off.set()
            far, far_off = wanted, asyncio.Event()
            if far:
                gather = _gather(far, str(desk.root), far_off, changes, deep=False)
                task = asyncio.create_task(gather)
                watching.add(task)
                task.add_done_callback(watching.discard)
        changed = _take_paths(await changes.get())
        while not changes.empty():
            changed |= _take_paths(changes.get_nowait())
        await desk.heed({os.path.realpath(path) for path in changed})


def _take_paths(told: set[str] | Exception) -> set[str]:
    if isinstance(told, Exception):
        raise CommandError(f"the folder cannot be watched: {told}")
    return told


def beyond(desk: Desk) -> set[str]:
    """Return the folders outside the desk's own of which settings and catalogues count."""
    folders: set[str] = set()
    for each in desk.board.held:
        if each.found is not None:
            folders |= folders_beyond(each.found, each.file.folder, desk.root)
    top = find_root(desk.root)
    for level in desk.root.parents:
        if not level.is_relative_to(top):
            break
        folders.add(str(level))
    return {folder for folder in folders if Path(folder).is_dir()}
