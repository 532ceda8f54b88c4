"""Pictures of sheets: the same as one by one, and one that costs too much is told."""

import os
import signal
from typing import Any

import pytest

from underfoot.drawing.printing import print_png
from underfoot.running import pictures
from underfoot.running.copies import can_copy
from underfoot.running.errors import CommandError
from underfoot.running.pictures import MOST_PICTURES, print_pictures

SHEET = '<svg xmlns="http://www.w3.org/2000/svg" width="{0}mm" height="2mm" viewBox="0 0 {0} 2"/>'
apart = pytest.mark.skipif(not can_copy(), reason="only there are pictures made in copies")


@pytest.mark.process
def test_pictures_come_in_their_order() -> None:
    sheets = [SHEET.format(wide) for wide in range(1, 12)]
    assert print_pictures(sheets) == [print_png(sheet) for sheet in sheets]


@pytest.mark.process
@apart
def test_sheets_that_are_larger_than_a_line_holds() -> None:
    # Neither side may wait for the other to read.
    wide = SHEET.format(1).replace("/>", f"><desc>{'x' * 300_000}</desc></svg>")
    assert len(print_pictures([wide] * 8)) == 8


def go_on(sheet: str) -> bytes:
    while True:
        pass


def give_out(sheet: str) -> bytes:
    raise MemoryError


def die(sheet: str) -> bytes:
    os.kill(os.getpid(), signal.SIGKILL)
    return b""


@apart
@pytest.mark.process
@pytest.mark.parametrize(
    ("costly", "said"),
    [
        (go_on, "making a picture of a sheet took longer than 0.2 s and was given up: write it as"),
        (give_out, "making a picture of a sheet needed more memory than it may, and was given up"),
        (die, "(the process that made it was ended by SIGKILL)"),
    ],
)
def test_a_picture_that_costs_too_much_is_told(
    monkeypatch: pytest.MonkeyPatch, costly: Any, said: str
) -> None:
    monkeypatch.setattr("underfoot.running.limits.PART_SECONDS", 0.2)
    monkeypatch.setattr(pictures, "print_png", costly)
    with pytest.raises(CommandError) as refused:
        print_pictures([SHEET.format(3)])
    assert said in str(refused.value)


def test_very_many_sheets_are_refused() -> None:
    with pytest.raises(CommandError, match="there are 151 sheets, and at most 150 are made"):
        print_pictures([SHEET.format(1)] * (MOST_PICTURES + 1))
