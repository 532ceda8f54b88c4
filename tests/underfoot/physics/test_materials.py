"""Finding a conductivity by the words that people write; figures are checked in published."""

import pytest

from underfoot.physics import materials
from underfoot.physics.heat import Direction
from underfoot.physics.materials import (
    UnlistedMaterialError,
    describe_conductivity,
    find_conductivity,
    resist_material,
)


@pytest.mark.parametrize(
    ("written", "material", "density_kg_m3"),
    [
        ("Plywood", "plywood", 500),
        ("Chipboard", "particleboard", 600),
        ("OSB", "oriented strand board", 650),
        ("tiles", "ceramic tile", 2300),
        ("Ceramic  tiles", "ceramic tile", 2300),
        ("cement_bonded particleboard", "cement-bonded particleboard", 1200),
        ("oak", "timber", 700),
        ("pine", "timber", 500),
        ("laminate", "fibreboard", 800),
        ("screed", "cement and sand", 1800),
        ("concrete", "concrete", 2200),
        ("gravel", "sand and gravel", 1950),
    ],
)
def test_names(written: str, material: str, density_kg_m3: float) -> None:
    found = find_conductivity(written)
    assert (found.material, found.density_kg_m3) == (material, density_kg_m3)
    assert found.asked_kg_m3 is None


def test_every_name_is_found_and_gives_a_layer() -> None:
    for name in (*materials._MATERIALS, *materials._ALIASES, *materials._AIR_NAMES):
        assert resist_material(name, 20.0).resistance_m2k_w > 0.0


@pytest.mark.parametrize(
    ("asked_kg_m3", "density_kg_m3"),
    [(500, 500), (560, 500), (600, 700), (640, 700), (1200, 1000), (230, 300)],
)
def test_nearest_density(asked_kg_m3: float, density_kg_m3: float) -> None:
    # 600 lies halfway between 500 and 700: the heavier, which conducts more.
    found = find_conductivity("plywood", asked_kg_m3)
    assert (found.density_kg_m3, found.asked_kg_m3) == (density_kg_m3, asked_kg_m3)


def test_density_overrules_the_word() -> None:
    assert find_conductivity("softwood", 680.0).density_kg_m3 == 700


@pytest.mark.parametrize(("asked_kg_m3", "is_listed"), [(1250, True), (1251, False), (225, True)])
def test_a_density_a_quarter_off_is_still_that_material(asked_kg_m3: int, is_listed: bool) -> None:
    # The heaviest plywood listed is of 1000 kg/m3, the lightest of 300.
    if is_listed:
        assert find_conductivity("plywood", asked_kg_m3).density_kg_m3 in (1000, 300)
    else:
        with pytest.raises(UnlistedMaterialError):
            find_conductivity("plywood", asked_kg_m3)


def test_foam_is_taken_at_any_density() -> None:
    found = find_conductivity("EPS", 15.0)
    assert found.density_kg_m3 is None
    assert "not the maker's figure" in describe_conductivity(found)


@pytest.mark.parametrize(
    ("name", "density_kg_m3", "said"),
    [
        ("plywod", None, "'plywod'"),
        ("", None, "''"),
        ("concrete", 600.0, "concrete of 600 kg/m3: the nearest listed density is 1800"),
        ("air", None, "'air'"),
    ],
)
def test_unlisted(name: str, density_kg_m3: float | None, said: str) -> None:
    with pytest.raises(UnlistedMaterialError, match=said):
        find_conductivity(name, density_kg_m3)


def test_what_was_taken_is_said() -> None:
    assert (
        describe_conductivity(find_conductivity("plywood", 500.0))
        == "0.13 W/m/K for plywood of 500 kg/m3 (ISO 10456)"
    )
    assert (
        describe_conductivity(find_conductivity("plywood", 640.0))
        == "0.17 W/m/K for plywood of 700 kg/m3, the nearest listed to 640 kg/m3 (ISO 10456)"
    )
    assert (
        describe_conductivity(find_conductivity("plywood"))
        == "0.13 W/m/K for plywood of 500 kg/m3, as no density is given (ISO 10456)"
    )


def test_what_is_from_memory_says_so() -> None:
    for name in ("screed", "cork tile"):
        assert "from memory" in describe_conductivity(find_conductivity(name))


def test_air_goes_by_the_way_of_the_heat() -> None:
    ways: tuple[Direction, ...] = ("down", "up")
    down, up = (resist_material("air gap", 50.0, direction=way) for way in ways)
    assert (down.resistance_m2k_w, up.resistance_m2k_w) == pytest.approx((0.21, 0.16))
    assert down.said == "0.21 m2 K/W for 50 mm of closed air (ISO 6946)"


def test_layer_by_hand() -> None:
    # 18 mm of 0.14 W/m/K.
    assert resist_material("chipboard", 18.0).resistance_m2k_w == pytest.approx(0.12857, abs=1e-5)


@pytest.mark.parametrize(
    ("name", "wooden"),
    [
        ("chipboard", True),
        ("Oak", True),
        ("OSB", True),
        ("plywoods", True),
        ("floorboards on joists", True),
        ("wooden floor", True),
        ("concrete", False),
        ("plasterboard", False),
        ("boards of foam", False),
        ("", False),
    ],
)
def test_timber_is_known_by_its_name(name: str, wooden: bool) -> None:
    assert materials.is_timber(name) is wooden
