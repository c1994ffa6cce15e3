"""Moisture content of wood, the older rule of the running month, and the air of attics."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from heron_point import example, year

from moistwall.assess.attic_air import HOT_LIMITS, attic_air, gap_air_temperature
from moistwall.assess.wood import (
    RUNNING_HOURS,
    equivalent_humidity,
    moisture_content,
    running_mean,
    running_month,
    running_months,
    slices_of_wood,
    wood_moisture,
)
from moistwall.result import Result


def part_of(result: Result, name: str) -> int:
    """Return the place of a part by its name."""
    return [part.name for part in result.parts].index(name)


def all_at(result: Result, rh: float) -> Result:
    """Return the result with every layer of wood in equilibrium with one humidity all year."""
    content = result.content_cell.copy()
    for k, part in enumerate(result.parts):
        if part.wood:
            own = (result.part_cell == k) & (result.skin_cell == 0)
            curve = result.sorption_part[:, k]
            content[:, own] = np.interp(rh, result.sorption_rh, curve)
    return replace(result, content_cell=content, rh_cell=np.full_like(result.rh_cell, rh))


def test_slices_cover_the_wood_and_no_more() -> None:
    """Each slice's weights sum to 1 and lie in its layer; the thin ones hold the outer and inner 3 mm."""
    wall = year("wall")
    slices = slices_of_wood(wall)
    assert [(wall.parts[k].name, name) for k, name, _ in slices] == [
        ("sheathing", "whole"),
        ("sheathing", "outer face"),
        ("sheathing", "inner face"),
    ]
    (k, _, whole), (_, _, outer), (_, _, inner) = slices
    for weight in (whole, outer, inner):
        assert weight.sum() == pytest.approx(1.0, abs=1e-12)
        assert not weight[wall.part_cell != k].any()
        assert not weight[wall.skin_cell == 1].any()
    depth = wall.x_cell[wall.part_cell == k]
    middle = 0.5 * (depth.min() + depth.max())
    assert outer @ wall.x_cell < middle < inner @ wall.x_cell
    thickness = wall.parts[k].thickness
    assert np.max(outer / np.where(whole > 0, whole, 1.0)) == pytest.approx(thickness / 0.003)


def test_wood_in_equilibrium_has_the_content_of_its_own_sorption() -> None:
    """At 80 % humidity everywhere each slice of the sheathing holds what the material's curve says."""
    wall = all_at(year("wall"), 0.80)
    sheathing = next(layer for layer in example("wall").layers if layer.name == "sheathing")
    curve = sheathing.material.storage.content(np.log(np.array([0.80])))[0]
    for row in wood_moisture(wall):
        assert row.mean == pytest.approx(curve / sheathing.material.density, rel=1e-3)
        assert row.highest == pytest.approx(row.mean, rel=1e-12)


def test_limits_lie_where_the_wood_handbook_has_them() -> None:
    """Spruce holds 16 % at 80 % RH, 20 % near 89 % (USDA Wood Handbook table 4-2 at 21 degC, from memory)."""
    roof = year("roof")
    spruce = next(k for k, part in enumerate(roof.parts) if part.made_of == "spruce")
    assert equivalent_humidity(roof, spruce, 0.16) == pytest.approx(0.80, abs=0.015)
    assert equivalent_humidity(roof, spruce, 0.20) == pytest.approx(0.89, abs=0.015)


def test_equivalent_humidity_inverts_the_content() -> None:
    """What a layer holds at a humidity leads back to that humidity."""
    wall = year("wall")
    k = part_of(wall, "sheathing")
    for rh in (0.3, 0.65, 0.85, 0.95):
        held = np.interp(rh, wall.sorption_rh, wall.sorption_part[:, k]) / wall.parts[k].density
        assert equivalent_humidity(wall, k, float(held)) == pytest.approx(rh, abs=1e-9)


def test_hours_over_a_limit_are_those_of_the_series() -> None:
    """Counts and longest stretch of a made-up year: 100 h at the end and 50 h at the start are one stretch."""
    wall = all_at(year("wall"), 0.60)
    k = part_of(wall, "sheathing")
    wet = 0.22 * wall.parts[k].density
    content = wall.content_cell.copy()
    for hours in (slice(0, 50), slice(4000, 4070), slice(8660, 8760)):
        content[hours, wall.part_cell == k] = wet
    row = wood_moisture(replace(wall, content_cell=content))[0]
    assert row.hours_over == (220, 220, 0)
    assert row.longest_over == (150, 150, 0)
    assert (row.fastener_hours, row.fastener_longest) == (220, 150)
    assert row.highest == pytest.approx(0.22)


