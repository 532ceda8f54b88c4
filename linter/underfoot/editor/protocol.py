"""Our values as the Language Server Protocol has them, and back."""

from collections.abc import Sequence

from lsprotocol import types as lsp
from msgspec import Struct

from underfoot.editor.actions import Action
from underfoot.editor.completion import Offer
from underfoot.editor.diagnostics import Mark
from underfoot.editor.hints import Hint
from underfoot.editor.symbols import Symbol
from underfoot.editor.text_places import Place, Span, from_units, split_lines, to_units

SOURCE = "underfoot"
_SEVERITIES = {
    "error": lsp.DiagnosticSeverity.Error,
    "warning": lsp.DiagnosticSeverity.Warning,
    "information": lsp.DiagnosticSeverity.Information,
    "hint": lsp.DiagnosticSeverity.Hint,
}
_OFFERED = {
    "key": lsp.CompletionItemKind.Property,
    "word": lsp.CompletionItemKind.EnumMember,
    "id": lsp.CompletionItemKind.Reference,
    "example": lsp.CompletionItemKind.Value,
}
_LISTED = {
    "rooms": lsp.SymbolKind.Module,
    "rows": lsp.SymbolKind.Array,
    "elements": lsp.SymbolKind.Field,
    "leads": lsp.SymbolKind.Interface,
    "fixtures": lsp.SymbolKind.Object,
    "joints": lsp.SymbolKind.Constant,
    "openings": lsp.SymbolKind.Boolean,
    "circuits": lsp.SymbolKind.Event,
    "films": lsp.SymbolKind.Class,
    "boards": lsp.SymbolKind.Class,
    "sheets": lsp.SymbolKind.Class,
    "coverings": lsp.SymbolKind.Class,
}


class Reader(Struct, frozen=True, kw_only=True):
    """What the editor can read: in which units it counts, and where it reads Markdown."""

    encoding: str = "utf-16"
    markdown_hovers: bool = False
    markdown_offers: bool = False


def find_reader(capabilities: lsp.ClientCapabilities, encoding: str) -> Reader:
    """Find out what an editor can read; what it does not say it cannot."""
    texts = capabilities.text_document
    hover = None if texts is None else texts.hover
    completion = None if texts is None else texts.completion
    item = None if completion is None else completion.completion_item
    markdown = lsp.MarkupKind.Markdown
    return Reader(
        encoding=encoding,
        markdown_hovers=hover is not None and markdown in (hover.content_format or ()),
        markdown_offers=item is not None and markdown in (item.documentation_format or ()),
    )


class Writer(Struct, frozen=True, kw_only=True):
    """Writes and reads places of one text, in the units agreed with the editor."""

    lines: Sequence[str]
    reader: Reader

    def position(self, place: Place) -> lsp.Position:
        """A place as the editor counts."""
        line, unit = to_units(self.lines, place, self.reader.encoding)
        return lsp.Position(line, unit)

    def range(self, span: Span) -> lsp.Range:
        """A part of the text as the editor counts."""
        return lsp.Range(self.position(span.start), self.position(span.end))

    def place(self, position: lsp.Position) -> Place:
        """What the editor means by a position."""
        return from_units(self.lines, position.line, position.character, self.reader.encoding)

    def span(self, within: lsp.Range) -> Span:
        """What the editor means by a range."""
        return Span(self.place(within.start), self.place(within.end))

    def diagnostic(self, mark: Mark, uri: str) -> lsp.Diagnostic:
        """A mark as a diagnostic."""
        related = [
            lsp.DiagnosticRelatedInformation(lsp.Location(uri, self.range(span)), says)
            for span, says in mark.related
        ]
        return lsp.Diagnostic(
            range=self.range(mark.span),
            message=mark.message,
            severity=_SEVERITIES[mark.severity],
            code=mark.code,
            code_description=None if mark.page is None else lsp.CodeDescription(mark.page),
            source=SOURCE,
            related_information=related or None,
        )

    def completion(self, offer: Offer, rank: int) -> lsp.CompletionItem:
        """An offer as an editor lists it, in our order."""
        return lsp.CompletionItem(
            label=offer.label,
            kind=_OFFERED[offer.kind],
            detail=offer.detail or None,
            documentation=_told(offer.says, self.reader.markdown_offers) if offer.says else None,
            text_edit=lsp.TextEdit(self.range(offer.span), offer.text),
            sort_text=f"{rank:04}",
        )

    def symbol(self, symbol: Symbol) -> lsp.DocumentSymbol:
        """A thing with what stands in it."""
        return lsp.DocumentSymbol(
            name=symbol.name or "?",
            kind=_LISTED.get(symbol.kind, lsp.SymbolKind.Property),
            range=self.range(symbol.whole),
            selection_range=self.range(symbol.named),
            children=[self.symbol(each) for each in symbol.inside] or None,
        )

    def hint(self, hint: Hint) -> lsp.InlayHint:
        """Words between the words."""
        return lsp.InlayHint(
            position=self.position(hint.place),
            label=hint.label,
            kind=lsp.InlayHintKind.Parameter if hint.before else lsp.InlayHintKind.Type,
            padding_left=not hint.before,
            padding_right=hint.before,
        )

    def action(self, action: Action, uri: str, version: int | None) -> lsp.CodeAction:
        """Something to do, as changes to this version of the text alone."""
        edits: list[lsp.TextEdit | lsp.AnnotatedTextEdit | lsp.SnippetTextEdit] = [
            lsp.TextEdit(self.range(each.span), each.text) for each in action.changes
        ]
        document = lsp.OptionalVersionedTextDocumentIdentifier(uri, version)
        return lsp.CodeAction(
            title=action.says,
            kind=lsp.CodeActionKind.QuickFix,
            diagnostics=None if action.about is None else [self.diagnostic(action.about, uri)],
            is_preferred=action.is_mend or None,
            edit=lsp.WorkspaceEdit(
                document_changes=[lsp.TextDocumentEdit(document, edits)],
            ),
        )

    def hover(self, says: str, span: Span) -> lsp.Hover:
        """What is explained where the pointer rests."""
        return lsp.Hover(_told(says, self.reader.markdown_hovers), self.range(span))


def writer_for(text: str, reader: Reader) -> Writer:
    """What writes places of a text."""
    return Writer(lines=split_lines(text), reader=reader)


def _told(text: str, in_markdown: bool) -> lsp.MarkupContent:
    if in_markdown:
        return lsp.MarkupContent(lsp.MarkupKind.Markdown, text)
    plain = text.replace("**", "").replace("`", "")
    return lsp.MarkupContent(lsp.MarkupKind.PlainText, plain)
