"""The monthly dew-point calculation against other ways to compute it, and what must hold of any answer."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from driven import coat, plain_material
from heron_point import example, miami, year
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.optimize import lsq_linear
from scipy.spatial import ConvexHull

from moistwall.air import dew_point_from_vapor_pressure, saturation_pressure
from moistwall.assess.steady import (
    LARGEST_STEP,
    Steady,
    cut,
    monthly_means,
    steady_months,
    steady_year,
)
from moistwall.assess.steady_hourly import contrast_with_hourly
from moistwall.assess.taut_line import AIR_PERMEABILITY, follow_month, taut_line
from moistwall.climate.hours import MONTH_DAYS
from moistwall.errors import InputError
from moistwall.material_curves import storage_of_pore_air
from moistwall.section import Gap, Layer, Part, Section
from moistwall.show.steady_text import compare_with_hourly

Array = NDArray[np.float64]

SECONDS = 86_400.0 * np.array(MONTH_DAYS)


def layer(name: str, resistance: float, air: float, thickness: float = 0.1) -> Layer:
    """A layer with a resistance [m2 K/W] and a thickness of air s_d [m]."""
    material = plain_material(
        name,
        storage_of_pore_air(0.9, 1.0),
        conductivity=thickness / resistance,
        permeability=2.0e-10 * thickness / air,
    )
    return Layer(name, material, thickness)


def months(section: Section, cold: float = 0.0, warm: float = 22.0, rh: float = 0.7) -> Steady:
    """A year that goes from cold to warm and back outside of a room at 20 degC and 60 %."""
    temperature = 0.5 * (cold + warm) - 0.5 * (warm - cold) * np.cos(
        2.0 * np.pi * np.arange(12) / 12.0
    )
    room = np.full(12, 20.0)
    return steady_months(
        section,
        (temperature, rh * saturation_pressure(temperature)),
        (room, 0.6 * saturation_pressure(room)),
    )


WET = Section("wet", (layer("board", 0.1, 2.0), layer("wool", 3.0, 0.3), layer("lining", 0.1, 1.0)))
"""Condenses behind its board in winter and dries in summer."""


@given(
    st.lists(st.tuples(st.floats(0.05, 5.0), st.floats(300.0, 3000.0)), min_size=2, max_size=25),
    st.floats(300.0, 3000.0),
    st.floats(300.0, 3000.0),
)
def test_taut_line_is_the_lower_hull(
    steps: list[tuple[float, float]], first: float, last: float
) -> None:
    """The line through any ceiling is the lower convex hull that scipy finds."""
    x = np.cumsum([0.0, *(step for step, _ in steps)])
    ceiling = np.array([first, *(value for _, value in steps)])
    line, corners = taut_line(x, ceiling, first, last)
    ceiling[-1] = last
    # a point far above closes the hull, so that all other facets are its lower side or the two flanks
    points = np.vstack((np.column_stack((x, ceiling)), [[0.5 * x[-1], 1e6]]))
    hull = set(ConvexHull(points).vertices.tolist()) - {0, len(x) - 1, len(x)}
    below = [k for k in sorted(hull) if line[k] >= ceiling[k] - 1e-6]
    wanted = np.interp(x, x[[0, *below, -1]], ceiling[[0, *below, -1]])
    np.testing.assert_allclose(line, wanted, rtol=1e-6)
    assert set(corners) <= hull | {0}
    assert np.all(line <= ceiling + 1e-6)


def test_taut_line_solves_the_obstacle_problem() -> None:
    """Of all lines below the ceiling it is the one with the least energy (bounded least squares)."""
    rng = np.random.default_rng(4)
    for _ in range(20):
        x = np.cumsum(np.concatenate(([0.0], rng.uniform(0.1, 3.0, 9))))
        ceiling = rng.uniform(500.0, 2500.0, 10)
        first, last = rng.uniform(500.0, 2500.0, 2)
        line, _ = taut_line(x, ceiling, first, last)
        np.testing.assert_allclose(line, obstacle(x, ceiling, first, last, ()), rtol=1e-5)


def obstacle(
    x: Array, ceiling: Array, first: float, last: float, wet: tuple[int, ...] | list[int]
) -> Array:
    """Vapor pressures of least energy below saturation, with wet nodes at it, by a general minimizer."""
    n = x.size
    known = np.full(n, np.nan)
    known[[0, -1]] = first, last
    known[list(wet)] = ceiling[list(wet)]
    free = np.isnan(known)
    slopes = np.zeros((n - 1, n))
    for k in range(n - 1):
        weight = np.sqrt(1.0 / (x[k + 1] - x[k]))
        slopes[k, k], slopes[k, k + 1] = -weight, weight
    if free.any():
        right = -slopes[:, ~free] @ known[~free]
        bounds = (-np.inf, ceiling[free])
        found = lsq_linear(slopes[:, free], right, bounds, method="bvls", tol=1e-14)
        known[free] = found.x
    return known


def test_year_against_small_steps() -> None:
    """Four hours at a time with a general minimizer gives the same water within 1 % of its peak.

    The wall has two planes: one of them dries on to the other before it is dry itself.
    """
    wall = Section(
        "two planes",
        (
            layer("sheathing", 0.2, 3.0),
            layer("foam", 0.24, 0.1),
            layer("sheet", 0.01, 1.0),
            layer("wool", 0.24, 0.05),
            layer("lining", 0.05, 0.3),
        ),
    )
    found = months(wall, cold=-8.0, warm=24.0)
    assert len(found.planes) >= 2
    assert found.stored_node.max() > 0.05
    assert found.first_month is not None
    x = np.concatenate(([0.0], np.cumsum(found.steps.air_thickness)))
    stored = np.zeros(x.size)
    worst = 0.0
    for m in (np.arange(12) + found.first_month - 1) % 12:
        ceiling = found.saturation_node[m]
        steps = 6 * MONTH_DAYS[m]
        dt = SECONDS[m] / steps
        for _ in range(steps):
            wet = np.flatnonzero(stored > 0.0).tolist()
            line = obstacle(x, ceiling, found.outdoor_vapor[m], found.room_vapor[m], wet)
            flow = -2.0e-10 * np.diff(line) / np.diff(x)
            gain = flow[:-1] - flow[1:]
            gain[np.abs(gain) < 1e-13] = 0.0
            stored[1:-1] = np.maximum(stored[1:-1] + gain * dt, 0.0)
        worst = max(worst, float(np.max(np.abs(stored - found.stored_node[m]))))
    assert worst < 0.01 * found.stored_node.max()


def test_no_condensation_is_a_straight_line() -> None:
    """Where nothing condenses vapor pressure falls evenly with s_d, and as much leaves as enters."""
    dry = Section(
        "dry", (layer("board", 0.1, 0.05), layer("wool", 3.0, 0.3), layer("lining", 0.1, 5.0))
    )
    found = months(dry)
    assert found.first_month is None
    assert found.planes == {}
    x = np.concatenate(([0.0], np.cumsum(found.steps.air_thickness)))
    straight = found.outdoor_vapor[:, None] + (found.room_vapor - found.outdoor_vapor)[:, None] * (
        x / x[-1]
    )
    np.testing.assert_allclose(found.vapor_node, straight, rtol=1e-12)
    np.testing.assert_allclose(found.entered_month, found.left_month, rtol=1e-9)
    np.testing.assert_allclose(
        found.entered_month,
        -2.0e-10 / x[-1] * (found.room_vapor - found.outdoor_vapor) * SECONDS,
        rtol=1e-12,
    )


@pytest.mark.parametrize("cold", [-15.0, -5.0, 0.0])
def test_water_is_what_came_in_less_what_went_out(cold: float) -> None:
    """In every month the water gained is the vapor that entered minus the vapor that left."""
    found = months(WET, cold=cold)
    assert found.stored_node.max() > 0.05
    np.testing.assert_allclose(
        found.gained_node.sum(axis=1),
        found.entered_month - found.left_month,
        atol=1e-12 * found.stored_node.max(),
        rtol=1e-9,
    )


def test_begins_with_the_first_wet_month_and_ends_dry() -> None:
    """Accumulation starts with the first month that condenses after the dry time, and all of it dries."""
    found = months(WET)
    assert found.first_month is not None
    start = found.first_month - 1
    assert not found.stored_node[start - 1].any()
    assert found.stored_node[start].any()
    assert not found.accumulates
    (water,) = found.planes.values()
    rising = np.roll(water, -start)
    assert np.argmax(rising) > 0
    assert rising[-1] == 0.0


def test_one_plane_by_the_formula() -> None:
    """The gain is delta0 ((p_i - p_c)/s_i - (p_c - p_e)/s_e), month by month (ISO 13788)."""
    found = months(WET)
    (name,) = found.planes
    assert name == "board | wool"
    k = found.steps.name_node.index(name)
    x = np.concatenate(([0.0], np.cumsum(found.steps.air_thickness)))
    water = 0.0
    assert found.first_month is not None
    for m in (np.arange(12) + found.first_month - 1) % 12:
        at = found.saturation_node[m, k]
        inward = (found.room_vapor[m] - at) / (x[-1] - x[k])
        gain = 2.0e-10 * (inward - (at - found.outdoor_vapor[m]) / x[k]) * SECONDS[m]
        straight = np.interp(x[k], x[[0, -1]], [found.outdoor_vapor[m], found.room_vapor[m]])
        if water == 0.0 and straight <= at:
            gain = 0.0
        water = max(water + gain, 0.0)
        assert found.stored_node[m, k] == pytest.approx(water, rel=1e-9, abs=1e-15)
    assert found.stored_node[:, k].max() > 0.05


def test_wall_that_never_dries_says_so() -> None:
    """Behind a vapor-tight cladding water is left after the year."""
    tight = Section("tight", (layer("steel", 0.001, 500.0), layer("wool", 3.0, 0.3)))
    found = months(tight, cold=-5.0, warm=8.0)
    assert found.accumulates
    assert not months(WET).accumulates


def test_condensing_all_year_begins_in_january() -> None:
    """With no dry month to begin after, the year is the calendar's."""
    tight = Section("tight", (layer("steel", 0.001, 500.0), layer("wool", 3.0, 0.3)))
    found = months(tight, cold=-9.0, warm=-2.0)
    assert found.first_month == 1
    water = found.stored_node.sum(axis=1)
    assert np.all(np.diff(water) > 0.0)
    assert water[-1] == pytest.approx(float(found.gained_node.sum()), rel=1e-12)


