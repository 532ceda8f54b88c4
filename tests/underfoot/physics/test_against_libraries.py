"""Physics against other libraries: convection and radiation, air, and nodes of temperature."""

import pytest

from underfoot.physics import heat

pytestmark = pytest.mark.oracle


def test_heat_of_air() -> None:
    from CoolProp.CoolProp import PropsSI

    density = PropsSI("D", "T", 293.15, "P", 101325, "Air")
    heat_capacity = PropsSI("C", "T", 293.15, "P", 101325, "Air")
    taken = heat.compute_ventilation(1.0, 1.0, 1.0, 0.0)
    assert taken == pytest.approx(density * heat_capacity / 3600.0, rel=0.01)


@pytest.mark.parametrize("surface_c", [26.0, 29.0, 33.0, 35.0])
def test_floor_flux_against_first_principles(surface_c: float) -> None:
    from CoolProp.CoolProp import PropsSI
    from ht.conv_free_immersed import Nu_free_horizontal_plate
    from scipy.constants import g, sigma

    room_c, length_m, emissivity = 20.0, 1.0, 0.9
    film_k = 273.15 + (surface_c + room_c) / 2.0
    density = PropsSI("D", "T", film_k, "P", 101325, "Air")
    viscosity = PropsSI("V", "T", film_k, "P", 101325, "Air")
    prandtl = PropsSI("Prandtl", "T", film_k, "P", 101325, "Air")
    conductivity = PropsSI("L", "T", film_k, "P", 101325, "Air")
    grashof = g * (surface_c - room_c) / film_k * length_m**3 / (viscosity / density) ** 2
    convection = Nu_free_horizontal_plate(prandtl, grashof, buoyancy=True, L=length_m)
    convected_w_m2 = convection * conductivity / length_m * (surface_c - room_c)
    radiated_w_m2 = emissivity * sigma * ((surface_c + 273.15) ** 4 - (room_c + 273.15) ** 4)
    flux_w_m2 = heat.compute_surface_output(surface_c - room_c)
    assert flux_w_m2 == pytest.approx(convected_w_m2 + radiated_w_m2, rel=0.10)


@pytest.mark.parametrize(
    ("output_w_m2", "above_m2k_w", "below_m2k_w", "beyond_c"),
    [(140.0, 0.14, 1.2, 10.0), (80.0, 0.05, 0.6, -3.0), (200.0, 0.30, 2.5, 20.0)],
)
def test_split_against_nodes(
    output_w_m2: float, above_m2k_w: float, below_m2k_w: float, beyond_c: float
) -> None:
    import numpy as np

    room_c, to_surface, to_room, to_beyond = 20.0, 1 / above_m2k_w, 10.8, 1 / below_m2k_w
    conductances = np.array(
        [[to_surface + to_beyond, -to_surface], [-to_surface, to_surface + to_room]]
    )
    sources = np.array([output_w_m2 + to_beyond * beyond_c, to_room * room_c])
    film_c, surface_c = np.linalg.solve(conductances, sources)
    split = heat.split_output(output_w_m2, above_m2k_w, below_m2k_w, room_c, beyond_c)
    assert split.up_w_m2 == pytest.approx(to_room * (surface_c - room_c), rel=1e-12)
    assert split.down_w_m2 == pytest.approx(to_beyond * (film_c - beyond_c), rel=1e-12)
