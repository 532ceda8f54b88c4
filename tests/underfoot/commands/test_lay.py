"""`underfoot lay`: what it shows, what it writes, and when it writes nothing."""

from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from tests.underfoot.laying.stripped import strip
from underfoot.commands.check import check
from underfoot.commands.lay import lay
from underfoot.running.errors import UnreadError

WIDE, NARROW = (
    "[[0, 0], [3650, 0], [3650, 3120], [0, 3120]]",
    "[[0, 0], [600, 0], [600, 900], [0, 900]]",
)


@pytest.fixture
def plan(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    place = tmp_path / "bedroom.yaml"
    place.write_text(strip("bedroom"), encoding="utf-8")
    return place


def run(*arguments: str) -> Result:
    return CliRunner().invoke(lay, ["bedroom.yaml", *arguments], standalone_mode=False)


def test_it_shows_and_writes_nothing_unasked(plan: Path) -> None:
    before = plan.read_bytes()
    done = run()
    assert done.return_value == 0, done.output
    assert "+    rows:\n" in done.stdout
    # Open are 3530 x 3000 mm, 60 off the walls, less 1792 x 592 mm, 52 off the wardrobe: 9.53 m2.
    # The strips are 4 of 2250 and 3 of 3000 mm, 500 wide: 9.00 m2.
    assert "9.00 m2: 94 % of the 9.53 m2" in done.stderr
    assert "certifies nothing" in done.stderr
    assert plan.read_bytes() == before


def test_what_is_written_passes_the_check(plan: Path) -> None:
    assert run("--write").return_value == 0
    done = CliRunner().invoke(check, ["bedroom.yaml"], standalone_mode=False)
    assert "NO OBJECTION" in done.stdout
    text = plan.read_text("utf-8")
    assert "# the designer's figure for the coldest day" in text
    assert "      # 7 strips, 18.00 m in all; A1 lies 90 mm from the left wall\n      A: {" in text
    assert "    # taken: measure it, and write what it is\n    cable: " in text
    again = run("--write")
    assert again.return_value == 0
    assert "every room has strips already" in again.stderr


def test_what_stands_against_it_is_told_and_nothing_is_written(plan: Path) -> None:
    text = plan.read_text("utf-8").replace("available: 25 A", "available: 1 A")
    plan.write_text(text, encoding="utf-8")
    done = run("--write")
    assert done.return_value == 1
    assert "error supply-capacity:" in done.stderr
    assert "nothing is written, for what stands above" in done.stderr
    assert plan.read_text("utf-8") == text
    assert run("--write", "--even-so").return_value == 1
    assert "rows:" in plan.read_text("utf-8")


def test_a_room_in_which_nothing_fits_is_refused(plan: Path) -> None:
    text = plan.read_text("utf-8")
    assert WIDE in text
    plan.write_text(text.replace(WIDE, NARROW).split("    openings:")[0] + "    subfloor:"
                    + text.split("    subfloor:")[1], encoding="utf-8")  # fmt: skip
    done = run()
    assert done.return_value == 1
    assert "cannot be laid: no strip of film-80, 500 mm wide" in done.stderr
    assert done.stdout == ""


def test_wishes_are_kept(plan: Path) -> None:
    done = run("--along", "x", "--box", "0,1.5m")
    # Laid across, the strips before the bedroom's door are joined at their other ends.
    assert done.return_value == 0, done.stderr
    assert "connected: end" in done.stdout
    assert "along: x" in done.stdout
    assert "junction_box: {at: [0, 1500], height: 450}" in done.stdout


def test_what_the_room_needs_is_told(plan: Path) -> None:
    done = run("--demand")
    assert done.return_value == 0
    assert "7.75 m2: 81 % of the 9.53 m2" in done.stderr
    assert "The room needs 470 W of its floor" in done.stderr
    assert "7.75 m2 are laid of the 9.00 m2 that fit." in done.stderr
    assert "Less is not laid, for then: warning floor-coverage: The strips of" in done.stderr
    unknown = plan.read_text("utf-8").replace("    heat_loss: 470 W", "    # none")
    plan.write_text(unknown, encoding="utf-8")
    done = run("--demand")
    assert (
        "All that fits is laid: how much the room needs is not known: no heat loss" in done.stderr
    )


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["--along", "up"], "--along up: write x, y, or an angle"),
        (["--box", "3"], "two lengths are needed"),
        (["--box", "3,far"], "--box 3,far: "),
        (["--room", "bedrom"], "did you mean"),
        (["--film", "film-9"], "no film film-9; the nearest to it is film-80"),
        (
            ["--box", "1m,-2m"],
            "from the junction box at [1000, -2000] leads do not reach them along the walls, or "
            "the sensor's conduit not deep enough below them; it lies 2000 mm off the "
            "nearest wall: put it on one.",
        ),
    ],
)
def test_odd_wishes_are_told(plan: Path, arguments: list[str], told: str) -> None:
    done = run(*arguments)
    said = f"{done.stderr} {done.exception or ''}"
    assert done.return_value != 0
    assert told in said


def test_a_plan_that_cannot_be_read(plan: Path) -> None:
    plan.write_text("plan_format: 1\nrooms: {}\n", encoding="utf-8")
    done = run()
    assert isinstance(done.exception, UnreadError)
    assert done.exception.report.path == "bedroom.yaml"
    assert [one.line for one in done.exception.report.excerpts] == [1, 2]


def test_what_may_not_be_written_is_refused_before_anything_is_tried(plan: Path) -> None:
    plan.rename(plan.with_name("elsewhere.yaml"))
    (plan.parent / "inside").mkdir()
    link = plan.parent / "inside" / "bedroom.yaml"
    link.symlink_to(plan.with_name("elsewhere.yaml"))
    done = CliRunner().invoke(
        lay, ["inside/bedroom.yaml", "--write", "--root", "inside"], standalone_mode=False
    )
    assert "inside/bedroom.yaml is a link that leads out of " in str(done.exception)
    done = CliRunner().invoke(lay, ["-"], standalone_mode=False)
    assert "a plan is laid in its file: name it" in str(done.exception)


def test_what_was_begun_is_completed(plan: Path) -> None:
    assert run("--write").return_value == 0
    assert "every room has strips already" in run().stderr
    done = run("--keep")
    assert done.return_value == 0
    assert done.stderr.startswith("underfoot: bedroom: nothing is missing.")
    text = plan.read_text("utf-8")
    start = text.index("    leads:\n")
    stop = text.index("\n\n", start)
    plan.write_text(text[:start] + text[stop:], encoding="utf-8")
    assert "--room bedroom: it has strips already: --keep" in str(
        run("--room", "bedroom").exception
    )
    done = run("--keep", "--room", "bedroom", "--write")
    assert done.return_value == 0
    assert "7 strips stay as drawn, none is added; 1 new lead, 9.00 m2: 94 %" in done.stderr
    lead = text[start:stop]
    assert lead.split("W1:")[1].split("\n")[0] in plan.read_text("utf-8")
