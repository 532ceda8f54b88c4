"""What an editor is offered to do about what is marked, and what comes of it."""

import pytest
from lsprotocol import types as lsp

from tests.underfoot.editor.editing import PLANS, Editor, Run, of
from tests.underfoot.mending.test_music_room import CHANGED

pytestmark = pytest.mark.process


def apply(text: str, edits: list[lsp.TextEdit]) -> str:
    """The text once the edits are made; all places are those of the text before."""
    starts = [0]
    for line in text.split("\n"):
        starts.append(starts[-1] + len(line) + 1)
    for edit in sorted(edits, key=lambda each: -each.range.start.line * 10_000
                       - each.range.start.character):  # fmt: skip
        first = starts[edit.range.start.line] + edit.range.start.character
        last = starts[edit.range.end.line] + edit.range.end.character
        text = text[:first] + edit.new_text + text[last:]
    return text


def actions(editor: Editor, run: Run, uri: str, mark: lsp.Diagnostic) -> list[lsp.CodeAction]:
    context = lsp.CodeActionContext([mark])
    params = lsp.CodeActionParams(of(uri), mark.range, context)
    return list(run(editor.ask(editor.client.text_document_code_action_async(params))) or [])


def test_a_mend_clears_its_finding(served: tuple[Editor, Run]) -> None:
    editor, run = served
    text = (PLANS / "garden-room.yaml").read_text("utf-8")
    uri = editor.open(PLANS / "garden-room.yaml", text)
    before = run(editor.marks(uri))
    mark = next(each for each in before if each.code == "moisture-barrier")
    mends = [each for each in actions(editor, run, uri, mark) if each.is_preferred]
    own = [each for each in mends if each.diagnostics[0].code == "moisture-barrier"]
    assert own
    (change,) = own[0].edit.document_changes
    assert change.text_document.uri == uri
    mended = apply(text, change.edits)
    editor.change(uri, mended)
    after = run(editor.marks(uri))
    assert "moisture-barrier" not in {each.code for each in after}
    assert {each.message for each in after} <= {each.message for each in before}
    assert len(mended.split("\n")) - len(text.split("\n")) <= 1
    editor.close(uri)


def test_mends_alone_bring_a_plan_in_order(served: tuple[Editor, Run]) -> None:
    """Six faults of six kinds, each mended by what the editor offers first."""
    editor, run = served
    text = (PLANS / "music-room.yaml").read_text("utf-8")
    uri = editor.open(PLANS / "music-room.yaml", text)
    mended = 0
    while marks := run(editor.marks(uri)):
        mends = [each for each in actions(editor, run, uri, marks[0]) if each.is_preferred]
        (change,) = mends[0].edit.document_changes
        text = apply(text, change.edits)
        editor.change(uri, text)
        mended += 1
        assert mended <= 6
    assert mended == 6
    editor.close(uri)
    after, before = text.splitlines(), (PLANS / "music-room.yaml").read_text("utf-8").splitlines()
    assert after == [CHANGED.get(line, line) for line in before]


def test_a_waiver_is_written_with_its_blanks(served: tuple[Editor, Run]) -> None:
    editor, run = served
    text = (PLANS / "study.yaml").read_text("utf-8")
    uri = editor.open(PLANS / "study.yaml", text)
    marks = {each.code: each for each in run(editor.marks(uri))}
    titles = [each.title for each in actions(editor, run, uri, marks["element-overlap"])]
    assert not any("waiver of element-overlap" in each for each in titles)  # it protects life
    mark = marks["wall-clearance"]
    waiver = next(
        each for each in actions(editor, run, uri, mark) if "waiver of wall" in each.title
    )
    assert not waiver.is_preferred
    written = apply(text, waiver.edit.document_changes[0].edits)
    editor.change(uri, written)
    after = run(editor.marks(uri))
    # Nothing is waived before somebody has given a reason.
    assert "wall-clearance" in {each.code for each in after if each.severity == 1}
    lapsed = next(each for each in after if each.code == "waiver-lapsed")
    assert "gives no reason" in lapsed.message
    filled = written.replace('reason: ""', "reason: boxed in").replace(
        'agreed_by: ""', "agreed_by: design office"
    )
    editor.change(uri, filled)
    after = run(editor.marks(uri))
    waived = next(each for each in after if each.code == "wall-clearance")
    assert waived.severity == lsp.DiagnosticSeverity.Hint
    assert "Waived: boxed in (agreed by design office, with no end date)." in waived.message
    editor.close(uri)


def test_a_missing_key_is_put_in_blank(served: tuple[Editor, Run]) -> None:
    editor, run = served
    text = (PLANS / "study.yaml").read_text("utf-8").replace("A: {film: film-80, at: ", "A: {at: ")
    uri = editor.open(PLANS / "study.yaml", text)
    marks = run(editor.marks(uri))
    mark = next(each for each in marks if "needs `film`" in each.message)
    (action,) = [each for each in actions(editor, run, uri, mark) if "`film`" in each.title]
    put_in = apply(text, action.edit.document_changes[0].edits)
    assert ", film: }" in put_in
    editor.close(uri)
