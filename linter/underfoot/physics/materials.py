"""Thermal conductivities by the name and density of a material.

Design values of ISO 10456 table 3 (EN 12524 table 1). A figure that has another source carries it.
"""

import re
from functools import lru_cache

from msgspec import Struct

from underfoot.physics.heat import Direction, resist_air_layer, resist_layer

_TABLE = "ISO 10456"

_WOOD = frozenset({
    "timber", "plywood", "particleboard", "cement-bonded particleboard", "oriented strand board",
    "fibreboard",
})  # fmt: skip
# Words that say so in a longer name, such as "floorboards on joists".
_WOODEN = re.compile(
    r"\b(timber|wood(en)?|joists?|floor ?boards?|boarding|plywood|chipboard|parquet|battens?)\b"
)

# How far a stated density may lie from a listed one and still be that material: a quarter.
_NEAR = 0.25


class Conductivity(Struct, frozen=True, kw_only=True):
    """A conductivity found by name: of which material and density, and where the figure is from.

    `density_kg_m3` is the listed density whose figure is used, None where the table names none;
    `asked_kg_m3` is the density that was asked for, None where none was given and the material's
    usual one was taken.
    """

    material: str
    conductivity_w_mk: float
    density_kg_m3: float | None
    asked_kg_m3: float | None
    source: str


class LayerResistance(Struct, frozen=True, kw_only=True):
    """The resistance of a layer whose material was looked up, and in words what was taken."""

    resistance_m2k_w: float
    said: str


class UnlistedMaterialError(LookupError):
    """No conductivity is known for this name, or for this density of it; the message says which."""


class _Material(Struct, frozen=True, kw_only=True):
    """(density, conductivity) rows from light to heavy; `usual` is the density where none is given.

    `any_density` lets a row stand for every density, where the figure hardly hangs on it.
    """

    rows: tuple[tuple[float, float], ...]
    usual_kg_m3: float
    source: str = _TABLE
    any_density: bool = False


def _one(density_kg_m3: float, conductivity_w_mk: float, source: str = _TABLE) -> _Material:
    return _Material(
        rows=((density_kg_m3, conductivity_w_mk),), usual_kg_m3=density_kg_m3, source=source
    )


_FOAM_SOURCE = "upper end of European design practice, not the maker's figure"
_FOAM = _Material(rows=((30.0, 0.038),), usual_kg_m3=30.0, source=_FOAM_SOURCE, any_density=True)

