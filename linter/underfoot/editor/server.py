"""The language server: requests of an editor -> questions about the text it has -> answers."""

import logging
import os
import sys
from collections.abc import Callable
from inspect import iscoroutinefunction
from typing import Any

from lsprotocol import types as lsp
from pygls.lsp.server import LanguageServer

from underfoot import __version__
from underfoot.editor.actions import Action, as_action, list_actions, list_mendable
from underfoot.editor.checking import Rounds
from underfoot.editor.completion import complete
from underfoot.editor.documents import Document
from underfoot.editor.hints import list_hints
from underfoot.editor.hovering import find_pointed
from underfoot.editor.ids import at_place, find_given, find_used
from underfoot.editor.protocol import Reader, Writer, find_reader, writer_for
from underfoot.editor.symbols import list_symbols
from underfoot.editor.worker import Question

# What the editor is asked to watch: plans hang on catalogues, settings and reviews.
_WATCHED = "**/*.{yaml,yml}"
_TRIGGERS = ["{", "[", ",", " ", "-"]

Answer = Callable[[Any, Document, Writer], Any]


class EditorServer(LanguageServer):
    """A language server with the documents that it judges."""

    def __init__(self) -> None:
        super().__init__(
            "underfoot", __version__, text_document_sync_kind=lsp.TextDocumentSyncKind.Full
        )
        self.rounds = Rounds(self.publish)
        self.rules: tuple[tuple[str, str], ...] = ()
        self.took_leave = False

    @property
    def reader(self) -> Reader:
        """What the editor can read."""
        encoding = lsp.PositionEncodingKind(self.workspace.position_encoding)
        return find_reader(self.client_capabilities, encoding.value)

    def publish(self, document: Document) -> None:
        """Have the editor mark what is told of a version of a document."""
        writer = writer_for(document.text, self.reader)
        self.text_document_publish_diagnostics(
            lsp.PublishDiagnosticsParams(
                uri=document.uri,
                version=document.version if document.uri in self.rounds.open else None,
                diagnostics=[writer.diagnostic(each, document.uri) for each in document.marks],
            )
        )
        if document.told is not None and document.told.rows and self._refreshes_hints:
            self.workspace_inlay_hint_refresh(None)

    @property
    def _refreshes_hints(self) -> bool:
        workspace = self.client_capabilities.workspace
        hints = None if workspace is None else workspace.inlay_hint
        return hints is not None and bool(hints.refresh_support)

    def answers(self, feature: str, options: Any = None) -> Callable[[Answer], Answer]:
        """Have requests about a document answered; of one that is not open nothing is said.

        The answer is given the request, the document, and what writes its places.
        """

        def find(params: Any) -> tuple[Document, Writer] | None:
            document = self.rounds.open.get(params.text_document.uri)
            if document is None:
                return None
            return document, writer_for(document.text, self.reader)

        def register(answer: Answer) -> Answer:
            if iscoroutinefunction(answer):

                async def answer_in_time(params: Any) -> Any:
                    found = find(params)
                    return None if found is None else await answer(params, *found)

                self.feature(feature, options)(answer_in_time)
            else:

                def answer_at_once(params: Any) -> Any:
                    found = find(params)
                    return None if found is None else answer(params, *found)

                self.feature(feature, options)(answer_at_once)
            return answer

        return register


def make_server() -> EditorServer:
    """Make a server with all that it can do."""
    server = EditorServer()
    _follow_documents(server)
    _explain(server)
    _lead_to_ids(server)
    _list(server)
    return server


def serve() -> bool:
    """Serve an editor on standard input and output until it leaves; tell whether it took leave.

    Standard output is the protocol's alone: what else is printed goes to standard error.
    """
    logging.basicConfig(level=logging.CRITICAL)
    sys.stdout.flush()
    protocol_out = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    server = make_server()
    try:
        server.start_io(stdout=protocol_out)
    finally:
        server.rounds.end()
    return server.took_leave


