"""What an editor is told of a place in a text: explained, completed, led to, listed."""

from typing import Any

import pytest
from lsprotocol import types as lsp

from tests.underfoot.editor.editing import PLANS, Editor, Run, of, position, shown

pytestmark = pytest.mark.process


def test_places_beyond_the_basic_plane(
    served: tuple[Editor, Run], in_characters: tuple[Editor, Run]
) -> None:
    text = (PLANS / "study.yaml").read_text("utf-8")
    text = text.replace("A: {film:", 'A: {note: "𝄞𝄞 é", fi1m: x, film:')
    column = {}
    for editor, run in (served, in_characters):
        uri = editor.open(PLANS / "notes.yaml", text)
        mark = next(each for each in run(editor.marks(uri)) if "fi1m" in each.message)
        column[editor] = mark.range.start.character
        if editor is served[0]:
            assert shown(text, mark.range) == "fi1m"
            hover = run(
                editor.ask(
                    editor.client.text_document_hover_async(
                        lsp.HoverParams(of(uri), position(text, 'é", fi1m: x, fi'))
                    )
                )
            )
            assert hover is not None
            assert hover.contents.value.startswith("**`film`** of a row\n\nA film, by id")
            assert shown(text, hover.range) == "film"
        else:  # one that reads no Markdown
            at = lsp.Position(2, 2)
            hover = run(
                editor.ask(editor.client.text_document_hover_async(lsp.HoverParams(of(uri), at)))
            )
            assert hover.contents.kind == lsp.MarkupKind.PlainText
            assert hover.contents.value.startswith("plan_format of a plan\n\n")
        editor.close(uri)
    assert column[served[0]] == column[in_characters[0]] + 2


def test_pointing_leading_listing(served: tuple[Editor, Run]) -> None:
    editor, run = served
    text = (PLANS / "bedroom.yaml").read_text("utf-8")
    uri = editor.open(PLANS / "bedroom.yaml", text)
    client = editor.client

    def ask(waiting: Any) -> Any:
        return run(editor.ask(waiting))

    at = position(text, "lengths: [22")
    hover = ask(client.text_document_hover_async(lsp.HoverParams(of(uri), at)))
    assert hover.contents.value.startswith("**Strip A1**\n\n- film: film-80, 500 mm wide\n")

    at = position(text, "A: {film: fil")
    given = ask(client.text_document_definition_async(lsp.DefinitionParams(of(uri), at)))
    assert [shown(text, each.range) for each in given] == ["film-80"]
    assert given[0].range.start.line == text[: text.index("film-80:")].count("\n")

    at = position(text, "\n  C1")
    used = ask(
        client.text_document_references_async(
            lsp.ReferenceParams(lsp.ReferenceContext(True), of(uri), at)
        )
    )
    assert [shown(text, each.range) for each in used] == ["C1", "C1", "C1"]

    symbols = ask(client.text_document_document_symbol_async(lsp.DocumentSymbolParams(of(uri))))
    rooms = next(each for each in symbols if each.name == "rooms")
    bedroom = rooms.children[0]
    assert bedroom.name == "bedroom"
    rows = next(each for each in bedroom.children if each.name == "rows")
    assert [each.name for each in rows.children] == ["A"]

    run(editor.marks(uri))
    whole = lsp.Range(lsp.Position(0, 0), lsp.Position(999, 0))
    hints = ask(client.text_document_inlay_hint_async(lsp.InlayHintParams(of(uri), whole)))
    labels = [each.label for each in hints]
    assert [label for label in labels if label.endswith(":")] == [f"A{n}:" for n in range(1, 8)]
    assert "7 strips, 18 m, 720 W" in labels

    at = position(text, "covering: ")
    found = ask(client.text_document_completion_async(lsp.CompletionParams(of(uri), at)))
    assert [each.label for each in found.items] == ["oak-14"]
    at = position(text, "circuits:\n  C1:\n    ther")
    found = ask(client.text_document_completion_async(lsp.CompletionParams(of(uri), at)))
    assert "phase" in [each.label for each in found.items]
    editor.close(uri)


def test_what_is_asked_right_behind_a_change(served: tuple[Editor, Run]) -> None:
    """As while typing: the change and the question may come in one piece."""
    editor, run = served
    text = (PLANS / "bedroom.yaml").read_text("utf-8")
    uri = editor.open(PLANS / "bedroom.yaml", text)
    run(editor.marks(uri))
    changed = text.replace("oak-14:", "oak-15:")

    async def ask() -> lsp.CompletionList:
        editor.change(uri, changed)
        at = position(changed, "covering: ")
        client = editor.client
        return await client.text_document_completion_async(lsp.CompletionParams(of(uri), at))

    found = run(editor.ask(ask()))
    assert [each.label for each in found.items] == ["oak-15"]
    editor.close(uri)