_MATERIALS: dict[str, _Material] = {
    "timber": _Material(rows=((500.0, 0.13), (700.0, 0.18)), usual_kg_m3=500.0),
    "plywood": _Material(
        rows=((300.0, 0.09), (500.0, 0.13), (700.0, 0.17), (1000.0, 0.24)), usual_kg_m3=500.0
    ),
    "particleboard": _Material(
        rows=((300.0, 0.10), (600.0, 0.14), (900.0, 0.18)), usual_kg_m3=600.0
    ),
    "cement-bonded particleboard": _one(1200.0, 0.23),
    "oriented strand board": _one(650.0, 0.13),
    "fibreboard": _Material(
        rows=((250.0, 0.07), (400.0, 0.10), (600.0, 0.14), (800.0, 0.18)), usual_kg_m3=600.0
    ),
    "concrete": _Material(
        rows=((1800.0, 1.15), (2000.0, 1.35), (2200.0, 1.65), (2400.0, 2.0)), usual_kg_m3=2200.0
    ),
    "reinforced concrete": _Material(rows=((2300.0, 2.3), (2400.0, 2.5)), usual_kg_m3=2300.0),
    "cement and sand": _one(1800.0, 1.0, "ISO 10456, this row from memory"),
    "lime and sand": _one(1600.0, 0.8),
    "gypsum": _Material(
        rows=((600.0, 0.18), (900.0, 0.30), (1200.0, 0.43), (1500.0, 0.56)), usual_kg_m3=900.0
    ),
    "plasterboard": _one(900.0, 0.25),
    "asphalt": _one(2100.0, 0.70),
    "bitumen sheet": _one(1100.0, 0.23),
    "linoleum": _one(1200.0, 0.17),
    "rubber floor": _one(1200.0, 0.17),
    "plastic floor": _one(1700.0, 0.25),
    "carpet": _one(200.0, 0.06),
    "cork tile": _Material(
        rows=((400.0, 0.065),), usual_kg_m3=400.0, source="ISO 10456, this row from memory"
    ),
    "foam underlay": _one(270.0, 0.10),
    "felt underlay": _one(120.0, 0.05),
    "wool underlay": _one(200.0, 0.06),
    "cork underlay": _one(200.0, 0.05),
    "ceramic tile": _one(2300.0, 1.3),
    "plastic tile": _one(1000.0, 0.20),
    "clay tile": _one(2000.0, 1.0),
    "concrete tile": _one(2100.0, 1.5),
    "marble": _one(2800.0, 3.5),
    "granite": _one(2600.0, 2.8),
    "slate": _one(2400.0, 2.2),
    "limestone": _Material(
        rows=((1600.0, 0.85), (1800.0, 1.1), (2000.0, 1.4), (2200.0, 1.7), (2600.0, 2.3)),
        usual_kg_m3=2200.0,
    ),
    "sandstone": _one(2600.0, 2.3),
    "pvc": _one(1390.0, 0.17),
    "polyethylene": _Material(rows=((920.0, 0.33), (980.0, 0.50)), usual_kg_m3=920.0),
    "polypropylene": _one(910.0, 0.22),
    "polyester": _one(1400.0, 0.19),
    "solid polystyrene": _one(1050.0, 0.16),
    "expanded polystyrene": _FOAM,
    "extruded polystyrene": _FOAM,
    "clay or silt": _one(1500.0, 1.5),
    "sand and gravel": _one(1950.0, 2.0),
    "steel": _one(7800.0, 50.0),
    "aluminium": _one(2800.0, 160.0),
}

# What else people write, and the density that the word itself says.
_ALIASES: dict[str, tuple[str, float | None]] = {
    "wood": ("timber", None),
    "softwood": ("timber", 500.0),
    "pine": ("timber", 500.0),
    "spruce": ("timber", 500.0),
    "hardwood": ("timber", 700.0),
    "oak": ("timber", 700.0),
    "beech": ("timber", 700.0),
    "parquet": ("timber", 700.0),
    "ply": ("plywood", None),
    "chipboard": ("particleboard", None),
    "cement board": ("cement-bonded particleboard", None),
    "osb": ("oriented strand board", None),
    "mdf": ("fibreboard", 800.0),
    "hdf": ("fibreboard", 800.0),
    "laminate": ("fibreboard", 800.0),
    "fiberboard": ("fibreboard", None),
    "screed": ("cement and sand", None),
    "mortar": ("cement and sand", None),
    "cement screed": ("cement and sand", None),
    "plaster board": ("plasterboard", None),
    "gypsum board": ("plasterboard", None),
    "mastic asphalt": ("asphalt", None),
    "bitumen felt": ("bitumen sheet", None),
    "lino": ("linoleum", None),
    "rubber": ("rubber floor", None),
    "vinyl": ("plastic floor", None),
    "textile": ("carpet", None),
    "cork flooring": ("cork tile", None),
    "foam rubber underlay": ("foam underlay", None),
    "felt": ("felt underlay", None),
    "tile": ("ceramic tile", None),
    "porcelain": ("ceramic tile", None),
    "porcelain tile": ("ceramic tile", None),
    "polythene": ("polyethylene", None),
    "polyethene": ("polyethylene", None),
    "eps": ("expanded polystyrene", None),
    "xps": ("extruded polystyrene", None),
    "polystyrene foam": ("expanded polystyrene", None),
    "soil": ("clay or silt", None),
    "clay": ("clay or silt", None),
    "silt": ("clay or silt", None),
    "sand": ("sand and gravel", None),
    "gravel": ("sand and gravel", None),
    "hardcore": ("sand and gravel", None),
    "aluminum": ("aluminium", None),
}

