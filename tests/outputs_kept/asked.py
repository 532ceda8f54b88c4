"""What the command says and writes, in sessions: each its own folder of plans."""

import io
import os
import shlex
import sys
import tempfile
from importlib.metadata import version
from pathlib import Path

import pytest

from tests.demo_plans import PLANS
from tests.outputs_kept.shortened import shorten_parts
from tests.underfoot.asking import Input
from tests.underfoot.commands import tiny_plans
from tests.underfoot.commands.tiny_set import TINY
from tests.written_out import HEAD, kept_in
from underfoot.__main__ import main
from underfoot.running import checking

# A command a line.
ASKED = Path(__file__).parent / "sessions_asked.txt"
SHORTER = 30
# Reports hold these; what is none of them is kept as it is.
TINY_FILES = {
    "right.yaml": tiny_plans.RIGHT,
    "warned.yaml": tiny_plans.WARNED,
    "wrong.yaml": tiny_plans.WRONG,
    "noted.yaml": tiny_plans.NOTED,
    "undecided.yaml": tiny_plans.UNDECIDED,
    "unreadable.yaml": tiny_plans.UNREADABLE,
    "crashing.yaml": tiny_plans.CRASHING,
    "waived.yaml": tiny_plans.WAIVED,
    "deeper/wrong.yaml": tiny_plans.WRONG,
    "deeper/underfoot.yaml": "settings_format: 1\nrules:\n  room-height:\n    severity: note\n"
    "    because: agreed with the client\n",
    "list": 'right.yaml\n"deeper/wrong.yaml"\ngone.yaml\n',
    "one": "right.yaml\n",
    "bad-settings.txt": "settings_format: 1\nrules: {room-heigt: {severity: off}}\n",
    "other.yaml": "of: something else\n",
    "empty.yaml": "",
}
SESSIONS = {name: said.splitlines() for name, said in kept_in(ASKED).items()}
WITH_DEMO = ("a plan begun", "sheets and papers", "exercises and marks")
DEMO = ("catalogue", "bedroom", "study", "hall")


def say(name: str) -> str:
    """Run a session in a folder of its own, and write what each command says, and which files."""
    lines: list[str] = []
    with tempfile.TemporaryDirectory() as made, pytest.MonkeyPatch.context() as patch:
        folder = Path(made).resolve()
        (folder / ".git").mkdir()
        patch.chdir(folder)
        if name in WITH_DEMO:
            for each in DEMO:
                (folder / f"{each}.yaml").write_bytes((PLANS / f"{each}.yaml").read_bytes())
        else:
            patch.setattr(checking, "installed_rule_sets", lambda: (TINY,))
            for place, text in TINY_FILES.items():
                tiny_plans.put(place, text)
        before = _files(folder)
        for command in SESSIONS[name]:
            lines += _ask(command, folder)
            after = _files(folder)
            lines += [f"  -> {each}" for each in after if after[each] != before.get(each)]
            before = after
    # A heading of Markdown is none of what is kept here.
    return "\n".join(f" {line}" if line.startswith(HEAD) else line for line in lines)


def _ask(command: str, folder: Path) -> list[str]:
    out, err = (io.TextIOWrapper(io.BytesIO(), "utf-8", write_through=True) for _ in range(2))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sys, "stdin", Input(tiny_plans.WRONG.encode()))
        patch.setattr(sys, "stdout", out)
        patch.setattr(sys, "stderr", err)
        status = main(shlex.split(command))
    said = []
    for sign, stream in (("", out), ("! ", err)):
        text = _readable(stream.buffer.getvalue(), folder)  # type: ignore[attr-defined]
        lines = text.splitlines()
        if len(lines) > SHORTER or max(map(len, lines), default=0) > 500:
            lines = shorten_parts(text).splitlines()
        said += [f"{sign}{line}" for line in lines]
    return [f"$ {command}: {status}", *said]


def _readable(written: bytes, folder: Path) -> str:
    try:
        text = written.decode()
    except UnicodeDecodeError:
        return "(no text)"
    return text.replace(str(folder), "HERE").replace(version("underfoot"), "VERSION")


def _files(folder: Path) -> dict[str, int]:
    return {
        file.relative_to(folder).as_posix(): os.stat(file).st_mtime_ns
        for file in sorted(folder.rglob("*"))
        if file.is_file() and "kept/" not in file.as_posix()
    }
