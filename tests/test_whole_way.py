"""From an empty room to a floor that is handed over, by commands alone, as an installer goes."""

import csv
import json
import re
import shutil
from collections.abc import Iterator
from itertools import combinations
from pathlib import Path

import pytest
import shapely
from click.testing import CliRunner

from tests.demo_plans import TODAY
from tests.guides import ROOT, write_lines
from underfoot.commands.group import underfoot

pytestmark = pytest.mark.slow

Corners = list[list[float]]
ROOM: Corners = [[0, 0], [4.2, 0], [4.2, 3.1], [0, 3.1]]
# A sitting room whose bay stands out at an angle, and a bedroom beyond a wall of 200 mm.
BAY: Corners = [[0, 0], [4.6, 0], [4.6, 3.8], [3.6, 3.8], [3, 4.5], [1.6, 4.5], [1, 3.8], [0, 3.8]]
LOSSES = {"den": "420 W", "sitting-room": "640 W", "bedroom": "420 W"}
BEDROOM: Corners = [[4.8, 0], [8.2, 0], [8.2, 3.8], [4.8, 3.8]]

HEAD = """\
  title: Teasel Court, plot 6
  reference: TC6-FH-01
  available: 32 A
"""
FILLED = """\
    height: 2400
      wardrobe: {{at: [0, 0], size: [600, 1800], kind: floor-mounted}}
      kind: timber
      below: heated
        - {{material: chipboard, thickness: 22, conductivity: 0.14 W/m/K}}
    heat_loss: {loss}
"""
CHOSEN = ["--catalogue", "catalogue.yaml", "--film", "film-72", "--covering", "laminate-7",
          "--use", "living"]  # fmt: skip
# What a meter shows, and what a person writes, where no band stands beside the blank.
WRITTEN = {
    "date": str(TODAY),
    "tested_by": "the electrician",
    "insulation_resistance": "200",
    "test_voltage": "500",
    "against": "earth",
    "thermostat_disconnected": "yes",
    "rcd_trip_time": "28",
    "ambient": "20",
}


def run(*arguments: str, status: int = 0) -> str:
    words = [*arguments, "--today", str(TODAY)]
    done = CliRunner().invoke(underfoot, words, standalone_mode=False)
    assert done.return_value == status, (arguments, done.output, done.exception)
    return done.stdout


def read_table(name: str) -> list[dict[str, str]]:
    with open(f"papers/job-{name}.csv", encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


@pytest.fixture(params=["room", "flat"])
def outlines(
    request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> dict[str, shapely.Polygon]:
    """Begin, fill in and lay `job.yaml`; give its rooms' outlines, in mm from their own corners."""
    monkeypatch.chdir(tmp_path)
    shutil.copy(ROOT / "plans" / "catalogue.yaml", tmp_path)
    if request.param == "room":
        rooms = {"den": ROOM}
        run("new", "job.yaml", "--size", "4.2mx3.1m", "--room", "den", *CHOSEN)
    else:
        rooms = {"sitting-room": BAY, "bedroom": BEDROOM}
        shapes = [
            {"type": "Feature", "properties": {"name": name},
             "geometry": {"type": "Polygon", "coordinates": [[*corners, corners[0]]]}}
            for name, corners in rooms.items()
        ]  # fmt: skip
        drawing = {"type": "FeatureCollection", "features": shapes}
        Path("flat.geojson").write_text(json.dumps(drawing), "utf-8")
        run("new", "job.yaml", "--outline", "flat.geojson", "--unit", "m", *CHOSEN)
    blanks = (FILLED.format(loss=LOSSES[name]) for name in rooms)
    write_lines(Path("job.yaml"), HEAD + "".join(blanks))
    run("lay", "job.yaml", "--write")
    return {
        name: shapely.Polygon([(1000 * (x - corners[0][0]), 1000 * y) for x, y in corners])
        for name, corners in rooms.items()
    }


def test_from_an_empty_room_to_a_floor_that_is_handed_over(
    outlines: dict[str, shapely.Polygon],
) -> None:
    assert "NO OBJECTION – " in run("check", "job.yaml", "--refuse-at", "note")
    Path("sheets").mkdir()
    run("draw", "job.yaml", "--output", "sheets")
    drawn = "".join(sheet.read_text("utf-8") for sheet in Path("sheets").iterdir())
    run("schedule", "job.yaml", "--format", "csv", "--output", "papers/")
    _lay_on_paper(outlines, drawn)
    _say("status: laid")
    sheet = list(_fill_in(read_table("readings")))
    with open("readings.csv", "w", encoding="utf-8", newline="") as file:
        table = csv.DictWriter(file, sheet[0])
        table.writeheader()
        table.writerows(sheet)
    # One that nobody can have measured is found before it is written down.
    before = Path("job.yaml").read_bytes()
    wrong = re.sub(r"(?m)^(C1,laid,load_resistance,.*,)[\d.]+(\r?)$", r"\g<1>500\2", _read(
        "readings.csv"))  # fmt: skip
    Path("wrong.csv").write_text(wrong, "utf-8")
    assert "C1" in run("schedule", "job.yaml", "--readings", "wrong.csv", status=1)
    assert Path("job.yaml").read_bytes() == before
    run("schedule", "job.yaml", "--readings", "readings.csv", "--write")
    _say("status: handed over", "handover: {diagram: true, certificate: signed, "
         "left_with_customer: true}")  # fmt: skip
    report = run("check", "job.yaml", "--refuse-at", "warning")
    assert "NOT JUDGED, AND MAY BE" not in report
    papers = run("schedule", "job.yaml", "--part", "handover")
    assert "certif" in papers
    assert "rug" in papers
    for name in outlines:
        assert name in papers


def _lay_on_paper(outlines: dict[str, shapely.Polygon], drawn: str) -> None:
    """Mark and lay every strip by the cut list's two distances alone, with a tape."""
    lengths = {row["strip"]: float(row["length_mm"]) for row in read_table("cuts")}
    laid: dict[str, list[shapely.Polygon]] = {name: [] for name in outlines}
    for row in read_table("marks"):
        room = outlines[row["room"]]
        across, start, end = (float(row[key]) for key in ("beside_mm", "start_mm", "end_mm"))
        assert end - start == lengths.pop(row["strip"])
        assert row["strip"] in drawn
        from_walls = {row["beside_wall"], row["behind_wall"]}
        assert from_walls == {"lower wall", "left wall"}
        long = (start, across, end, across + 500)
        if row["beside_wall"] == "left wall":
            long = (across, start, across + 500, end)
        strip = shapely.box(*long)
        assert room.buffer(-49.9).covers(strip)
        laid[row["room"]].append(strip)
    assert not lengths
    for name, strips in laid.items():
        assert all(one.intersection(two).area < 1 for one, two in combinations(strips, 2)), name
        assert sum(strip.area for strip in strips) > 0.6 * outlines[name].area


def _fill_in(blanks: list[dict[str, str]]) -> Iterator[dict[str, str]]:
    for row in blanks:
        reading = WRITTEN.get(row["what"])
        if reading is None:
            least, most = float(row["least"]), float(row["most"])
            reading = f"{(least + most) / 2:.2f}"
        yield {**row, "reading": reading}


def _say(*lines: str) -> None:
    """Write top-level lines over those of the same key, or below all."""
    plan = _read("job.yaml")
    for line in lines:
        key = line.partition(":")[0]
        plan, found = re.subn(rf"(?m)^{key}:.*$", line, plan)
        if not found:
            plan += line + "\n"
    Path("job.yaml").write_text(plan, "utf-8")


def _read(name: str) -> str:
    return Path(name).read_text("utf-8")
