"""The server as an editor meets it: over standard input and output, text by text."""

from __future__ import annotations

import random
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any
from urllib.request import url2pathname

import pytest
from lsprotocol import types as lsp

from tests.underfoot.editor.editing import PLANS, REPOSITORY, Editor, with_editor
from tests.underfoot.mending.test_music_room import CHANGED
from underfoot import check

pytestmark = pytest.mark.process

Run = Callable[[Any], Any]


@pytest.fixture(scope="module", name="served")
def _served() -> Iterator[tuple[Editor, Run]]:
    yield from with_editor()


@pytest.fixture(scope="module", name="in_characters")
def _in_characters() -> Iterator[tuple[Editor, Run]]:
    yield from with_editor([lsp.PositionEncodingKind.Utf32, lsp.PositionEncodingKind.Utf16])


def _of(uri: str) -> lsp.TextDocumentIdentifier:
    return lsp.TextDocumentIdentifier(uri)


def _position(text: str, behind: str) -> lsp.Position:
    lines = text[: text.index(behind) + len(behind)].split("\n")
    return lsp.Position(len(lines) - 1, len(lines[-1].encode("utf-16-le")) // 2)


def _shown(text: str, place: lsp.Range) -> str:
    """What stands in a range, in units of UTF-16."""
    line = text.split("\n")[place.start.line].encode("utf-16-le")
    return line[2 * place.start.character : 2 * place.end.character].decode("utf-16-le")


@pytest.mark.parametrize("name", ["study", "flat", "garden-room", "box-room"])
def test_marks_are_the_findings_of_the_report(served: tuple[Editor, Run], name: str) -> None:
    editor, run = served
    place = PLANS / f"{name}.yaml"
    uri = editor.open(place, place.read_text("utf-8"))
    marks = run(editor.marks(uri))
    (report,) = check(place).plans
    named = {"error": 1, "warning": 2, "note": 3}
    expected = [
        (each.rule, each.line - 1, each.column - 1, named[each.severity], len(each.related))
        for each in report.findings
    ]
    told = [
        (
            each.code,
            each.range.start.line,
            each.range.start.character,
            int(each.severity),
            len(each.related_information or ()),
        )
        for each in marks
        if each.code != "not-judged"
    ]
    assert told == expected
    for mark, finding in zip(marks, report.findings, strict=False):
        assert mark.message == f"{finding.message} {finding.remedy}"
        assert mark.source == "underfoot"
        page = Path(url2pathname(mark.code_description.href.removeprefix("file://")))
        assert page.read_text("utf-8").startswith(f"# {finding.rule}\n")
    assert any(each.code == "not-judged" for each in marks) == bool(report.counts.may_be_errors)
    editor.close(uri)


def test_only_the_newest_version_is_marked(served: tuple[Editor, Run]) -> None:
    editor, run = served
    text = (PLANS / "study.yaml").read_text("utf-8")
    uri = editor.open(PLANS / "typed.yaml", text)
    run(editor.marks(uri))
    for number in range(12):
        version = editor.change(uri, "#\n" * number + text)
    marks = run(editor.marks(uri))
    versions = [each.version for each in editor.published if each.uri == uri]
    assert versions == sorted(versions)
    assert versions[-1] == version
    # The key of row A stands 11 lines further down than at first.
    assert marks[0].range.start.line == 57 + 11
    for told in editor.published:
        if told.uri == uri and told.version != 1:
            assert told.diagnostics[0].range.start.line == 57 + told.version - 2
    editor.close(uri)


def test_what_is_closed_is_marked_no_more(served: tuple[Editor, Run]) -> None:
    editor, run = served
    uri = editor.open(PLANS / "closed.yaml", (PLANS / "study.yaml").read_text("utf-8"))
    assert run(editor.marks(uri))
    editor.close(uri)
    uri2 = editor.open(PLANS / "other.yaml", "plan_format: 1\n")
    run(editor.marks(uri2))
    last = [each for each in editor.published if each.uri == uri][-1]
    assert (last.version, list(last.diagnostics)) == (None, [])
    editor.close(uri2)


def test_what_is_no_plan_is_let_be(served: tuple[Editor, Run]) -> None:
    editor, run = served
    for text in ("services: {web: [}\n", "", "answers_format: 1\nlimtis: {}\n"):
        uri = editor.open("/tmp/other.yaml", text)
        assert run(editor.marks(uri)) == []
        editor.close(uri)


@pytest.mark.parametrize(
    ("text", "marked"),
    [
        ("settings_format: 1\nlimtis: {}\n", "limtis"),
        ("catalogue_format: 1\nmaterials:\n  flims: {}\n", "flims"),
        ("review_format: 1\nplna: x\n", "plna"),
    ],
)
def test_what_stands_beside_plans_is_read(
    served: tuple[Editor, Run], text: str, marked: str
) -> None:
    editor, run = served
    uri = editor.open("/tmp/beside.yaml", text)
    marks = run(editor.marks(uri))
    assert marked in [_shown(text, each.range) for each in marks]
    assert {each.code for each in marks} == {"unreadable"}
    editor.close(uri)


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
            assert _shown(text, mark.range) == "fi1m"
            hover = run(
                editor.ask(
                    editor.client.text_document_hover_async(
                        lsp.HoverParams(_of(uri), _position(text, 'é", fi1m: x, fi'))
                    )
                )
            )
            assert hover is not None
            assert hover.contents.value.startswith("**`film`** of a row\n\nA film, by id")
            assert _shown(text, hover.range) == "film"
        else:  # one that reads no Markdown
            at = lsp.Position(2, 2)
            hover = run(
                editor.ask(editor.client.text_document_hover_async(lsp.HoverParams(_of(uri), at)))
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

    at = _position(text, "lengths: [22")
    hover = ask(client.text_document_hover_async(lsp.HoverParams(_of(uri), at)))
    assert hover.contents.value.startswith("**Strip A1**\n\n- film: film-80, 500 mm wide\n")

    at = _position(text, "A: {film: fil")
    given = ask(client.text_document_definition_async(lsp.DefinitionParams(_of(uri), at)))
    assert [_shown(text, each.range) for each in given] == ["film-80"]
    assert given[0].range.start.line == text[: text.index("film-80:")].count("\n")

    at = _position(text, "\n  C1")
    used = ask(
        client.text_document_references_async(
            lsp.ReferenceParams(lsp.ReferenceContext(True), _of(uri), at)
        )
    )
    assert [_shown(text, each.range) for each in used] == ["C1", "C1", "C1"]

    symbols = ask(client.text_document_document_symbol_async(lsp.DocumentSymbolParams(_of(uri))))
    rooms = next(each for each in symbols if each.name == "rooms")
    bedroom = rooms.children[0]
    assert bedroom.name == "bedroom"
    rows = next(each for each in bedroom.children if each.name == "rows")
    assert [each.name for each in rows.children] == ["A"]

    run(editor.marks(uri))
    whole = lsp.Range(lsp.Position(0, 0), lsp.Position(999, 0))
    hints = ask(client.text_document_inlay_hint_async(lsp.InlayHintParams(_of(uri), whole)))
    labels = [each.label for each in hints]
    assert [label for label in labels if label.endswith(":")] == [f"A{n}:" for n in range(1, 8)]
    assert "7 strips, 18 m, 720 W" in labels

    at = _position(text, "covering: ")
    found = ask(client.text_document_completion_async(lsp.CompletionParams(_of(uri), at)))
    assert [each.label for each in found.items] == ["oak-14"]
    at = _position(text, "circuits:\n  C1:\n    ther")
    found = ask(client.text_document_completion_async(lsp.CompletionParams(_of(uri), at)))
    assert "phase" in [each.label for each in found.items]
    editor.close(uri)


def _apply(text: str, edits: list[lsp.TextEdit]) -> str:
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


def _actions(editor: Editor, run: Run, uri: str, mark: lsp.Diagnostic) -> list[lsp.CodeAction]:
    context = lsp.CodeActionContext([mark])
    params = lsp.CodeActionParams(_of(uri), mark.range, context)
    return list(run(editor.ask(editor.client.text_document_code_action_async(params))) or [])


def test_a_mend_clears_its_finding(served: tuple[Editor, Run]) -> None:
    editor, run = served
    text = (PLANS / "garden-room.yaml").read_text("utf-8")
    uri = editor.open(PLANS / "garden-room.yaml", text)
    before = run(editor.marks(uri))
    mark = next(each for each in before if each.code == "moisture-barrier")
    mends = [each for each in _actions(editor, run, uri, mark) if each.is_preferred]
    own = [each for each in mends if each.diagnostics[0].code == "moisture-barrier"]
    assert own
    (change,) = own[0].edit.document_changes
    assert change.text_document.uri == uri
    mended = _apply(text, change.edits)
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
        mends = [each for each in _actions(editor, run, uri, marks[0]) if each.is_preferred]
        (change,) = mends[0].edit.document_changes
        text = _apply(text, change.edits)
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
    titles = [each.title for each in _actions(editor, run, uri, marks["element-overlap"])]
    assert not any("waiver of element-overlap" in each for each in titles)  # it protects life
    mark = marks["wall-clearance"]
    waiver = next(
        each for each in _actions(editor, run, uri, mark) if "waiver of wall" in each.title
    )
    assert not waiver.is_preferred
    written = _apply(text, waiver.edit.document_changes[0].edits)
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
    (action,) = [each for each in _actions(editor, run, uri, mark) if "`film`" in each.title]
    put_in = _apply(text, action.edit.document_changes[0].edits)
    assert ", film: }" in put_in
    editor.close(uri)


def test_what_is_half_typed_is_judged_all_the_same(served: tuple[Editor, Run]) -> None:
    editor, run = served
    text = (PLANS / "study.yaml").read_text("utf-8").replace("W1:", "W1")
    uri = editor.open(PLANS / "study.yaml", text)
    marks = run(editor.marks(uri))
    codes = [each.code for each in marks]
    assert codes[:2] == ["unreadable", "not-judged"]
    assert marks[1].severity == lsp.DiagnosticSeverity.Information
    assert "circuit-feed" in marks[1].message
    assert {"element-overlap", "wall-clearance", "lead-under-element"} == set(codes[2:])
    editor.close(uri)


def test_files_on_disk_count_once_they_change(served: tuple[Editor, Run], tmp_path: Path) -> None:
    editor, run = served
    catalogue = tmp_path / "catalogue.yaml"
    plan = (PLANS / "bedroom.yaml").read_text("utf-8")
    film = plan[plan.index("    film-80:") : plan.index("  boards:\n")]
    catalogue.write_text(f"catalogue_format: 1\nmaterials:\n  films:\n{film}")
    shared = plan.replace(f"  films:\n{film}", "").replace(
        "materials:", "catalogue: catalogue.yaml\nmaterials:", 1
    )
    uri = editor.open(tmp_path / "bedroom.yaml", shared)
    assert run(editor.marks(uri)) == []
    catalogue.write_text(catalogue.read_text().replace("voltage: 230 V", "voltage: 24 V"))
    before = len(editor.published)
    editor.client.workspace_did_change_watched_files(
        lsp.DidChangeWatchedFilesParams(
            [lsp.FileEvent(catalogue.as_uri(), lsp.FileChangeType.Changed)]
        )
    )

    async def wait() -> None:
        while not any(each.uri == uri for each in editor.published[before:]):
            editor._news.clear()
            await editor._news.wait()

    run(editor.ask(wait()))
    assert "film-voltage" in {each.code for each in editor.published[-1].diagnostics}
    editor.close(uri)


def test_plans_cut_off_anywhere_are_answered(served: tuple[Editor, Run]) -> None:
    editor, run = served
    chance = random.Random(11)
    for plan in chance.sample(sorted(PLANS.glob("*-room.yaml")), 4):
        text = plan.read_text("utf-8")
        uri = editor.open(plan, text)
        for _ in range(6):
            cut = chance.randrange(20, len(text))
            part = text[:cut] if chance.random() < 0.5 else text[:cut] + text[cut + 9 :]
            editor.change(uri, part)
            at = lsp.Position(part[:cut].count("\n"), chance.randrange(40))
            client = editor.client
            run(editor.ask(client.text_document_completion_async(
                lsp.CompletionParams(_of(uri), at))))  # fmt: skip
            run(editor.ask(client.text_document_hover_async(lsp.HoverParams(_of(uri), at))))
            marks = run(editor.marks(uri))
            last = len(part.split("\n"))
            assert all(each.range.end.line < last for each in marks)
            assert [each.message for each in marks if "fault of the tool" in each.message] == []
        editor.close(uri)


@pytest.mark.long
def test_a_plan_that_costs_too_much_hangs_nothing(served: tuple[Editor, Run]) -> None:
    editor, run = served
    text = (PLANS / "bedroom.yaml").read_text("utf-8")
    heap = "".join(
        f"      H{n}: {{film: film-80, at: [{60 + n}, {60 + n}], along: y, length: 2250}}\n"
        for n in range(400)
    )
    costly = text.replace("    membrane:\n", f"    elements:\n{heap}    membrane:\n")
    uri = editor.open(PLANS / "costly.yaml", costly)
    other = editor.open(PLANS / "other.yaml", text)
    at = _position(text, "covering: ")
    found = run(
        editor.ask(
            editor.client.text_document_completion_async(lsp.CompletionParams(_of(other), at))
        )
    )
    assert found.items
    (mark,) = run(editor.marks(uri))
    assert "took longer than 10 s" in mark.message
    assert run(editor.marks(other)) == []
    editor.change(uri, text)
    assert run(editor.marks(uri)) == []
    editor.close(uri)
    editor.close(other)


def test_without_the_extra(tmp_path: Path) -> None:
    (tmp_path / "sitecustomize.py").write_text("import sys\nsys.modules['pygls'] = None\n")
    done = subprocess.run(
        [sys.executable, "-m", "underfoot", "serve-editor"],
        env={"PYTHONPATH": f"{tmp_path}:{REPOSITORY / 'linter'}:{REPOSITORY / 'rules'}"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 2
    assert "pip install 'underfoot[editor]'" in done.stderr
    assert done.stdout == ""


def test_an_editor_that_goes_away() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "underfoot", "serve-editor"],
        env={"PYTHONPATH": f"{REPOSITORY / 'linter'}:{REPOSITORY / 'rules'}"},
        input=b"nothing of the protocol\r\n\r\n",
        capture_output=True,
        check=False,
        timeout=60,
    )
    assert done.returncode == 1
    assert b"Traceback" not in done.stderr
    assert done.stdout == b""
