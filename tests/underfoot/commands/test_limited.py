"""What a command may cost: its time and memory are limited by the size of what it reads."""

import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import click
import pytest

from tests.underfoot.asking import Ask
from tests.underfoot.commands.test_draw import put_plan
from underfoot.commands.group import COMMANDS, underfoot
from underfoot.commands.limited import LimitedCommand
from underfoot.running.copies import can_copy

# What takes no plan, or hands each to processes that are kept to what it may cost.
NOT_AS_A_WHOLE = {
    "check": "a pool", "compare": "a pool", "mark": "a pool", "scheme": "a pool", "desk": "a pool",
    "serve-editor": "a process of its own", "rules": "no plan", "why": "no plan", "term": "no plan",
    "schema": "no plan", "settings": "no plan",
}  # fmt: skip
WAYS = {
    "draw": "", "schedule": "", "mend": "", "lay": "", "heat": "", "review": "",
    "exercise": "--output out",
}  # fmt: skip
pytestmark = pytest.mark.usefixtures("folder")
apart = pytest.mark.skipif(not can_copy(), reason="only there are commands done in a copy")


def command(name: str) -> click.Command:
    found = underfoot.get_command(click.Context(underfoot), name)
    assert found is not None
    return found


def go_on(*_: object, **__: object) -> Any:
    while True:
        pass


def use_up(*_: object, **__: object) -> Any:
    raise MemoryError


def test_every_command_is_limited() -> None:
    limited = [name for name in COMMANDS if isinstance(command(name), LimitedCommand)]
    assert sorted([*limited, *NOT_AS_A_WHOLE]) == sorted(COMMANDS)
    assert sorted([*WAYS, "new"]) == sorted(limited)


@pytest.mark.parametrize("name", WAYS)
def test_what_takes_too_long_is_given_up_with_words(
    name: str, monkeypatch: pytest.MonkeyPatch, ask: Ask
) -> None:
    plan = put_plan("hall")
    monkeypatch.setattr(command(name), "callback", go_on)
    said = ask(f"{name} {plan} {WAYS[name]} --plan-seconds 0.05", status=2)
    assert said.out == ""
    assert said.err.startswith(
        f"underfoot: {name} plan.yaml took longer than 0.05 s and was given up: divide the plan, "
    )
    assert said.err.endswith("or allow more by --plan-seconds\n")


@pytest.mark.parametrize("name", WAYS)
def test_what_needs_too_much_memory_is_given_up_with_words(
    name: str, monkeypatch: pytest.MonkeyPatch, ask: Ask
) -> None:
    monkeypatch.setattr(command(name), "callback", use_up)
    said = ask(f"{name} {put_plan('hall')} {WAYS[name]}", status=2)
    assert said.err.startswith(f"underfoot: {name} plan.yaml needed more memory than 400 MB, which")
    assert "was given up: divide the plan" in said.err


def test_a_time_that_cannot_be_meant_is_refused(ask: Ask) -> None:
    said = ask(f"draw {put_plan('hall')} --plan-seconds 0", status=2)
    assert "--plan-seconds 0: write seconds, more than 0" in said.err


# Each uses up what it may, in a program of its own, as a command line does.
PROGRAM = """
import sys
from underfoot.commands.draw import draw
from underfoot.__main__ import main

def use_time(*_, **__):
    while True:
        pass

def use_memory(*_, **__):
    bytearray(2_000_000_000)  # at once: no slow machine runs out of time first

def in_compiled_code(*_, **__):
    import re
    re.match("(a+)+$", "a" * 60 + "b")

def fall(*_, **__):
    raise KeyError("no such strip")

def die(*_, **__):
    import os, signal
    os.kill(os.getpid(), signal.SIGABRT)

draw.callback = globals()[sys.argv.pop(1)]
sys.exit(main())
"""


@apart
@pytest.mark.process
@pytest.mark.parametrize(
    ("how", "said"),
    [
        ("use_time", "took longer than 0.5 s and was given up: divide the plan"),
        ("in_compiled_code", "took longer than 0.5 s and was given up: divide the plan"),
        ("use_memory", "needed more memory than 400 MB"),
        (
            "die",
            "was given up: divide the plan or draw one room by --room (it was ended by SIGABRT",
        ),
    ],
)
def test_the_system_ends_what_goes_on(how: str, said: str, folder: Path) -> None:
    plan = put_plan("hall")
    arguments = ["draw", plan, "--plan-seconds", "0.5", "--output", "out.svg"]
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, how, *arguments], capture_output=True, text=True, timeout=60
    )
    assert done.returncode == 2
    assert said in done.stderr
    assert os.listdir() == [plan]


@apart
@pytest.mark.process
def test_a_traceback_that_is_asked_for_is_seen(folder: Path) -> None:
    arguments = ["fall", "draw", put_plan("hall"), "--output", "out.svg"]
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, *arguments],
        capture_output=True,
        text=True,
        env={**os.environ, "UNDERFOOT_TRACEBACK": "1"},
    )
    assert done.returncode == 2
    assert done.stderr.rstrip().endswith("KeyError: 'no such strip'")


@apart
@pytest.mark.process
@pytest.mark.parametrize("command", ["draw", "schedule"])
def test_a_machine_of_many_cores_is_no_reason_to_give_up(command: str, folder: Path) -> None:
    pytest.importorskip("typst", reason="the extra 'print' is not installed")
    put_plan("hall")
    cores = dict.fromkeys(("RAYON_NUM_THREADS", "OPENBLAS_NUM_THREADS"), "64")
    done = subprocess.run(
        [sys.executable, "-m", "underfoot", command, "plan.yaml", "--output", "out.pdf"],
        capture_output=True,
        text=True,
        env={**os.environ, **cores},
    )
    assert done.returncode == 0, done.stderr