def test_mirrored_wall_is_the_same_wall() -> None:
    """Turned round, with its two climates changed over, the wall holds the same water at each place.

    The surface resistances differ by side, so that the layers take them: 0.09 more outside.
    """
    wool = layer("wool", 3.0, 0.3)
    parts = (layer("board", 0.19, 2.0), wool, layer("lining", 0.10, 1.0))
    straight = months(Section("a", parts))
    room = (straight.room_temperature, straight.room_vapor)
    out = (straight.outdoor_temperature, straight.outdoor_vapor)
    turned = Section("b", (layer("lining", 0.19, 1.0), wool, layer("board", 0.10, 2.0)))
    back = steady_months(turned, room, out)
    assert straight.stored_node.max() > 0.05
    np.testing.assert_allclose(
        back.stored_node[:, ::-1], straight.stored_node, rtol=1e-9, atol=1e-12
    )
    np.testing.assert_allclose(back.entered_month, -straight.left_month, rtol=1e-9, atol=1e-15)


def test_inward_drive_condenses_behind_a_tight_finish() -> None:
    """Hot humid months outside a cold room put the water at the room's finish, not at the cladding."""
    finish = coat("finish", 5e-12)
    wall = Section("cooled", (layer("board", 0.1, 0.2), layer("wool", 2.0, 0.3), finish))
    hot = np.full(12, 30.0)
    room = np.full(12, 20.0)
    found = steady_months(
        wall, (hot, 0.8 * saturation_pressure(hot)), (room, 0.5 * saturation_pressure(room))
    )
    assert list(found.planes) == ["wool | finish"]
    assert found.accumulates


