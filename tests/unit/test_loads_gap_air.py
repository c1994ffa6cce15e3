"""Air through gaps: openings, screens and friction, what drives it, and how fast it flows."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from gap_flow import air_changes, flow_speed, stack_pressure
from heron_point import miami
from hypothesis import given
from hypothesis import strategies as st
from weather import changed

from moistwall.air import density
from moistwall.errors import InputError
from moistwall.loads.gap_air import (
    ONE_OPENING_SHARE,
    attic_openings,
    entry_loss,
    exit_loss,
    openings,
    screen_loss,
    wind_pressure,
)

WALL = 2.44
"""Height of the wall of all cases. [m]"""

# gap [mm], air in it [degC], slot [mm], wind [Pa]: pressure [Pa], speed [m/s], air changes [1/h];
# outdoors 30 degC and 1.2 kg/m3, both openings with a loss of 2.0; from the flow equation with 9.81 m/s2
CASES = [
    (19.0, 40.0, 19.0, 0.0, 0.917, 0.383, 565.0),
    (19.0, 35.0, 19.0, 0.0, 0.466, 0.230, 339.0),
    (6.0, 40.0, 6.0, 0.0, 0.917, 0.0614, 90.5),
    (3.0, 40.0, 3.0, 0.0, 0.917, 0.0155, 23.0),
    (19.0, 30.0, 19.0, 1.0, 1.0, 0.408, 601.0),
    (25.0, 40.0, 0.8, 0.0, 0.917, 0.0196, 29.0),
]


def changes(
    depth: float = 0.019, slot: float | None = None, warmer: float = 10.0, **more: Any
) -> float:
    """Air changes of an upright gap that is so much warmer than 30 degC, by stack alone."""
    slot = depth if slot is None else slot
    way = openings(depth, WALL, WALL, slot, slot, **more)
    stack = stack_pressure(way.rise, 1.2, 1.2 * 303.15 / (303.15 + warmer))
    return float(air_changes(flow_speed(stack, way.loss, way.friction, 1.2), way.length))


@pytest.mark.parametrize(("gap", "air", "slot", "wind", "pressure", "speed", "rate"), CASES)
def test_worked_cases(
    gap: float, air: float, slot: float, wind: float, pressure: float, speed: float, rate: float
) -> None:
    """Pressure, speed and air changes of six gaps, to the digits they were worked out to."""
    depth, slot = gap / 1000.0, slot / 1000.0
    way = openings(depth, WALL, WALL, slot, slot, inlet_loss=2.0, outlet_loss=2.0)
    driving = wind + stack_pressure(way.rise, 1.2, 1.2 * 303.15 / (273.15 + air))
    found = flow_speed(driving, way.loss, way.friction, 1.2)
    assert driving == pytest.approx(pressure, abs=5.1e-4)
    assert found == pytest.approx(speed, abs=6e-4 if speed > 0.1 else 7e-5)
    assert air_changes(found, way.length) == pytest.approx(rate, abs=0.6)


def test_more_of_everything_is_more_air() -> None:
    """A deeper gap, a larger slot, a freer screen and a warmer gap let more through; turns, less."""
    for rates in (
        [changes(depth=d) for d in (0.003, 0.006, 0.01, 0.019, 0.038)],
        [changes(slot=s) for s in (0.001, 0.003, 0.006, 0.01, 0.015, 0.019)],
        [changes(free_share=f) for f in (0.1, 0.3, 0.5, 0.7, 1.0)],
        [changes(warmer=t) for t in (0.0, 1.0, 5.0, 10.0, 20.0)],
        [changes(turns=n) for n in (3, 2, 1, 0)],
    ):
        assert np.all(np.diff(rates) > 0.0)


def test_thin_gaps_go_with_the_cube_of_depth() -> None:
    """Halving a gap of 3 mm quarters the speed, so that the volume falls to an eighth."""
    volume = np.array([d * changes(depth=d) for d in (0.003, 0.0015)])
    assert volume[0] / volume[1] == pytest.approx(8.0, rel=0.02)


@given(
    st.floats(-50.0, 50.0, allow_subnormal=False),
    st.floats(0.0, 1e4),
    st.floats(1e-3, 1e3),
    st.floats(0.9, 1.4),
)
def test_speed_solves_the_flow_equation(p: float, loss: float, f: float, rho: float) -> None:
    """The speed put back into loss rho v|v|/2 + friction v gives the pressure, in both directions."""
    v = flow_speed(p, loss, f, rho)
    assert loss * rho * v * abs(v) / 2.0 + f * v == pytest.approx(p, rel=1e-12, abs=1e-12)
    assert np.sign(v) == np.sign(p)


def test_pure_loss_and_pure_friction() -> None:
    """Without friction sqrt(2p / (loss rho)), without loss p / friction, at no pressure nothing."""
    assert flow_speed(-0.6, 2.0, 0.0, 1.2) == pytest.approx(-np.sqrt(0.5), rel=1e-15)
    assert flow_speed(0.6, 0.0, 3.0, 1.2) == pytest.approx(0.2, rel=1e-15)
    assert flow_speed(0.0, 2.0, 1e-9, 1.2) == 0.0
    marks = flow_speed(np.array([-1.0, 0.0, 1.0]), 2.0, np.array([[1.0], [2.0]]), 1.2)
    assert marks.shape == (2, 3)
    np.testing.assert_array_equal(marks[:, 0], -marks[:, 2])


def test_losses_of_openings_meet_known_ones() -> None:
    """As wide as the gap: 0.5 in, 1.0 out; small: that of a sharp slot, 2.7 to 2.9; rising between."""
    assert entry_loss(1.0) == pytest.approx(0.5, rel=1e-12)
    assert exit_loss(1.0) == pytest.approx(1.0, rel=1e-12)
    for loss in (entry_loss, exit_loss):
        assert 2.6 < loss(0.01) < 3.0
        assert np.all(np.diff([loss(f) for f in np.linspace(0.05, 1.0, 20)]) < 0.0)


def test_screen_of_one_half_loses_one_to_three() -> None:
    """Insect screen with half of its area free: 1 to 3 (from memory); no screen loses nothing."""
    assert 1.0 < screen_loss(0.5) < 3.0
    assert screen_loss(1.0) == 0.0


def test_screens_count_at_their_own_opening() -> None:
    """A screen at the outlet alone lies between none and two, and equals its loss at the slot."""
    none, both = changes(slot=0.01), changes(slot=0.01, free_share=0.4)
    one = changes(slot=0.01, outlet_free_share=0.4)
    assert both < one < none
    way, bare = (
        openings(0.02, WALL, WALL, 0.01, 0.005, 1.0, outlet_free_share=f) for f in (0.4, 1.0)
    )
    assert way.loss - bare.loss == pytest.approx(16.0 * screen_loss(0.4), rel=1e-12)


def test_one_opening_has_a_fifth_of_the_speed() -> None:
    """Closed at either end, a gap gets 1/5 of its speed with both open, at any pressure."""
    both = openings(0.019, WALL, WALL, 0.01, 0.01, 0.5)
    pressure = np.linspace(-3.0, 3.0, 13)
    open_speed = flow_speed(pressure, both.loss, both.friction, 1.2)
    for low, high in ((0.01, 0.0), (0.0, 0.01)):
        one = openings(0.019, WALL, WALL, low, high, 0.5)
        speed = flow_speed(pressure, one.loss, one.friction, 1.2)
        np.testing.assert_allclose(speed, ONE_OPENING_SHARE * open_speed, rtol=1e-12)
    assert ONE_OPENING_SHARE == 0.2


def test_the_closed_end_takes_the_screen_of_the_open_one() -> None:
    """A gap that is open at the top alone is ruled by the screen of its top."""
    top = openings(0.019, WALL, WALL, 0.0, 0.01, 1.0, outlet_free_share=0.3)
    same = openings(0.019, WALL, WALL, 0.01, 0.0, 0.3)
    assert top == same


def test_stack_has_the_sign_of_warmth_and_damp() -> None:
    """Warmer air rises, colder sinks; at the same temperature damp air rises; level gaps have none."""
    out = density(30.0, 2000.0)
    assert stack_pressure(WALL, out, density(35.0, 2000.0)) > 0.0
    assert stack_pressure(WALL, out, density(25.0, 2000.0)) < 0.0
    assert stack_pressure(WALL, out, density(30.0, 4000.0)) > 0.0
    assert stack_pressure(0.0, out, density(60.0, 2000.0)) == 0.0


def test_level_furring_has_wind_alone() -> None:
    """With openings at the same height a hot gap stands still, and moves with wind."""
    level = openings(0.019, 6.0, 0.0, 0.019, 0.019)
    stack = stack_pressure(level.rise, 1.2, 1.0)
    assert flow_speed(stack, level.loss, level.friction, 1.2) == 0.0
    assert flow_speed(stack + 0.5, level.loss, level.friction, 1.2) > 0.0


def test_wind_pressure_at_the_marks() -> None:
    """0.1 x 1.2 kg/m3 x (4 m/s)^2 / 2 = 0.96 Pa; mark k + 1 is the reading of element k."""
    wind = np.zeros(8760)
    wind[11] = 4.0
    year = changed(wind_speed=wind, temperature=20.0, dew_point=-60.0, pressure=100_976.0)
    pressure = wind_pressure(year, 0.1)
    assert pressure.shape == (8761,)
    assert pressure[12] == pytest.approx(0.96, rel=1e-4)
    assert np.count_nonzero(pressure) == 1
    assert np.array_equal(wind_pressure(miami(), -0.2), -2.0 * wind_pressure(miami(), 0.1))


@pytest.mark.parametrize("length", [3.0, 6.0])
def test_attic_does_not_depend_on_its_run(length: float) -> None:
    """Twice the run has twice the vents and twice the volume: the same air changes."""
    way = attic_openings(1.0 / 150.0, 1.5, depth=0.8, length=length)
    rate = air_changes(flow_speed(0.5, way.loss, way.friction, 1.2), way.length)
    assert rate == pytest.approx(5.69, rel=0.01)  # 3600/300 sqrt(2 0.5 / (1.2 2 2.9)) / 0.8
    assert way.rise == 1.5


def test_attic_vents_in_halves_let_most_through() -> None:
    """The same vent area split unevenly lets less through."""
    losses = [
        attic_openings(1 / 300, 1.5, depth=0.8, length=4.0, upper_share=share).loss
        for share in (0.1, 0.3, 0.5, 0.7, 0.9)
    ]
    assert min(losses) == losses[2]


@pytest.mark.parametrize(
    ("arguments", "more", "named"),
    [
        ((-0.019, 2.4, 2.4, 0.01, 0.01), {}, "depth"),
        ((0.019, 0.0, 0.0, 0.01, 0.01), {}, "length"),
        ((0.019, 2.4, 2.5, 0.01, 0.01), {}, "rise"),
        ((0.019, 2.4, -0.1, 0.01, 0.01), {}, "rise"),
        ((0.019, 2.4, 2.4, 0.02, 0.01), {}, "inlet_area"),
        ((0.019, 2.4, 2.4, 0.01, 0.02), {}, "outlet_area"),
        ((0.019, 2.4, 2.4, 0.01, -0.01), {}, "outlet_area"),
        ((0.019, 2.4, 2.4, 0.0, 0.0), {}, "both closed"),
        ((0.019, 2.4, 2.4, 0.01, 0.01, 1.1), {}, "free_share"),
        ((0.019, 2.4, 2.4, 0.01, 0.01, 0.0), {}, "free_share"),
        ((0.019, 2.4, 2.4, 0.01, 0.01), {"outlet_free_share": np.nan}, "outlet_free_share"),
        ((0.019, 2.4, 2.4, 0.01, 0.01), {"inlet_loss": 0.0}, "inlet_loss"),
        ((0.019, 2.4, 2.4, 0.01, 0.01), {"turns": -1}, "turns"),
        ((0.019, 2.4, 2.4, 0.01, 0.01), {"wind_coefficient": np.nan}, "wind_coefficient"),
    ],
)
def test_impossible_openings(
    arguments: tuple[float, ...], more: dict[str, Any], named: str
) -> None:
    """Sizes and shares that cannot be right are refused by name; so is an opening over the gap."""
    with pytest.raises(InputError, match=named):
        openings(*arguments, **more)


def test_all_faults_of_openings_at_once() -> None:
    """Every mistake is told, not only the first."""
    with pytest.raises(InputError) as caught:
        openings(0.019, -1.0, 0.0, 0.03, 0.01, 2.0)
    assert [fault.field for fault in caught.value.faults] == [
        "length",
        "rise",
        "inlet_area",
        "free_share",
    ]


@pytest.mark.parametrize(
    ("ratio", "height", "more", "named"),
    [
        (150.0, 1.5, {}, "area_ratio"),
        (1 / 150, 0.0, {}, "height"),
        (1 / 150, 1.5, {"upper_share": 1.0}, "upper_share"),
        (1 / 150, 1.5, {"depth": np.inf}, "depth"),
    ],
)
def test_impossible_attics(ratio: float, height: float, more: dict[str, float], named: str) -> None:
    """A ratio the wrong way up, no height and vents in one place are refused by name."""
    with pytest.raises(InputError, match=named):
        attic_openings(ratio, height, **({"depth": 0.8, "length": 4.0} | more))
