"""A room's heat loss: EN 12831-1, and the heat that air holds."""

from __future__ import annotations

import pytest

from underfoot.physics import heat


@pytest.mark.outside("CoolProp: density x heat capacity of air at 20 degC", "LIBRARY")
def test_heat_of_air() -> None:
    from CoolProp.CoolProp import PropsSI

    density = PropsSI("D", "T", 293.15, "P", 101325, "Air")
    heat_capacity = PropsSI("C", "T", 293.15, "P", 101325, "Air")
    taken = heat.compute_ventilation(1.0, 1.0, 1.0, 0.0)
    assert taken == pytest.approx(density * heat_capacity / 3600.0, rel=0.01)


@pytest.mark.outside("EN 12831-1: 4 x 5 x 2.5 m, 0.5 1/h, 30 K", "DERIVED")
def test_change_of_air() -> None:
    assert heat.compute_ventilation(50.0, 0.5, 20.0, -10.0) == pytest.approx(255.0)