def test_steps_of_thick_insulation() -> None:
    """A layer above 0.25 m2 K/W is cut into equal steps of at most that; s_d and R add up."""
    steps = cut(WET)
    assert np.all(steps.resistance <= LARGEST_STEP * (1 + 1e-9))
    assert steps.name_node.count("within wool") == 11
    assert steps.resistance.sum() == pytest.approx(3.2, rel=1e-12)
    assert steps.air_thickness.sum() == pytest.approx(3.3, rel=1e-12)
    assert steps.depth_node[-1] == pytest.approx(0.3, rel=1e-12)


def test_outside_of_an_open_gap_nothing_counts() -> None:
    """Behind a ventilated gap the section begins with outdoor air and a sheltered surface, 0.13 m2 K/W."""
    gap = Gap("gap", 0.02, "ventilated", 3.0, 100.0)
    parts: tuple[Part, ...] = (layer("siding", 0.1, 20.0), gap, *WET.parts)
    steps = cut(Section("with a gap", parts))
    assert steps.left_out == ("siding", "gap")
    assert steps.outside == 0.13
    assert steps.air_thickness.sum() == pytest.approx(3.3, rel=1e-12)
    assert steps.depth_node[0] == pytest.approx(0.12, rel=1e-12)


def test_gap_that_is_closed_is_a_centimeter_of_air() -> None:
    """A sealed gap has s_d 0.01 m whatever its depth (ISO 13788, from memory)."""
    for depth in (0.01, 0.05):
        parts = (WET.parts[0], Gap("gap", depth, "sealed", 3.0), *WET.parts[1:])
        assert cut(Section("g", parts)).air_thickness[1] == pytest.approx(0.01, rel=1e-12)


