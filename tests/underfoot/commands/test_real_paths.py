"""Real places, told as the system tells them."""

import os
from pathlib import Path, PurePath

import pytest

from underfoot.commands.dependencies import _name_of_catalogue
from underfoot.commands.real_paths import RealPlaces
from underfoot.reading.source_text import read_whole
from underfoot.reading.syntax import parse
from underfoot.running.plan_files import display_path


@pytest.mark.usefixtures("folder")
def test_every_place_is_where_the_system_says() -> None:
    os.makedirs("a/b")
    Path("a/b/plan.yaml").write_text("", "utf-8")
    os.symlink("b", "a/link")
    os.symlink("plan.yaml", "a/b/other.yaml")
    os.symlink("nowhere.yaml", "a/b/gone.yaml")
    os.symlink("ring", "ring")
    real = RealPlaces()
    names = ["plan.yaml", "a/b/plan.yaml", "a/link/plan.yaml", "a/link/other.yaml", "a/link", "."]
    names += ["a/b/gone.yaml", "a/b/..", "a/b/.", "a/link/..", "", "a/", "/", "ring", "ring/x"]
    names += ["a/link/../b/plan.yaml", os.path.abspath("a/link/plan.yaml")]
    for name in names * 2:
        assert real.of(name) == os.path.realpath(name), name


NAMED = [
    ("plan_format: 1\ncatalogue: house.yaml\nrooms: {}\n", "house.yaml"),
    ("catalogue: ../shared/catalogue-2.yml # ours\nrooms: {}\n", "../shared/catalogue-2.yml"),
    ("catalogue: catalogue.yaml\r\nrooms: {}\r\n", "catalogue.yaml"),
    ("# the catalogue\ncatalogue: a.yaml\nrooms: {}\n", "a.yaml"),
    ("note: see catalogue.yaml\nrooms: {}\n", None),
    ('"catalogue": a.yaml\nrooms: {}\n', "a.yaml"),
    ("'catalogue' : a b.yaml\n", "a b.yaml"),
    ("? catalogue\n: a.yaml\n", "a.yaml"),
    ("{plan_format: 1, catalogue: a.yaml}\n", "a.yaml"),
    ('"cat\\x61logue": a.yaml\n', "a.yaml"),
    ("catalogue: a.yaml\n  b.yaml\nrooms: {}\n", "a.yaml b.yaml"),
    ("catalogue: a.yaml\n\n  b.yaml\nrooms: {}\n", "a.yaml\nb.yaml"),
    ("catalogue: a.yaml", "a.yaml"),
    ("catalogue: true\n", None),
    ("catalogue: 7\n", None),
    ("rooms: {note: |\n  catalogue: a.yaml\n", None),
    ("rooms:\n  catalogue: a.yaml\n", None),
    ("", None),
]


@pytest.mark.parametrize(("text", "name"), NAMED)
def test_a_catalogue_is_found_as_reading_the_plan_finds_it(text: str, name: str | None) -> None:
    for encoding in ("utf-8", "utf-8-sig", "utf-16"):
        source = text.encode(encoding)
        data = parse(source).data
        read = data.get("catalogue") if isinstance(data, dict) else None
        if isinstance(read, str):
            assert read == name
        assert _name_of_catalogue(source) == (read if isinstance(read, str) else None)


def test_only_a_text_of_many_lines_looks_like_a_key() -> None:
    assert _name_of_catalogue(b'note: "\ncatalogue: a.yaml\nthat is it"\n') == "a.yaml"


@pytest.mark.parametrize("size", [0, 1, 99, 100, 101, 5000])
def test_a_file_is_read_to_its_end_and_no_further(size: int, tmp_path: Path) -> None:
    file = tmp_path / "file"
    file.write_bytes(b"x" * size)
    with file.open("rb") as stream:
        assert read_whole(stream, 100) == b"x" * min(size, 101)
    reading, writing = os.pipe()
    with os.fdopen(writing, "wb") as into:
        into.write(b"y" * size)
    with os.fdopen(reading, "rb") as stream:
        assert read_whole(stream, 100) == b"y" * min(size, 101)


def test_a_tidy_path_is_shown_as_an_untidy_one_is() -> None:
    names = ["a", "a/b.yaml", "/a/b c/d-1.yaml", "a//b", "./a", "a/./b", "a/", "..", "a/../b"]
    for name in [*names, ".", "a/.b", "-x/y", "//a", "a/b ", " a", "ä/b", "a\nb", "a/..b", "a/b."]:
        assert display_path(name) == PurePath(name).as_posix(), name
