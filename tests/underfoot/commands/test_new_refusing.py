"""What `underfoot new` does not write, and says why; what it never writes over."""

import json
import os
from pathlib import Path

import pytest

from tests.underfoot.asking import Ask
from tests.underfoot.beginning.begun import begun, put_catalogue
from underfoot.__main__ import main

pytestmark = pytest.mark.usefixtures("folder")

Said = pytest.CaptureFixture[str]


def test_what_stands_there_stays(ask: Ask) -> None:
    Path("hall.yaml").write_text("mine")
    os.symlink("nowhere", "link.yaml")
    for name in ("hall.yaml", "link.yaml"):
        said = ask("new", name, "--size", "3mx3m", status=2).err
        assert "there is a file of this name already, which stays" in said
    assert Path("hall.yaml").read_text() == "mine"
    assert sorted(os.listdir()) == ["hall.yaml", "link.yaml"]


def test_what_comes_meanwhile_stays(capsys: Said, monkeypatch: pytest.MonkeyPatch) -> None:
    from underfoot.commands import new, output_files

    write = output_files.write_new_file

    def late(place: str, content: str) -> None:
        Path(place).write_text("somebody else's")
        write(place, content)

    monkeypatch.setattr(new, "write_new_file", late)
    assert main(["new", "hall.yaml", "--size", "3mx3m"]) == 2
    assert Path("hall.yaml").read_text() == "somebody else's"
    assert os.listdir() == ["hall.yaml"]
    # The same where a file cannot have two names.
    os.unlink("hall.yaml")

    def no_links(*_: object) -> None:
        raise PermissionError(1, "no links here")

    monkeypatch.setattr(os, "link", no_links)
    assert main(["new", "hall.yaml", "--size", "3mx3m"]) == 2
    assert Path("hall.yaml").read_text() == "somebody else's"
    monkeypatch.setattr(new, "write_new_file", write)
    assert main(["new", "room.yaml", "--size", "3mx3m"]) == 0
    assert sorted(os.listdir()) == ["hall.yaml", "room.yaml"]
    capsys.readouterr()


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["hall.yaml"], "say how large the room is, such as --size 4.2mx3.1m, or where its"),
        (["hall.txt", "--size", "3mx3m"], "a plan's name ends in .yaml, such as hall.yaml"),
        (["no/hall.yaml", "--size", "3mx3m"], "there is no folder"),
        (["hall.yaml", "--size", "4.2m"], "is no size: write width by depth, such as 4.2mx3.1m"),
        (["hall.yaml", "--size", "4,2mx3m"], "write 4.2m with a point"),
        (["hall.yaml", "--size", "4.2x3.1"], "measures 4.2 mm by 3.1 mm, which is no room: write"),
        (["hall.yaml", "--size", "0mx3m"], "both sides must be longer than nothing"),
        (["hall.yaml", "--size", "3mx-3m"], "both sides must be longer than nothing"),
        (["hall.yaml", "--size", "3mx3kg"], "a length is expected"),
        (["hall.yaml", "--size", "3mx3m", "--outline", "a.dxf"], "not both"),
        (["hall.yaml", "--outline", "a.dxf"], "--outline a.dxf: No such file or directory"),
        (["hall.yaml", "--outline", "b.geojson"], "add --unit, such as --unit mm"),
        (["hall.yaml", "--outline", "b.svg"], "none of the files that an outline can come from"),
        (["hall.yaml", "--outline", "b.geojson", "--layer", "A"], "GeoJSON has no layers: leave"),
        (["hall.yaml", "--outline", "c.ifc", "--unit", "mm"], "says its unit: leave out --unit"),
        (["hall.yaml", "--size", "3mx3m", "--catalogue", "no.yaml"], "there is no such file"),
        (["hall.yaml", "--size", "3mx3m", "--film", "a b"], "an id is made of letters, digits"),
        (["hall.yaml", "--size", "3mx3m", "--use", "hall", "--use", "hall"], "1 room and 2 uses"),
        (
            ["hall.yaml", "--size", "3mx3m", "--voltage", "230"],
            "--voltage 230 has no unit: write 230 V",
        ),
        (["hall.yaml", "--size", "3mx3m", "--voltage", "0 V"], "must be more than 0 V"),
        (["hall.yaml", "--size", "3mx3m", "--unit", "m"], "--unit is about a drawing: a room"),
        (["hall.yaml", "--size", "3mx3m", "--layer", "A"], "--layer is about a drawing"),
        (["hall.yaml", "--size", "3mx3m", "--chord-error", "3mm"], "--chord-error is about a"),
        (["hall.yaml", "--chord-error", "3mm"], "say how large the room is"),
        (["hall.yaml", "--size", "3mx3m", "--chord-error", "0.4"], "from 0.5 to 20 mm"),
        (["hall.yaml", "--size", "3mx3m", "--chord-error", "21mm"], "from 0.5 to 20 mm"),
    ],
)
def test_what_cannot_be_is_told(arguments: list[str], says: str, ask: Ask) -> None:
    Path("b.geojson").write_text("{}")
    Path("b.svg").write_text("<svg/>")
    Path("c.ifc").write_text("")
    said = ask("new", *arguments, status=2).err
    assert says in said
    assert said.count("\n") == 1
    assert not Path(arguments[0]).exists()


def test_a_catalogue_that_cannot_be_read_is_told_with_its_line(ask: Ask) -> None:
    Path("b.geojson").write_text("{}")
    said = ask("new hall.yaml --size 3mx3m --catalogue b.geojson", status=2).err
    assert said.splitlines()[:4] == [
        "underfoot: b.geojson: unreadable: 1 problem",
        " 1  b.geojson:1:1",
        "    1 | {}",
        "      | ^",
    ]
    assert not Path("hall.yaml").exists()


def test_a_film_that_the_catalogue_has_not_is_told(ask: Ask) -> None:
    put_catalogue()
    said = ask("new hall.yaml --size 3mx3m --film film-91", status=2).err
    assert "the catalogue has none of that name; did you mean `film-90`?" in said
    said = ask("new hall.yaml --size 3mx3m --covering zzz", status=2).err
    assert "there are laminate-7, laminate-9" in said


def test_a_hostile_name_stays_in_its_remark(capsys: Said) -> None:
    name = "x\r\nplan_format: 2\u2028\u202eevil\x07" + "y" * 3000
    Path("a.geojson").write_text(
        json.dumps(
            {
                "type": "Feature",
                "properties": {"name": name},
                "geometry": {"type": "Polygon", "coordinates": [[[0, 0], [4, 0], [4, 3], [0, 0]]]},
            }
        )
    )
    assert main(["new", "a.yaml", "--outline", "a.geojson", "--unit", "m"]) == 0
    plan = begun("a.yaml")
    assert list(plan.rooms) == ["x-plan-format-2-evil-yyyyyyyyyyyyyyyyyyy"]
    source = Path("a.yaml").read_text()
    assert source.isprintable() or set(source) - {"\n"} == {m for m in source if m.isprintable()}
    assert max(map(len, source.splitlines())) < 320
    capsys.readouterr()
