"""A report is written whole or not at all."""

import os
import stat
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.underfoot.asking import Ask
from tests.underfoot.commands.tiny_plans import RIGHT, put
from underfoot.commands.output_files import (
    Writing,
    check_output,
    say,
    write_file,
    write_files,
    write_out,
)
from underfoot.running.errors import CommandError


def failing() -> Iterator[str]:
    yield "first\n"
    raise RuntimeError("fell")


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_a_file_is_written_as_utf8(tmp_path: Path) -> None:
    write_file(str(tmp_path / "out.txt"), ["140 W/m²\n", "27 °C\n"])
    assert (tmp_path / "out.txt").read_bytes() == "140 W/m²\n27 °C\n".encode()
    assert names(tmp_path) == ["out.txt"]


def test_an_old_report_stays_where_the_new_one_fails(tmp_path: Path) -> None:
    (tmp_path / "out.txt").write_text("old")
    with pytest.raises(RuntimeError, match="fell"):
        write_file(str(tmp_path / "out.txt"), failing())
    assert (tmp_path / "out.txt").read_text() == "old"
    assert names(tmp_path) == ["out.txt"]


def test_nothing_is_left_of_a_report_that_fails(tmp_path: Path) -> None:
    with pytest.raises(RuntimeError, match="fell"):
        write_file(str(tmp_path / "out.txt"), failing())
    assert names(tmp_path) == []


def test_nothing_is_seen_before_all_is_written(tmp_path: Path) -> None:
    out = tmp_path / "out.txt"
    out.write_text("old")

    def watching() -> Iterator[str]:
        yield "new"
        assert out.read_text() == "old"

    write_file(str(out), watching())
    assert out.read_text() == "new"


@pytest.mark.skipif(sys.platform == "win32", reason="modes are of another kind there")
def test_modes_are_kept_and_follow_the_mask(tmp_path: Path) -> None:
    old, new = tmp_path / "old.txt", tmp_path / "new.txt"
    old.write_text("old")
    old.chmod(0o640)
    before = os.umask(0o027)
    try:
        write_file(str(old), ["x"])
        write_file(str(new), ["x"])
    finally:
        os.umask(before)
    assert stat.S_IMODE(old.stat().st_mode) == 0o640
    assert stat.S_IMODE(new.stat().st_mode) == 0o640


@pytest.mark.skipif(sys.platform == "win32", reason="links need a right there")
def test_a_link_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "real.txt").write_text("old")
    (tmp_path / "link.txt").symlink_to("real.txt")
    write_file(str(tmp_path / "link.txt"), ["new"])
    assert (tmp_path / "link.txt").is_symlink()
    assert (tmp_path / "real.txt").read_text() == "new"


@pytest.mark.skipif(not os.path.exists("/dev/null"), reason="there are no devices")
def test_a_device_is_written_as_it_is() -> None:
    check_output("/dev/null", [])
    write_file("/dev/null", ["x"])
    assert stat.S_ISCHR(os.stat("/dev/null").st_mode)


def test_what_cannot_be_written_is_known_before(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="this is a folder"):
        check_output(str(tmp_path), [])
    with pytest.raises(CommandError, match="there is no folder"):
        check_output(str(tmp_path / "gone" / "out.txt"), [])
    check_output(str(tmp_path / "out.txt"), [])
    assert names(tmp_path) == []


def test_a_plan_is_never_written_over(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "plan.yaml").write_text("plan_format: 1\n")
    with pytest.raises(CommandError, match="would overwrite a plan"):
        check_output("plan.yaml", [str(tmp_path / "plan.yaml")])


def test_a_failure_of_the_disk_is_one_line(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match=r"--output .*No such file or directory"):
        write_file(str(tmp_path / "gone" / "out.txt"), ["x"])


def test_standard_output_is_utf8_in_a_pipe(capsysbinary: pytest.CaptureFixture[bytes]) -> None:
    write_out(["27 ", "°C\n"])
    assert capsysbinary.readouterr().out == "27 °C\n".encode()


def test_what_is_said_is_one_line_and_hides_nothing(capsys: pytest.CaptureFixture[str]) -> None:
    say("plan\x1b[2J\nsecond")
    assert capsys.readouterr().err == "underfoot: plan\\x1b[2J second\n"


def test_of_several_files_all_are_written_or_none(tmp_path: Path) -> None:
    one, two = tmp_path / "one.txt", tmp_path / "two.txt"
    one.write_text("old")
    with pytest.raises(RuntimeError, match="fell"):
        write_files(
            [Writing(place=str(one), pieces=["new"]), Writing(place=str(two), pieces=failing())]
        )
    assert one.read_text() == "old"
    assert names(tmp_path) == ["one.txt"]
    write_files(
        [Writing(place=str(one), pieces=["new"]), Writing(place=str(two), pieces=["second"])]
    )
    assert (one.read_text(), two.read_text()) == ("new", "second")
    assert names(tmp_path) == ["one.txt", "two.txt"]


def test_the_option_that_named_the_place_is_told(tmp_path: Path) -> None:
    gone = str(tmp_path / "gone" / "out.txt")
    with pytest.raises(CommandError, match=r"^--report .*: there is no folder"):
        check_output(gone, [], "--report")
    with pytest.raises(CommandError, match=r"^--report .*: No such file"):
        write_files([Writing(place=gone, pieces=["x"], option="--report")])


def test_a_dash_is_no_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    with pytest.raises(CommandError, match="leave --output out to write to standard output"):
        check_output("-", [])
    assert names(tmp_path) == []


@pytest.mark.parametrize(
    "place", ["plans/other.yaml", "shared/kinds.YML", "underfoot.yaml", "link"]
)
def test_no_report_is_written_over_what_plans_stand_on(place: str, folder: Path, ask: Ask) -> None:
    for each in ("plans/other.yaml", "shared/kinds.YML", "underfoot.yaml"):
        put(each, "settings_format: 1\n")
    os.symlink("underfoot.yaml", "link")
    put("one/plan.yaml", RIGHT)
    for command in ("check one --output", "check one --report", "compare one one --output"):
        told = f"sarif={place}" if command.endswith("--report") else place
        ask(command, told, status=2)
    assert Path(place).read_text("utf-8") == "settings_format: 1\n"
