"""An editor without a face: a language client that keeps what the server told it, in order."""

import asyncio
import os
import sys
from collections.abc import Awaitable, Callable, Iterator
from pathlib import Path
from typing import Any, TypeVar

from lsprotocol import types as lsp
from pygls.protocol import default_converter
from pytest_lsp import LanguageClient

REPOSITORY = Path(__file__).parents[3]
PLANS = REPOSITORY / "plans"
PATIENCE_SECONDS = 240  # a busy machine gives a costly plan its seconds late

Given = TypeVar("Given")
Run = Callable[[Any], Any]


class Editor:
    """An editor with the server that it started."""

    def __init__(self, client: LanguageClient) -> None:
        self.client = client
        self.published: list[lsp.PublishDiagnosticsParams] = []
        self._news = asyncio.Event()
        self._versions: dict[str, int] = {}

    def hear(self, told: lsp.PublishDiagnosticsParams) -> None:
        """Keep what the server marks."""
        self.published.append(told)
        self._news.set()

    def open(self, path: Path | str, text: str) -> str:
        """Open a text as that of a file, which need not be there; gives its URI."""
        uri = Path(path).as_uri()
        # No version comes twice, so that none is taken for one of an earlier time.
        self._versions[uri] = self._versions.get(uri, 0) + 1
        item = lsp.TextDocumentItem(uri, "yaml", self._versions[uri], text)
        self.client.text_document_did_open(lsp.DidOpenTextDocumentParams(item))
        return uri

    def change(self, uri: str, text: str) -> int:
        """Put another text in its place; gives the new version."""
        self._versions[uri] += 1
        version = self._versions[uri]
        self.client.text_document_did_change(
            lsp.DidChangeTextDocumentParams(
                lsp.VersionedTextDocumentIdentifier(version, uri),
                [lsp.TextDocumentContentChangeWholeDocument(text)],
            )
        )
        return version

    def close(self, uri: str) -> None:
        """Close a text."""
        self.client.text_document_did_close(
            lsp.DidCloseTextDocumentParams(lsp.TextDocumentIdentifier(uri))
        )

    async def marks(self, uri: str, version: int | None = None) -> list[lsp.Diagnostic]:
        """Wait for what is marked in a version, by default the newest."""
        wanted = self._versions[uri] if version is None else version
        async with asyncio.timeout(PATIENCE_SECONDS):
            while True:
                for told in reversed(self.published):
                    if told.uri == uri and told.version == wanted:
                        return list(told.diagnostics)
                self._news.clear()
                await self._news.wait()

    async def ask(self, waiting: Awaitable[Given]) -> Given:
        """Wait for an answer, but not for ever."""
        async with asyncio.timeout(PATIENCE_SECONDS):
            return await waiting


async def start_editor(
    encodings: list[lsp.PositionEncodingKind] | None = None, **environment: str
) -> Editor:
    """Start the server as an editor would."""
    client = LanguageClient(converter_factory=default_converter)
    editor = Editor(client)

    @client.feature(lsp.TEXT_DOCUMENT_PUBLISH_DIAGNOSTICS)
    def hear(told: lsp.PublishDiagnosticsParams) -> None:
        editor.hear(told)

    path = os.pathsep.join([str(REPOSITORY / "linter"), str(REPOSITORY / "rules")])
    await client.start_io(
        sys.executable,
        "-m",
        "underfoot",
        "serve-editor",
        env={**os.environ, "PYTHONPATH": path, **environment},
    )
    capabilities = lsp.ClientCapabilities(
        general=lsp.GeneralClientCapabilities(position_encodings=encodings)
    )
    if encodings is None:
        markdown = [lsp.MarkupKind.Markdown, lsp.MarkupKind.PlainText]
        item = lsp.ClientCompletionItemOptions(documentation_format=markdown)
        capabilities.text_document = lsp.TextDocumentClientCapabilities(
            hover=lsp.HoverClientCapabilities(content_format=markdown),
            completion=lsp.CompletionClientCapabilities(completion_item=item),
        )
    params = lsp.InitializeParams(capabilities=capabilities, process_id=os.getpid())
    await editor.ask(client.initialize_session(params))
    return editor


async def end_editor(editor: Editor) -> None:
    """Leave as an editor does; the server must end by itself, and in order."""
    async with asyncio.timeout(PATIENCE_SECONDS):
        await editor.client.shutdown_session()
        server: Any = editor.client._server
        assert await server.wait() == 0
        await editor.client.stop()


def with_editor(encodings: list[lsp.PositionEncodingKind] | None = None) -> Iterator[Any]:
    """Run an editor for the tests of a module: gives it, and what runs waits on it."""
    with asyncio.Runner() as runner:
        editor = runner.run(start_editor(encodings))
        yield editor, runner.run
        runner.run(end_editor(editor))


def of(uri: str) -> lsp.TextDocumentIdentifier:
    """Name a text to the server."""
    return lsp.TextDocumentIdentifier(uri)


def position(text: str, behind: str) -> lsp.Position:
    """The place right behind the first of these words."""
    lines = text[: text.index(behind) + len(behind)].split("\n")
    return lsp.Position(len(lines) - 1, len(lines[-1].encode("utf-16-le")) // 2)


def shown(text: str, place: lsp.Range) -> str:
    """What stands in a range, in units of UTF-16."""
    line = text.split("\n")[place.start.line].encode("utf-16-le")
    return line[2 * place.start.character : 2 * place.end.character].decode("utf-16-le")