_AIR_NAMES = ("air", "air gap", "air space", "cavity", "void")


def find_conductivity(material: str, density_kg_m3: float | None = None) -> Conductivity:
    """Return the conductivity of a material, at the listed density nearest to the one given.

    Nothing is interpolated: the table gives figures for the densities that it lists, and the result
    says which was taken; of two equally near the heavier, which conducts more. Without a density
    the usual one of the name is taken. Names are read without regard to case, hyphens and
    underscores, and with or without a plural s.

    Raises UnlistedMaterialError for an unknown name, and for a density more than a quarter off
    every listed one, since light and foamed kinds conduct far less than the figure says.
    """
    found = _find_name(material)
    if found is None:
        raise UnlistedMaterialError(f"no conductivity is known for {material!r}")
    name, own_kg_m3 = found
    listed = _MATERIALS[name]
    wanted_kg_m3 = density_kg_m3 or own_kg_m3 or listed.usual_kg_m3
    row_kg_m3, conductivity_w_mk = min(
        listed.rows, key=lambda row: (abs(row[0] - wanted_kg_m3), -row[0])
    )
    if not listed.any_density and abs(wanted_kg_m3 - row_kg_m3) > _NEAR * row_kg_m3:
        raise UnlistedMaterialError(
            f"no conductivity is known for {name} of {wanted_kg_m3:g} kg/m3:"
            f" the nearest listed density is {row_kg_m3:g} kg/m3"
        )
    return Conductivity(
        material=name,
        conductivity_w_mk=conductivity_w_mk,
        density_kg_m3=None if listed.any_density else row_kg_m3,
        asked_kg_m3=density_kg_m3,
        source=listed.source,
    )


def describe_conductivity(found: Conductivity) -> str:
    """Return what was taken, in words: `0.13 W/m/K for timber of 500 kg/m3 (ISO 10456)`."""
    said = f"{found.conductivity_w_mk:g} W/m/K for {found.material}"
    if found.density_kg_m3 is not None:
        said += f" of {found.density_kg_m3:g} kg/m3"
        if found.asked_kg_m3 is None:
            said += ", as no density is given"
        elif found.asked_kg_m3 != found.density_kg_m3:
            said += f", the nearest listed to {found.asked_kg_m3:g} kg/m3"
    return f"{said} ({found.source})"


@lru_cache(maxsize=256)
def resist_material(
    material: str,
    thickness: float,
    density_kg_m3: float | None = None,
    direction: Direction = "down",
) -> LayerResistance:
    """Return the resistance in m2 K/W of a layer (thickness in mm) known by its material.

    `air` is a closed layer of air, whose resistance goes by the way the heat flows and not by a
    conductivity. Raises UnlistedMaterialError as `find_conductivity` does.
    """
    if _spell(material) in _AIR_NAMES:
        resistance_m2k_w = resist_air_layer(thickness, direction)
        said = f"{resistance_m2k_w:.2f} m2 K/W for {thickness:g} mm of closed air (ISO 6946)"
        return LayerResistance(resistance_m2k_w=resistance_m2k_w, said=said)
    found = find_conductivity(material, density_kg_m3)
    resistance_m2k_w = resist_layer(thickness, found.conductivity_w_mk)
    return LayerResistance(resistance_m2k_w=resistance_m2k_w, said=describe_conductivity(found))


def _spell(name: str) -> str:
    return " ".join(name.lower().replace("-", " ").replace("_", " ").split())


_BY_NAME: dict[str, tuple[str, float | None]] = {
    **{_spell(name): (name, None) for name in _MATERIALS},
    **_ALIASES,
}


def is_timber(name: str) -> bool:
    """Tell whether a material is of wood, by its name or by a word in it."""
    found = _find_name(name)
    return found[0] in _WOOD if found is not None else bool(_WOODEN.search(name.casefold()))


def _find_name(name: str) -> tuple[str, float | None] | None:
    spelt = _spell(name)
    return _BY_NAME.get(spelt) or _BY_NAME.get(spelt.removesuffix("s"))
