"""The server as an editor meets it: over standard input and output, text by text."""

import random
import re
import subprocess
import sys
from pathlib import Path
from urllib.request import url2pathname

import pytest
from lsprotocol import types as lsp

from tests.underfoot.editor.editing import PLANS, REPOSITORY, Editor, Run, of, position, shown
from underfoot import check

pytestmark = pytest.mark.process


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
    row = next(at for at, line in enumerate(text.splitlines()) if line.startswith("      A: "))
    assert marks[0].range.start.line == row + 11
    for told in editor.published:
        if told.uri == uri and told.version != 1:
            assert told.diagnostics[0].range.start.line == row + told.version - 2
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
    assert marked in [shown(text, each.range) for each in marks]
    assert {each.code for each in marks} == {"unreadable"}
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
                lsp.CompletionParams(of(uri), at))))  # fmt: skip
            run(editor.ask(client.text_document_hover_async(lsp.HoverParams(of(uri), at))))
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
    at = position(text, "covering: ")
    found = run(
        editor.ask(
            editor.client.text_document_completion_async(lsp.CompletionParams(of(other), at))
        )
    )
    assert found.items
    (mark,) = run(editor.marks(uri))
    # Which of the two is reached first hangs on the machine.
    assert re.search("took longer than 10 s|needed more memory than", mark.message)
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
