"""Our values in the protocol's words: places in the units agreed, each kind of thing as its own."""

import pytest
from lsprotocol import types as lsp

from underfoot.editor.actions import Action, Change
from underfoot.editor.completion import Offer
from underfoot.editor.diagnostics import Mark
from underfoot.editor.hints import Hint
from underfoot.editor.protocol import Reader, Writer, find_reader, writer_for
from underfoot.editor.symbols import Symbol
from underfoot.editor.text_places import Span

# The clef is one character, two units of UTF-16 and four bytes; é is two bytes.
TEXT = "plan_format: 1\nnote: 𝄞é x\n"
X = Span((1, 9), (1, 10))
UNITS = {"utf-32": 9, "utf-16": 10, "utf-8": 13}


def writer(encoding: str = "utf-16", *, markdown: bool = True) -> Writer:
    reader = Reader(encoding=encoding, markdown_hovers=markdown, markdown_offers=markdown)
    return writer_for(TEXT, reader)


@pytest.mark.parametrize(("encoding", "unit"), UNITS.items())
def test_places_are_told_and_understood_in_the_editors_units(encoding: str, unit: int) -> None:
    one = writer(encoding)
    told = one.range(X)
    assert told == lsp.Range(lsp.Position(1, unit), lsp.Position(1, unit + 1))
    assert one.span(told) == X


def test_a_mark() -> None:
    mark = Mark(
        span=X, severity="error", message="It is too long.", code="cut-length", page="file:///p.md",
        related=((Span((0, 0), (0, 11)), "This belongs to it: plan_format."),), number=1,
    )  # fmt: skip
    told = writer().diagnostic(mark, "file:///a.yaml")
    assert (told.message, told.code, told.source) == ("It is too long.", "cut-length", "underfoot")
    assert told.severity == lsp.DiagnosticSeverity.Error
    assert told.code_description == lsp.CodeDescription("file:///p.md")
    (related,) = told.related_information or ()
    assert related.message == "This belongs to it: plan_format."
    assert related.location == lsp.Location(
        "file:///a.yaml", lsp.Range(lsp.Position(0, 0), lsp.Position(0, 11))
    )
    # The protocol numbers severities from 1, the gravest.
    bare = Mark(span=X, severity="hint", message="", code="x")
    told = writer().diagnostic(bare, "file:///a.yaml")
    assert (told.severity, told.code_description, told.related_information) == (4, None, None)


@pytest.mark.parametrize(
    ("markdown", "kind", "words"),
    [(True, "markdown", "**`film`** of a row"), (False, "plaintext", "film of a row")],
)
def test_explanations_are_plain_where_no_markdown_is_read(
    markdown: bool, kind: str, words: str
) -> None:
    one = writer(markdown=markdown)
    hover = one.hover("**`film`** of a row", X)
    assert hover.contents == lsp.MarkupContent(lsp.MarkupKind(kind), words)
    assert hover.range == one.range(X)
    offer = Offer(
        label="film", text="film: ", span=X, kind="key", says="**`film`** of a row", detail=""
    )
    item = one.completion(offer, 7)
    assert item.documentation == hover.contents
    assert (item.label, item.kind, item.detail) == ("film", lsp.CompletionItemKind.Property, None)
    assert item.text_edit == lsp.TextEdit(one.range(X), "film: ")


def test_offers_stay_in_our_order() -> None:
    offer = Offer(label="a", text="a", span=X, kind="id", says="", detail="a film")
    items = [writer().completion(offer, rank) for rank in (2, 10, 300)]
    assert sorted(items, key=lambda one: str(one.sort_text)) == items
    assert (items[0].detail, items[0].documentation) == ("a film", None)


def test_what_an_editor_does_not_say_it_cannot() -> None:
    markdown = [lsp.MarkupKind.PlainText, lsp.MarkupKind.Markdown]
    plain = [lsp.MarkupKind.PlainText]
    assert find_reader(lsp.ClientCapabilities(), "utf-8") == Reader(encoding="utf-8")
    for hovers, offers in ((markdown, plain), (plain, markdown), (markdown, markdown)):
        item = lsp.ClientCompletionItemOptions(documentation_format=offers)
        texts = lsp.TextDocumentClientCapabilities(
            hover=lsp.HoverClientCapabilities(content_format=hovers),
            completion=lsp.CompletionClientCapabilities(completion_item=item),
        )
        assert find_reader(lsp.ClientCapabilities(text_document=texts), "utf-16") == Reader(
            markdown_hovers=hovers is markdown, markdown_offers=offers is markdown
        )
    texts = lsp.TextDocumentClientCapabilities(
        hover=lsp.HoverClientCapabilities(), completion=lsp.CompletionClientCapabilities()
    )
    assert find_reader(lsp.ClientCapabilities(text_document=texts), "utf-16") == Reader()


def test_a_thing_with_what_stands_in_it() -> None:
    inner = Symbol(name="A", kind="rows", whole=X, named=X)
    told = writer().symbol(
        Symbol(name="", kind="", whole=Span((0, 0), (1, 10)), named=X, inside=(inner,))
    )
    assert (told.name, told.kind) == ("?", lsp.SymbolKind.Property)
    assert told.range.end == lsp.Position(1, 11)
    assert told.selection_range.end == lsp.Position(1, 11)
    (row,) = told.children or ()
    assert (row.name, row.kind, row.children) == ("A", lsp.SymbolKind.Array, None)


@pytest.mark.parametrize("before", [True, False])
def test_words_between_the_words_keep_a_gap_towards_the_text(before: bool) -> None:
    told = writer().hint(Hint(place=(1, 9), label="A1:", before=before))
    assert (told.position, told.label) == (lsp.Position(1, 10), "A1:")
    assert (told.padding_left, told.padding_right) == (not before, before)
    assert told.kind == (lsp.InlayHintKind.Parameter if before else lsp.InlayHintKind.Type)


def test_something_to_do_changes_one_version_alone() -> None:
    mark = Mark(span=X, severity="error", message="m", code="c")
    change = Change(span=X, text="y")
    one = writer()
    told = one.action(
        Action(says="Do it", changes=(change,), about=mark, is_mend=True), "file:///a.yaml", 3
    )
    assert (told.title, told.is_preferred) == ("Do it", True)
    assert told.diagnostics == [one.diagnostic(mark, "file:///a.yaml")]
    assert told.edit is not None
    (edit,) = told.edit.document_changes or ()
    assert isinstance(edit, lsp.TextDocumentEdit)
    assert (edit.text_document.uri, edit.text_document.version) == ("file:///a.yaml", 3)
    assert edit.edits == [lsp.TextEdit(one.range(X), "y")]
    bare = one.action(Action(says="Do it", changes=()), "file:///a.yaml", None)
    assert (bare.diagnostics, bare.is_preferred) == (None, None)
