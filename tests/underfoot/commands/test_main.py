"""The front door: no traceback, one line, the right status."""

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from tests.underfoot.asking import Ask
from underfoot import __version__
from underfoot.__main__ import main
from underfoot.commands import selecting
from underfoot.commands.group import COMMANDS

pytestmark = pytest.mark.process

DEAR = ("shapely", "numpy", "pint", "jsonschema", "fastjsonschema", "yaml")


def run(
    *arguments: str, cwd: Path | None = None, **more: str
) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [sys.executable, "-m", "underfoot", *arguments],
        capture_output=True,
        cwd=cwd,
        env={**os.environ, **more},
        check=False,
        timeout=60,
    )


def test_help_lists_every_command_and_the_caution(ask: Ask) -> None:
    out = ask("--help").out
    for name in COMMANDS:
        assert f"\n  {name} " in out
    assert "certifies nothing" in out


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_explains_itself(ask: Ask, name: str) -> None:
    assert f"Usage: underfoot {name}" in ask("", name, "--help").out


def test_the_version(ask: Ask) -> None:
    assert __version__ in ask("--version").out


def test_no_command_is_misuse_and_helps(ask: Ask) -> None:
    said = ask("", status=2)
    assert said.out == ""
    assert "Usage: underfoot" in said.err


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["chekc", "plans"], "there is no command 'chekc'; did you mean `check`?"),
        (["check"], "PATH..."),
        (["check", "x", "--format", "pdf"], "'pdf' is not one of"),
        (["check", "x", "--refuse-at", "hint"], "'hint' is not one of"),
        (["check", "x", "--formt", "json"], "--formt"),
        (["why"], "RULE"),
        (["schema", "--of", "room"], "'room' is not one of"),
    ],
)
def test_misuse_is_one_line(ask: Ask, arguments: list[str], says: str) -> None:
    said = ask(*arguments, status=2)
    assert said.out == ""
    assert said.err.startswith("underfoot: ")
    assert said.err.count("\n") == 1
    assert says in said.err


def test_a_fault_of_the_tool_is_one_line(ask: Ask, monkeypatch: pytest.MonkeyPatch) -> None:
    def fall(*paths: object) -> None:
        raise ZeroDivisionError("division\nby zero")

    monkeypatch.setattr(selecting, "collect_plans", fall)
    monkeypatch.delenv("UNDERFOOT_TRACEBACK", raising=False)
    said = ask("check x", status=2)
    assert said.err.startswith("underfoot: a fault of the tool: ZeroDivisionError at commands/")
    assert said.err.count("\n") == 1
    monkeypatch.setenv("UNDERFOOT_TRACEBACK", "1")
    with pytest.raises(ZeroDivisionError):
        main(["check", "x"])


def test_an_error_of_the_system_is_one_line(ask: Ask, monkeypatch: pytest.MonkeyPatch) -> None:
    def fall(*paths: object) -> None:
        raise PermissionError(13, "Permission denied", "plans")

    monkeypatch.setattr(selecting, "collect_plans", fall)
    assert ask("check x", status=2).err == "underfoot: plans: Permission denied\n"


def test_an_interrupt_is_quiet(ask: Ask, monkeypatch: pytest.MonkeyPatch) -> None:
    def fall(*paths: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(selecting, "collect_plans", fall)
    said = ask("check x", status=130)
    assert (said.out, said.err) == ("", "")


@pytest.mark.parametrize("of", ["plan", "catalogue", "settings", "report"])
def test_schemas_are_printed(ask: Ask, of: str) -> None:
    assert ask("schema --of", of).data["type"] == "object"


def test_the_plan_schema_is_the_default(ask: Ask) -> None:
    assert "plan_format" in ask("schema").data["properties"]


def test_help_imports_nothing_dear() -> None:
    code = (
        "import sys\n"
        "from underfoot.__main__ import main\n"
        "assert main(['--help']) == 0\n"
        f"print([name for name in {DEAR!r} if name in sys.modules], file=sys.stderr)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True, timeout=60)
    assert done.stderr.decode().strip() == "[]"


def test_the_module_runs() -> None:
    done = run("--version")
    assert done.returncode == 0
    assert __version__ in done.stdout.decode()


def test_a_reader_that_goes_away_is_no_error() -> None:
    reading, writing = os.pipe()
    os.close(reading)
    with os.fdopen(writing, "wb") as out:
        done = subprocess.run(
            [sys.executable, "-m", "underfoot", "schema"],
            stdout=out,
            stderr=subprocess.PIPE,
            check=False,
            timeout=60,
        )
    assert done.stderr == b""
    assert done.returncode == 141


@pytest.mark.skipif(sys.platform == "win32", reason="signals are of another kind there")
def test_an_interrupted_run_ends_with_130() -> None:
    with subprocess.Popen(
        [sys.executable, "-m", "underfoot", "check", "-"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    ) as process:
        assert process.stdin is not None
        # It waits for standard input by then, or is still importing: the end is the same.
        process.stdin.write(b"plan_format: 1\n")
        process.stdin.flush()
        try:
            with pytest.raises(subprocess.TimeoutExpired):
                process.wait(1.5)
            process.send_signal(signal.SIGINT)
            out, err = process.communicate(timeout=60)
        finally:
            process.kill()
    assert process.returncode == 130
    assert (out, err) == (b"", b"")