def test_nodes_of_the_example_are_named_as_people_say() -> None:
    """Facers go by their board: what lies between two sheets of foam is one place."""
    names = list(dict.fromkeys(cut(example("wall")).name_node))
    assert names == [
        "rainscreen gap | outer foam",
        "within outer foam",
        "outer foam | inner foam",
        "within inner foam",
        "inner foam | sheathing",
        "sheathing | cavity wool",
        "within cavity wool",
        "cavity wool | gypsum board",
        "gypsum board | inside finish",
        "inside finish | room air",
    ]


def test_room_surface_by_hand() -> None:
    """Behind furniture: f = 1 - 0.25 / (0.04 + 3.2 + 0.25) = 0.9284, and the humidity that it leaves.

    At 0 degC outside the surface has 18.57 degC and 0.6 p_sat(20) / p_sat(18.57) = 65.6 %.
    """
    found = months(WET, cold=0.0)
    assert found.surface_factor == pytest.approx(1.0 - 0.25 / 3.49, rel=1e-12)
    assert found.surface_rh_month[0] == pytest.approx(0.656, abs=1e-3)
    coldest = float(dew_point_from_vapor_pressure(found.room_vapor / 0.8)[0])
    assert found.needed_factor_month[0] == pytest.approx(coldest / 20.0, rel=1e-9)


def test_surface_factor_means_nothing_where_it_is_warmer_outdoors() -> None:
    """In months above the room's temperature no factor is asked for."""
    found = months(WET, cold=10.0, warm=30.0)
    assert np.array_equal(np.isnan(found.needed_factor_month), found.outdoor_temperature >= 20.0)


def test_air_above_saturation_at_a_surface_is_told() -> None:
    """Room air that would condense on the surface itself is flagged, and the line stays below saturation."""
    thin = Section("thin", (layer("steel", 0.001, 500.0),))
    found = months(thin, cold=-10.0)
    assert found.surface_saturated
    assert np.all(found.vapor_node <= found.saturation_node * (1 + 1e-12))
    assert not months(WET).surface_saturated


def test_monthly_means_of_the_year() -> None:
    """The means of the months, weighted by their hours, are the mean of the year."""
    means = monthly_means(miami().temperature)
    by_hand = [
        miami().temperature[a * 24 : b * 24].mean()
        for a, b in zip(
            np.concatenate(([0], np.cumsum(MONTH_DAYS)[:-1])), np.cumsum(MONTH_DAYS), strict=True
        )
    ]
    np.testing.assert_allclose(means, by_hand, rtol=1e-12)


