"""Outlines of real rooms and buildings, read from files that other packages bring.

- eppy: the room floors of a reference hospital for building simulation (an IDF file), in metres;
  those of up to 100 m2.
- momepy: 144 buildings of a Czech town, in Web Mercator, whose lengths there are 1.56 times too
  long: brought to UTM zone 33 and scaled down to a tenth, they are as large as rooms.

Neither package is imported, nor any that it needs but pyproj: their files are read.
"""

import sqlite3
from contextlib import closing
from dataclasses import dataclass
from functools import cache
from importlib.util import find_spec
from pathlib import Path

import numpy as np
import pyproj
import shapely

HOSPITAL = "resources/idffiles/V_6_0/ASHRAE30pct.PI.Final11_Hospital_STD2010_Chicago.idf"
TOWN = "datasets/bubenec.gpkg"
# Rooms up to this are filled.
LARGEST_M2 = 100.0
SCALE = 0.1


@dataclass(frozen=True, slots=True)
class Outline:
    """A floor in millimetres, its low corner at the origin; holes become structure."""

    name: str
    corners: np.ndarray
    holes: tuple[np.ndarray, ...] = ()

    @property
    def polygon(self) -> shapely.Polygon:
        """The floor, its holes cut out."""
        return shapely.Polygon(self.corners, self.holes)


def _file_of(package: str, name: str) -> Path:
    spec = find_spec(package)
    assert spec is not None, f"{package} belongs to the extra `test`"
    assert spec.submodule_search_locations
    path = Path(spec.submodule_search_locations[0]) / name
    assert path.is_file(), path
    return path


def _outline(name: str, polygon: shapely.Polygon) -> Outline:
    low = shapely.bounds(polygon)[:2]
    # A tenth of a millimetre is as fine as a plan gives a wall.
    corners, *holes = (
        np.round(shapely.get_coordinates(ring)[:-1] - low, 1)
        for ring in (polygon.exterior, *polygon.interiors)
    )
    return Outline(name, corners, tuple(holes))


def read_floors(text: str) -> list[shapely.Polygon]:
    """Read the floors of an IDF file as areas in metres, each seen from above."""
    lines = (line.partition("!")[0] for line in text.splitlines())
    floors = []
    for entry in "".join(lines).split(";"):
        fields = [field.strip() for field in entry.split(",")]
        if fields[0].lower() == "buildingsurface:detailed" and fields[2].lower() == "floor":
            # After the name: type, construction, zone, what is beyond (two), sun, wind, view
            # factor, and the number of corners.
            numbers = np.array(fields[11:], dtype=float).reshape(-1, 3)
            assert len(numbers) == int(fields[10])
            floors.append(shapely.Polygon(numbers[:, :2]))
    return floors


@cache
def hospital_floors() -> tuple[shapely.Polygon, ...]:
    """Read all floors of the hospital, in metres."""
    path = _file_of("eppy", HOSPITAL)
    return tuple(read_floors(path.read_text(encoding="latin-1")))


@cache
def buildings() -> tuple[shapely.Polygon, ...]:
    """Read the buildings of the town, in metres of UTM zone 33."""
    path = _file_of("momepy", TOWN)
    with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as file:
        rows = file.execute("SELECT geom FROM buildings ORDER BY fid").fetchall()
    # GeoPackage, clause 2.1.3: eight bytes, then an envelope as the flags say, then WKB.
    sizes = {0: 0, 1: 32, 2: 48, 3: 48, 4: 64}
    shapes = [shapely.from_wkb(row[8 + sizes[row[3] >> 1 & 7] :]) for (row,) in rows]
    to_utm = pyproj.Transformer.from_crs(3857, 32633, always_xy=True)

    def project(points: np.ndarray) -> np.ndarray:
        return np.stack(to_utm.transform(points[:, 0], points[:, 1]), axis=1)

    return tuple(shapely.transform(shape, project) for shape in shapes)


@cache
def all_outlines() -> dict[str, Outline]:
    """Return the rooms by name: of the hospital, each shape once, and the buildings made small."""
    found: dict[str, Outline] = {}
    seen = set()
    for number, floor in enumerate(hospital_floors()):
        outline = _outline(f"hospital-{number:02}", shapely.transform(floor, lambda p: p * 1000))
        shape = outline.corners.tobytes()
        if floor.area <= LARGEST_M2 and shape not in seen:
            seen.add(shape)
            found[outline.name] = outline
    for number, building in enumerate(buildings()):
        small = shapely.transform(building, lambda p: p * 1000 * SCALE)
        found[f"building-{number:03}"] = _outline(f"building-{number:03}", small)
    return found
