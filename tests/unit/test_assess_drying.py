"""Drying of gaps: the potential against hand calculations, what was carried off against the flows."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from heron_point import example, miami, year
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from moistwall.air import saturation_pressure, vapor_film_from_convection
from moistwall.assess.drying import LEAST_LEFT, drying_potential, gap_drying, month_sums
from moistwall.climate.hours import MONTH_DAYS, hour_index
from moistwall.result import GapAir, Result
from moistwall.section import Gap
from moistwall.simulate import simulate

Array = NDArray[np.float64]

GAP = GapAir("gap", "ventilated", 0.019, 2.0e-8, 3.0, 1, 5)
"""3/4 in deep; a vapor transfer coefficient as by the Lewis relation from 3 W/(m2 K)."""


def potential(
    gap: GapAir, surface: float, outdoor: float, vapor: float, air_changes: float
) -> float:
    """Drying potential of one hour. [kg/m2]"""
    one = (np.array([value]) for value in (surface, outdoor, vapor, air_changes))
    return float(drying_potential(gap, *one)[0])


def test_potential_by_hand() -> None:
    """One hour at 100 air changes, face 30 degC, air 25 degC with 2000 Pa: 32.19 g/m2.

    p_sat(30 degC) = 4246.0 Pa (ASHRAE Fundamentals ch. 1, 4.2467 kPa, from memory)
    W_sat = 0.62197 4246.0 / (101325 - 4246.0) = 0.027203,  W_out = 0.62197 2000 / 99325 = 0.012524
    V = 0.019 100 / 3600 = 5.2778e-4 m/s,  dry air 99325 / (287.042 298.15) = 1.16060 kg/m3
    NTU = 2e-8 461.5 298.15 / 5.2778e-4 = 5.2142,  1 - exp(-5.2142) = 0.99456
    3600 1.16060 5.2778e-4 (0.027203 - 0.012524) 0.99456 = 0.03219 kg/m2
    """
    assert potential(GAP, 30.0, 25.0, 2000.0, 100.0) == pytest.approx(0.03219, rel=1e-3)


def test_potential_against_air_followed_up_the_face() -> None:
    """Air integrated numerically along a wet face takes up what the effectiveness says, within 1e-6."""
    surface, outdoor, vapor = 32.0, 27.0, 2400.0
    ratio = 287.042 / 461.5
    saturation = saturation_pressure(surface)
    wanted, entering = (ratio * p / (101_325.0 - p) for p in (saturation, vapor))
    for air_changes in (5.0, 40.0, 110.0, 1000.0):
        volume = GAP.depth * air_changes / 3600.0
        # exchange by volume: beta R_v T is a velocity; y from 0 to 1 along the height
        speed = GAP.vapor_film * 461.5 * (outdoor + 273.15)

        def slope(y: float, w: Array, rate: float = speed / volume) -> Array:
            return rate * (wanted - w)

        path = solve_ivp(slope, (0.0, 1.0), [entering], rtol=1e-10, atol=1e-14, method="LSODA")
        dry_air = 3600.0 * volume * (101_325.0 - vapor) / (287.042 * (outdoor + 273.15))
        by_hand = dry_air * (path.y[0, -1] - entering)
        assert potential(GAP, surface, outdoor, vapor, air_changes) == pytest.approx(
            by_hand, rel=1e-6
        )


def test_slow_air_leaves_saturated() -> None:
    """At a tenth of an air change the air leaves saturated: the potential is m_air (W_sat - W_out)."""
    full = 3600.0 * (0.019 * 0.1 / 3600.0) * (101_325.0 - 1500.0) / (287.042 * 293.15)
    saturation = saturation_pressure(28.0)
    gain = 287.042 / 461.5 * (saturation / (101_325.0 - saturation) - 1500.0 / 99_825.0)
    assert potential(GAP, 28.0, 20.0, 1500.0, 0.1) == pytest.approx(full * gain, rel=1e-9)


def test_fast_air_is_held_back_by_the_film_alone() -> None:
    """At a million air changes it is 3600 beta (p_sat - p_out), whatever the depth, but for W over p.

    W is not straight in p: the ratio of the two is p / (p - p_sat), 4 % here.
    """
    saturation = saturation_pressure(28.0)
    film = 3600.0 * GAP.vapor_film * (saturation - 1500.0)
    for depth in (0.010, 0.019, 0.038):
        gap = replace(GAP, depth=depth)
        assert potential(gap, 28.0, 20.0, 1500.0, 1e6) == pytest.approx(
            film * 101_325.0 / (101_325.0 - saturation), rel=1e-3
        )


def test_potential_grows_with_the_air_and_stays_below_the_film() -> None:
    """More air always dries more, and never more than the film lets through."""
    rates = (1.0, 10.0, 50.0, 100.0, 300.0, 1000.0, 1e4)
    values = [potential(GAP, 28.0, 20.0, 1500.0, rate) for rate in rates]
    assert values == sorted(values)
    assert values[-1] < 3600.0 * GAP.vapor_film * (saturation_pressure(28.0) - 1500.0) * 1.05
    assert values[0] > 0.0


def test_no_air_carries_nothing() -> None:
    """Without air changes the potential is 0, and beside them nothing is divided by zero."""
    hours = drying_potential(
        GAP,
        np.full(3, 40.0),
        np.full(3, 25.0),
        np.full(3, 2000.0),
        np.array([0.0, 100.0, 0.0]),
    )
    assert hours[0] == hours[2] == 0.0
    assert hours[1] > 0.0


def test_a_face_below_the_outdoor_dew_point_is_wetted() -> None:
    """The sign turns at the dew point: 0 at it, a loss above, a gain below, in frost as well."""
    for dew_point in (-5.0, 10.0, 24.0):
        vapor = float(saturation_pressure(dew_point))
        outdoor = dew_point + 4.0
        assert potential(GAP, dew_point, outdoor, vapor, 100.0) == pytest.approx(0.0, abs=1e-15)
        assert potential(GAP, dew_point + 0.5, outdoor, vapor, 100.0) > 1e-5
        assert potential(GAP, dew_point - 0.5, outdoor, vapor, 100.0) < -1e-5


def test_month_sums_count_the_hours_of_each_month() -> None:
    """Ones add up to each month's hours, and the hours beside a month's end fall on either side."""
    assert month_sums(np.ones(8760)).tolist() == [24.0 * days for days in MONTH_DAYS]
    for month in range(2, 13):
        first = hour_index(month, 1, 1)
        assert first is not None
        edge = np.zeros(8760)
        edge[first - 1], edge[first] = 3.0, 5.0
        sums = month_sums(edge)
        assert (sums[month - 2], sums[month - 1]) == (3.0, 5.0)
        assert sums.sum() == 8.0


@pytest.mark.parametrize("name", ["wall", "wall-no-foam-vinyl", "roof"])
def test_months_add_up_to_the_year(name: str) -> None:
    """Twelve months of each quantity are the sum of its hours, taken from the flows themselves."""
    result = year(name)
    (gap,) = result.gaps
    (row,) = gap_drying(result)
    outer, inner = result.vapor_a[:, gap.face], result.vapor_b[:, gap.face]
    assert row.removed_month.sum() == pytest.approx(outer.sum() - inner.sum(), rel=1e-12)
    assert row.removed_from_inner_month.sum() == pytest.approx(-inner.sum(), rel=1e-12)
    rate = result.air_changes_gap[:, 0]
    hourly = drying_potential(
        gap,
        result.temperature_cell[:, gap.inner_cell],
        result.outdoor_temperature,
        result.outdoor_vapor,
        rate,
    )
    assert row.potential_month.sum() == pytest.approx(hourly.sum(), rel=1e-12)
    assert (row.name, row.kind) == (gap.name, "ventilated")
    assert row.air_changes_mean == pytest.approx(110.0, rel=1e-12)


@pytest.mark.parametrize("name", ["wall", "wall-no-foam-vinyl", "roof"])
def test_what_the_gap_carried_off_closes_the_sections_water(name: str) -> None:
    """Stored water changes by what entered at both ends, less what drained and what the gap's air took.

    With the wrong sign of either face of the gap this fails by as much as the gap carries.
    """
    result = year(name)
    (row,) = gap_drying(result)
    stored = result.water_cell[1].sum() - result.water_cell[0].sum()
    through_ends = result.moisture_b[:, 0].sum() - result.moisture_a[:, -1].sum()
    taken = row.removed_month.sum()
    assert abs(taken) > 0.3
    assert stored == pytest.approx(
        through_ends - result.drained_cell.sum() - taken, abs=1e-8 * abs(taken)
    )


def test_inner_face_and_outer_face_close_their_own_sides() -> None:
    """Behind the gap stored water falls by what left its inner face and the room, and what drained."""
    result = year("wall")
    (gap,) = result.gaps
    (row,) = gap_drying(result)
    behind = slice(gap.inner_cell, None)
    change = (result.water_cell[1] - result.water_cell[0])[behind].sum()
    to_room = result.moisture_a[:, -1].sum()
    drained = result.drained_cell[:, behind].sum()
    left = row.removed_from_inner_month.sum()
    assert abs(left) > 0.01
    assert change == pytest.approx(-left - to_room - drained, abs=1e-9)


def driven(removed: Array, inner: Array) -> Result:
    """The year of the example wall with other flows at its gap."""
    result = year("wall")
    face = result.gaps[0].face
    vapor_a, vapor_b = result.vapor_a.copy(), result.vapor_b.copy()
    vapor_b[:, face] = inner
    vapor_a[:, face] = inner + removed
    return replace(result, vapor_a=vapor_a, vapor_b=vapor_b)


def test_signs_of_flows_by_hand() -> None:
    """Outward through the inner face 2 g, inward out of the outer face 1 g: 3 g carried off an hour."""
    # flows count from outside to inside: -2 g enters the inner face, 1 g leaves the outer one
    result = driven(removed=np.full(8760, 3e-3), inner=np.full(8760, -2e-3))
    (row,) = gap_drying(result)
    assert row.removed_month[0] == pytest.approx(744 * 3e-3, rel=1e-9)
    assert row.removed_from_inner_month[1] == pytest.approx(672 * 2e-3, rel=1e-9)
    assert row.wetting_hours == 0


def test_wetting_hours_by_hand() -> None:
    """Of hours that leave 0, half, twice and a thousand times the threshold behind, the last two count."""
    removed = np.tile(-LEAST_LEFT * np.array([0.0, 0.5, 2.0, 1000.0]), 2190)
    (row,) = gap_drying(driven(removed, np.zeros(8760)))
    assert row.wetting_hours == 2 * 2190
    (row,) = gap_drying(driven(-removed, np.zeros(8760)))
    assert row.wetting_hours == 0


def test_a_sealed_gap_carries_nothing_and_wets_in_no_hour() -> None:
    """In a sealed gap what leaves one face enters the other: round-off is not an hour of wetting."""
    section = example("wall")
    parts = tuple(
        replace(part, kind="sealed", air_changes=0.0) if isinstance(part, Gap) else part
        for part in section.parts
    )
    result = simulate(replace(section, parts=parts), miami(), most_years=1)
    (row,) = gap_drying(result)
    assert (row.kind, row.wetting_hours, row.air_changes_mean) == ("sealed", 0, 0.0)
    assert np.array_equal(row.potential_month, np.zeros(12))
    assert np.abs(row.removed_month).max() < 1e-12
    assert np.abs(row.removed_from_inner_month).min() > 1e-4


def test_humid_nights_wet_the_gap_of_the_example() -> None:
    """Gulf air leaves water in the rainscreen in more than half of the hours, yet dries it each month."""
    (row,) = gap_drying(year("wall"))
    assert 4380 < row.wetting_hours < 7000
    assert row.removed_month.min() > 0.0
    assert row.potential_month.min() > 10 * row.removed_month.max()


def test_a_result_without_gaps_has_no_rows() -> None:
    """No gap, no row."""
    assert gap_drying(replace(year("wall"), gaps=())) == ()


def test_the_film_of_the_examples_gap_is_by_the_lewis_relation() -> None:
    """The coefficient that the potential uses is that of the gap's own convection."""
    (gap,) = year("wall").gaps
    assert gap.vapor_film == pytest.approx(vapor_film_from_convection(gap.convection), rel=1e-12)