def _follow_documents(server: EditorServer) -> None:
    rounds = server.rounds

    @server.feature(lsp.INITIALIZED)
    async def start(_: lsp.InitializedParams) -> None:
        rounds.warm_up()
        watched = server.client_capabilities.workspace
        files = None if watched is None else watched.did_change_watched_files
        if files is not None and files.dynamic_registration:
            watcher = lsp.FileSystemWatcher(_WATCHED)
            options = lsp.DidChangeWatchedFilesRegistrationOptions([watcher])
            server.client_register_capability(
                lsp.RegistrationParams(
                    [lsp.Registration("watched", lsp.WORKSPACE_DID_CHANGE_WATCHED_FILES, options)]
                )
            )
        server.rules = await rounds.ask(Question(what="rules")) or ()

    @server.feature(lsp.TEXT_DOCUMENT_DID_OPEN)
    def open_(params: lsp.DidOpenTextDocumentParams) -> None:
        given = params.text_document
        rounds.take(Document(given.uri, given.version, given.text))

    @server.feature(lsp.TEXT_DOCUMENT_DID_CHANGE)
    def change(params: lsp.DidChangeTextDocumentParams) -> None:
        # At once: what is asked right behind a change is asked of the text as changed.
        given = params.text_document
        text = server.workspace.get_text_document(given.uri).source
        rounds.take(Document(given.uri, given.version, text))

    @server.feature(lsp.TEXT_DOCUMENT_DID_SAVE)
    async def save(_: lsp.DidSaveTextDocumentParams) -> None:
        await rounds.forget()

    @server.feature(lsp.WORKSPACE_DID_CHANGE_WATCHED_FILES)
    async def watch(_: lsp.DidChangeWatchedFilesParams) -> None:
        await rounds.forget()

    @server.feature(lsp.TEXT_DOCUMENT_DID_CLOSE)
    def close(params: lsp.DidCloseTextDocumentParams) -> None:
        rounds.close(params.text_document.uri)

    @server.feature(lsp.SHUTDOWN)
    async def shut_down(_: Any) -> None:
        server.took_leave = True
        rounds.end()


def _explain(server: EditorServer) -> None:
    @server.answers(lsp.TEXT_DOCUMENT_HOVER)
    async def hover(
        params: lsp.HoverParams, document: Document, writer: Writer
    ) -> lsp.Hover | None:
        pointed = find_pointed(document.text, writer.place(params.position))
        if pointed is None:
            return None
        parts = [pointed.says]
        if pointed.id is not None:
            question = document.question("explain", *pointed.id)
            parts.insert(0, await server.rounds.ask(question) or "")
        says = "\n\n---\n\n".join(part for part in parts if part)
        return writer.hover(says, pointed.span) if says else None

    options = lsp.CompletionOptions(trigger_characters=_TRIGGERS)

    @server.answers(lsp.TEXT_DOCUMENT_COMPLETION, options)
    def completion(
        params: lsp.CompletionParams, document: Document, writer: Writer
    ) -> lsp.CompletionList:
        offers = complete(document.text, writer.place(params.position), lambda: server.rules)
        items = [writer.completion(each, rank) for rank, each in enumerate(offers)]
        return lsp.CompletionList(is_incomplete=False, items=items)


def _lead_to_ids(server: EditorServer) -> None:
    @server.answers(lsp.TEXT_DOCUMENT_DEFINITION)
    def definition(
        params: lsp.DefinitionParams, document: Document, writer: Writer
    ) -> list[lsp.Location] | None:
        meant = at_place(document.text, writer.place(params.position))
        if meant is None:
            return None
        given = find_given(document.text, *meant)
        return [lsp.Location(document.uri, writer.range(each.span)) for each in given]

    @server.answers(lsp.TEXT_DOCUMENT_REFERENCES)
    def references(
        params: lsp.ReferenceParams, document: Document, writer: Writer
    ) -> list[lsp.Location] | None:
        meant = at_place(document.text, writer.place(params.position))
        if meant is None:
            return None
        given = find_given(document.text, *meant)
        kinds = {each.kind for each in given} or {meant[0]}
        spans = [
            use.span for kind in sorted(kinds) for use in find_used(document.text, kind, meant[1])
        ]
        if params.context.include_declaration:
            spans += [each.span for each in given]
        return [
            lsp.Location(document.uri, writer.range(span))
            for span in dict.fromkeys(sorted(spans, key=lambda each: each.start))
        ]


def _list(server: EditorServer) -> None:
    @server.answers(lsp.TEXT_DOCUMENT_DOCUMENT_SYMBOL)
    def symbols(
        params: lsp.DocumentSymbolParams, document: Document, writer: Writer
    ) -> list[lsp.DocumentSymbol]:
        return [writer.symbol(each) for each in list_symbols(document.text)]

    @server.answers(lsp.TEXT_DOCUMENT_INLAY_HINT)
    def hints(
        params: lsp.InlayHintParams, document: Document, writer: Writer
    ) -> list[lsp.InlayHint]:
        rows = document.told.rows if document.told is not None else {}
        shown = list_hints(document.text, rows, writer.span(params.range))
        return [writer.hint(each) for each in shown]

    options = lsp.CodeActionOptions(code_action_kinds=[lsp.CodeActionKind.QuickFix])

    @server.answers(lsp.TEXT_DOCUMENT_CODE_ACTION, options)
    async def actions(
        params: lsp.CodeActionParams, document: Document, writer: Writer
    ) -> list[lsp.CodeAction] | None:
        told, marks = document.told, document.marks
        if told is None:
            return None
        within = writer.span(params.range)
        offered: list[Action] = []
        for mark in list_mendable(marks, within):
            mends = await server.rounds.ask(document.question("mends", mark.number)) or ()
            offered += [as_action(each, mark, document.text) for each in mends]
        offered += list_actions(told, marks, document.text, within)
        return [writer.action(each, document.uri, document.version) for each in offered]
