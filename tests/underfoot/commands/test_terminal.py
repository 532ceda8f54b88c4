"""The command as a person and as a pipe meet it: a real process, a real terminal."""

import os
import re
import subprocess
import sys

import pytest

from tests.demo_plans import PLANS

pytestmark = pytest.mark.process

ESCAPE = re.compile(rb"\x1b\[[0-9;]*[mK]|\x1b]8;;[^\x1b]*\x1b\\")


def arguments(*more: str) -> list[str]:
    return [sys.executable, "-m", "underfoot", "check", *more]


def environment(**more: str) -> dict[str, str]:
    kept = {key: value for key, value in os.environ.items() if key not in ("NO_COLOR", "TERM")}
    return {**kept, "TERM": "xterm", **more}


def in_pipe(*more: str, status: int = 1, **env: str) -> bytes:
    done = subprocess.run(
        arguments(*more), capture_output=True, env=environment(**env), check=False, timeout=120
    )
    assert done.stderr == b""
    assert done.returncode == status
    return done.stdout


def on_terminal(*more: str, **env: str) -> bytes:
    pty = pytest.importorskip("pty", reason="there are no such terminals here")
    ours, theirs = pty.openpty()
    with subprocess.Popen(
        arguments(*more), stdout=theirs, stderr=theirs, env=environment(**env)
    ) as process:
        os.close(theirs)
        read = bytearray()
        try:
            while part := os.read(ours, 65536):
                read += part
        except OSError:  # how Linux tells that the other side is closed
            pass
        finally:
            os.close(ours)
    assert process.returncode == 1
    return bytes(read).replace(b"\r\n", b"\n")


@pytest.fixture(scope="module")
def kitchen() -> str:
    return os.path.relpath(PLANS / "kitchen.yaml")


@pytest.fixture(scope="module")
def piped(kitchen: str) -> bytes:
    return in_pipe(kitchen, "--today", "2026-10-01")


def test_a_pipe_gets_no_codes(piped: bytes) -> None:
    assert b"ERROR" in piped
    assert b"\x1b" not in piped


def test_a_terminal_gets_colour_and_the_same_words(kitchen: str, piped: bytes) -> None:
    seen = on_terminal(kitchen, "--today", "2026-10-01", COLUMNS="80")
    assert b"\x1b[1;31mERROR" in seen
    assert ESCAPE.sub(b"", seen) == piped


@pytest.mark.parametrize("refusal", [{"NO_COLOR": "1"}, {"TERM": "dumb"}])
def test_a_terminal_that_wants_no_colour_gets_none(
    kitchen: str, piped: bytes, refusal: dict[str, str]
) -> None:
    seen = on_terminal(
        kitchen, "--today", "2026-10-01", COLUMNS="80", FORCE_HYPERLINK="0", **refusal
    )
    assert seen == piped


def test_a_pipe_gets_colour_where_it_is_asked_for(kitchen: str, piped: bytes) -> None:
    seen = in_pipe(kitchen, "--today", "2026-10-01", FORCE_COLOR="1")
    assert b"\x1b[1;31mERROR" in seen
    assert ESCAPE.sub(b"", seen) == piped


def test_the_width_of_a_terminal_counts_within_reason(kitchen: str) -> None:
    for columns, widest in (("20", 24), ("40", 40), ("90", 90), ("300", 100)):
        seen = ESCAPE.sub(b"", on_terminal(kitchen, COLUMNS=columns)).decode()
        rule = max(len(line) for line in seen.splitlines() if line and not line.strip("="))
        assert rule == widest
        # But for what must stay whole.
        lines = [line for line in seen.splitlines() if kitchen not in line]
        assert widest < 40 or max(map(len, lines)) == widest


def test_a_terminal_gets_each_finding_of_many_plans_on_one_line(kitchen: str) -> None:
    seen = on_terminal(kitchen, os.path.relpath(PLANS / "study.yaml"), COLUMNS="72")
    lines = ESCAPE.sub(b"", seen).decode().splitlines()
    rows = [line for line in lines if re.match(r" +[0-9]+  [0-9]+:[0-9]+  ", line)]
    assert len(rows) == 10
    assert all(len(line) <= 72 for line in rows)
    assert sum(line.endswith("…") for line in rows) > 2


def test_text_is_utf8_whatever_the_locale(kitchen: str, piped: bytes) -> None:
    assert "–".encode() in piped
    again = in_pipe(kitchen, "--today", "2026-10-01", LC_ALL="C", PYTHONIOENCODING="ascii")
    assert again == piped