def test_year_of_an_example() -> None:
    """Miami never wets the foam wall by monthly means; a 64 degF room behind vinyl is wet from May on."""
    assert steady_year(example("wall"), miami()).first_month is None
    cold = replace(example("wall-no-foam-vinyl"), room_temperature=18.0)
    found = steady_year(cold, miami())
    assert list(found.planes) == ["gypsum board | inside finish"]
    assert found.first_month in (4, 5, 6)


def test_humidity_of_the_properties() -> None:
    """Permeability is taken at the humidity asked for, and one that is none is refused."""
    dry, wet = (cut(example("wall-no-foam"), rh).air_thickness for rh in (0.25, 0.75))
    assert dry.sum() > wet.sum()
    with pytest.raises(InputError, match="from 0 to 1"):
        cut(WET, 1.5)


def test_plane_that_dries_within_a_month_is_dry_from_then_on() -> None:
    """What evaporates in the month is what was there; the rest of the month passes vapor straight through."""
    x = np.array([0.0, 1.0, 2.0])
    saturation = np.array([2000.0, 2000.0, 2000.0])
    start = np.array([0.0, 1e-3, 0.0])
    done = follow_month(x, saturation, (1000.0, 1000.0), start, 1e6)
    assert done.stored[1] == 0.0
    assert done.entered - done.left == pytest.approx(-1e-3, rel=1e-12)
    rate = 2.0 * AIR_PERMEABILITY * 1000.0
    wet_time = 1e-3 / rate
    mean = (2000.0 * wet_time + 1000.0 * (1e6 - wet_time)) / 1e6
    assert done.vapor[1] == pytest.approx(mean, rel=1e-12)


def test_beside_the_hourly_run() -> None:
    """Where they differ most is found among the places that both know, with the means of that month."""
    steady = steady_year(example("wall"), miami())
    result = year("wall")
    found = contrast_with_hourly(steady, result)
    node = steady.steps.name_node.index(found.place)
    rh = steady.vapor_node / steady.saturation_node
    assert found.place != steady.steps.name_node[0]
    near = np.abs(steady.steps.depth_node - steady.steps.depth_node[node]) < 1e-9
    assert np.min(np.abs(rh[found.month - 1, near] - found.steady_rh)) < 1e-12
    means = [monthly_means(column)[found.month - 1] for column in result.rh_place.T]
    assert np.min(np.abs(np.array(means) - found.hourly_rh)) < 1e-12
    assert found.reasons == ("sun",)
    assert found.surface_warmer > 0.5
    assert (found.steady_places, found.condensing_hours) == ((), 0)


def test_sentence_beside_the_hourly_run() -> None:
    """One sentence says what each finds, where they are furthest apart, and what the method does not know."""
    wet = compare_with_hourly(steady_year(example("roof"), miami()), year("roof"))
    assert "By monthly means nothing condenses, but hour by hour vapor turns to liquid in" in wet
    assert "no storage, no liquid, no swing within the month and no sun on the outer face." in wet
    assert wet.count(". ") == 0
    assert "safe" not in wet


def test_another_section_or_year_is_refused() -> None:
    """A run of another wall says nothing about the calculation of this one."""
    with pytest.raises(InputError, match="beside a run of"):
        contrast_with_hourly(steady_year(example("wall-no-foam"), miami()), year("wall"))


def test_cold_room_condenses_in_both() -> None:
    """Behind vinyl with a 60 degF room both find water at the same place, and the sentence joins them by 'and'."""
    changes = {"room_temperature": 15.6, "room_rh": 0.5}
    section = replace(example("wall-no-foam-vinyl"), **changes)  # type: ignore[arg-type]
    steady, run = steady_year(section, miami()), year("wall-no-foam-vinyl", **changes)
    found = contrast_with_hourly(steady, run)
    assert found.steady_places
    assert found.condensing_hours > 100
    assert found.condensing_place in found.steady_places
    assert ", and hour by hour vapor turns to liquid" in compare_with_hourly(steady, run)