def test_bracket_holds_the_content() -> None:
    """Drier air means less water and damper air more, by the slope of the sorption curve."""
    wall = all_at(year("wall"), 0.80)
    k, _, whole = slices_of_wood(wall)[0]
    low, mid, high = (moisture_content(wall, k, whole, shift)[0] for shift in (-0.003, 0.0, 0.003))
    assert low < mid < high
    curve = wall.sorption_part[:, k] / wall.parts[k].density
    slope = (
        np.interp(0.803, wall.sorption_rh, curve) - np.interp(0.797, wall.sorption_rh, curve)
    ) / 0.006
    assert high - low == pytest.approx(0.006 * slope, rel=1e-6)


def test_running_mean_wraps_the_year() -> None:
    """The mean of the first hour reaches back into December; a single pulse raises 720 hours by 1/720."""
    pulse = np.zeros(8760)
    pulse[8700] = 1.0
    mean = running_mean(pulse)
    assert mean.shape == (8760,)
    assert (mean > 1e-12).sum() == RUNNING_HOURS
    assert mean[8700:].min() == mean[: 720 - 60].min() == pytest.approx(1.0 / 720.0)
    assert mean[720 - 60] == pytest.approx(0.0, abs=1e-12)


def test_running_month_counts_in_its_temperatures_only() -> None:
    """A damp year at 20 degC counts throughout; the same at 45 degC only for metal."""
    rh = np.full(8760, 0.85)
    warm = running_month(np.full(8760, 20.0), rh)
    hot = running_month(np.full(8760, 45.0), rh)
    assert (warm.highest, warm.hours, warm.hours_metal) == (pytest.approx(0.85), 8760, 8760)
    assert (hot.highest, hot.hours, hot.hours_metal) == (0.0, 0, 8760)


def test_running_month_of_outdoor_air_comes_last() -> None:
    """One for each place and one for the air of Miami, whose wettest month is near 80 %."""
    rows = running_months(year("wall"))
    assert len(rows) == len(year("wall").places) + 1
    assert 0.76 < rows[-1].highest < 0.83


def test_air_of_a_gap_lies_between_its_faces_and_outdoors() -> None:
    """Without flow it has the mean of the faces, in a gale it is outdoor air."""
    roof = year("roof")
    gap = roof.gaps[0]
    faces = roof.temperature_cell[:, [gap.inner_cell - 1, gap.inner_cell]].mean(axis=1)
    still = replace(roof, air_changes_gap=np.zeros_like(roof.air_changes_gap))
    assert gap_air_temperature(still, 0) == pytest.approx(faces, abs=1e-6)
    gale = replace(roof, air_changes_gap=np.full_like(roof.air_changes_gap, 1e7))
    assert gap_air_temperature(gale, 0) == pytest.approx(roof.outdoor_temperature, abs=0.01)


def test_air_of_a_gap_takes_what_the_solver_booked() -> None:
    """Heat that enters by the faces, h (T_a - T_m) + h (T_b - T_m), leaves with the air over the year.

    The solver books heat with vapor's enthalpy, and hours by sub-steps: the yearly sums agree to 5 %.
    """
    roof = year("roof")
    gap = roof.gaps[0]
    air = gap_air_temperature(roof, 0)
    t_a, t_b = (roof.temperature_cell[:, gap.inner_cell + k] for k in (-1, 0))
    to_air = 3600.0 * gap.convection * np.abs(t_a + t_b - 2.0 * air)
    vapor = roof.vapor_a[:, gap.face] - roof.vapor_b[:, gap.face]
    booked = roof.heat_a[:, gap.face] - roof.heat_b[:, gap.face] - 2.5e6 * vapor
    sign = np.sign(t_a + t_b - 2.0 * air)
    assert np.sum(sign * booked) == pytest.approx(np.sum(to_air), rel=0.05)


def test_attic_air_is_told_for_roofs_only() -> None:
    """A roof's gap has its hours over 100, 120 and 130 degF, ever fewer; a wall's gap has none told."""
    (row,) = attic_air(year("roof"))
    assert pytest.approx([(f - 32.0) / 1.8 for f in (100.0, 120.0, 130.0)]) == HOT_LIMITS
    assert row.hours_over[0] > row.hours_over[1] >= row.hours_over[2]
    assert row.hours_over_month.sum() == row.hours_over[0]
    assert row.highest > row.outdoor_highest
    assert attic_air(year("wall")) == ()
