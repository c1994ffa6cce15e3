"""Air leakage: blower-door tests, the pressure of the house, air through a section, the water in it."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from heron_point import miami
from weather import changed

from moistwall.air import dew_point_from_vapor_pressure, saturation_pressure
from moistwall.climate.hours import MONTH_DAYS
from moistwall.errors import BalanceError, InputError
from moistwall.exposure import Leakage
from moistwall.loads import leakage as module
from moistwall.loads.air_pressure import around_coefficient, plane_coefficient, wall_coefficient
from moistwall.loads.leak_sums import by_direction, carried, greatest_deposit, summary
from moistwall.loads.leakage import (
    FAN_AIR_DENSITY,
    HouseAir,
    flow_50_from_air_changes,
    flow_50_from_flow,
    house_air,
    leak_flow,
    section_air,
)

LEAKY = Leakage(flow_50=1.0e-3, exponent=0.65, height=3.0, leak_height=0.0, shelter=0.5)
ROOM = (24.0, 0.5)
"""Temperature [degC] and humidity of the room."""

FANS: dict[str, dict[str, float]] = {
    "none": {},
    "balanced": {"exhaust": 1e-4, "supply": 1e-4},
    "exhaust": {"exhaust": 1e-4},
    "supply": {"supply": 1e-4},
    "mixed": {"exhaust": 1e-4, "supply": 0.6e-4},
}


def dew_point(t: float, rh: float) -> float:
    """Dew point of air of this state."""
    return dew_point_from_vapor_pressure(rh * saturation_pressure(t))


def still(t: float, rh: float = 0.5, **more: Any) -> Any:
    """A year without wind at one state of the air."""
    return changed(**{"wind_speed": 0.0, "temperature": t, "dew_point": dew_point(t, rh)} | more)


@cache
def miami_house(fans: str) -> HouseAir:
    """The house in Miami's year."""
    return house_air(replace(LEAKY, **FANS[fans]), miami(), 180.0, 90.0, *ROOM)


def test_flow_at_50_pa() -> None:
    """ACH50 5 of 500 m3 is 0.6944 m3/s; the same by flow; a test at 25 Pa is scaled up."""
    flow_50 = flow_50_from_air_changes(5.0, 500.0, 400.0)
    assert flow_50 * 400.0 == pytest.approx(0.69444, rel=1e-4)
    assert flow_50_from_flow(500.0 * 5.0 / 3600.0, 400.0) == pytest.approx(flow_50, rel=1e-12)
    half = flow_50_from_flow(1.0, 400.0, pressure=25.0, exponent=0.6)
    assert half * 400.0 == pytest.approx(2.0**0.6, rel=1e-12)


def test_flow_over_pressure() -> None:
    """Q4/Q50 = (4/50)^0.65 = 0.1936, with the sign of the pressure; nothing at none."""
    assert leak_flow(4.0, 1.0) == pytest.approx(0.1936, abs=5e-5)
    assert leak_flow(-4.0, 1.0) == -leak_flow(4.0, 1.0)
    assert leak_flow(50.0, 0.7, 0.8) == pytest.approx(0.7, rel=1e-15)
    assert leak_flow(0.0, 1.0) == 0.0


def test_nothing_drives_nothing_leaks() -> None:
    """Without wind, fans and a difference in the air on both sides nothing flows and nothing presses."""
    year = still(24.0)
    house = house_air(LEAKY, year, 180.0, 90.0, *ROOM)
    assert np.max(np.abs(house.pressure)) < 1e-12
    assert np.max(np.abs(section_air(LEAKY, year, 180.0, 90.0, *ROOM, house=house))) < 1e-12


@pytest.mark.parametrize("fans", FANS)
def test_air_of_every_hour_balances(fans: str) -> None:
    """In Miami's year what enters by leaks and fans leaves by leaks and fans, to 1e-9."""
    house, leakage = miami_house(fans), replace(LEAKY, **FANS[fans])
    surplus = FAN_AIR_DENSITY * (leakage.supply - leakage.exhaust)
    moved = house.infiltration + house.exfiltration
    left_over = house.infiltration + surplus - house.exfiltration
    assert np.min(moved) > 0.0
    assert np.max(np.abs(left_over) / moved) <= 1e-9
    assert np.max(house.imbalance) <= 1e-9


@pytest.mark.parametrize("fans", FANS)
@pytest.mark.parametrize("outdoors", [33.0, 2.0])
@pytest.mark.parametrize(("tilt", "top", "foot"), [(90, 180, 180), (0, 0, 180), (180, 180, 180)])
def test_sections_add_up_to_the_house(
    fans: str, outdoors: float, tilt: float, top: float, foot: float
) -> None:
    """In wind, the flows of sections all over the house sum up to what the fans take."""
    leakage = replace(LEAKY, **FANS[fans])
    year = still(outdoors, wind_speed=3.0, wind_direction=150.0)
    house = house_air(leakage, year, 180.0, tilt, *ROOM)

    def through(azimuth: float, plane: float, height: float) -> float:
        """Flow through a section of this house in one of its hours."""
        there = replace(leakage, leak_height=height)
        return float(section_air(there, year, azimuth, plane, *ROOM, house=house)[100])

    total = 0.25 * (through(180.0, top, 1.5) + through(180.0, foot, -1.5))
    for azimuth in (0.0, 90.0, 180.0, 270.0):
        for height in (-1.2, -0.6, 0.0, 0.6, 1.2):
            total += 0.025 * through(azimuth, 90.0, height)
    surplus = FAN_AIR_DENSITY * (leakage.supply - leakage.exhaust)
    assert total == pytest.approx(-surplus, abs=1e-9 * leakage.flow_50)


def test_summer_stack_enters_high_and_leaves_low() -> None:
    """Cold inside and hot outside: high leaks let air in, low ones out; in winter the reverse."""
    high, low = (replace(LEAKY, leak_height=height) for height in (1.4, -1.4))
    for year, sign in ((still(34.0), 1.0), (still(5.0), -1.0)):
        assert np.all(sign * section_air(high, year, 180.0, 90.0, *ROOM) > 0.0)
        assert np.all(sign * section_air(low, year, 180.0, 90.0, *ROOM) < 0.0)


def test_damp_air_outside_is_light() -> None:
    """At the same temperature damp outdoor air acts as warmer air does: in high, out low."""
    high = replace(LEAKY, leak_height=1.4)
    assert np.all(section_air(high, still(24.0, 0.95), 180.0, 90.0, *ROOM) > 0.0)
    assert np.all(section_air(high, still(24.0, 0.05), 180.0, 90.0, *ROOM) < 0.0)


def test_wind_enters_to_windward() -> None:
    """Without stack the wall in the wind lets air in; walls at the sides and behind let it out."""
    year = still(24.0, wind_speed=5.0, wind_direction=90.0)
    flow = {a: section_air(LEAKY, year, a, 90.0, *ROOM)[50] for a in (90.0, 0.0, 180.0, 270.0)}
    assert flow[90.0] > 0.0
    assert max(flow[0.0], flow[180.0], flow[270.0]) < 0.0
    assert flow[0.0] == pytest.approx(flow[180.0], rel=1e-9)


@pytest.mark.parametrize(("tilt", "sign"), [(0.0, -1.0), (20.0, -1.0)])
def test_wind_draws_air_out_of_roofs(tilt: float, sign: float) -> None:
    """A roof of little slope lets air out in wind, whatever its direction."""
    roof = replace(LEAKY, leak_height=1.5)
    for direction in (0.0, 90.0, 200.0):
        year = still(24.0, wind_speed=6.0, wind_direction=direction)
        assert np.all(sign * section_air(roof, year, 180.0, tilt, *ROOM) > 0.0)


def test_shelter_takes_wind_away() -> None:
    """Half the wind is a quarter of the pressure; no wind at the building is still air."""
    windy = still(24.0, wind_speed=6.0)
    half, full, none = (
        section_air(replace(LEAKY, shelter=s), windy, 180.0, 90.0, *ROOM)[9]
        for s in (0.5, 1.0, 0.0)
    )
    assert half / full == pytest.approx(0.25**0.65, rel=1e-6)
    assert abs(none) < 1e-12


def test_balanced_fans_change_nothing() -> None:
    """Fans that take as much as they bring leave leaks and pressure as they are."""
    none, balanced = miami_house("none"), miami_house("balanced")
    assert np.array_equal(none.pressure, balanced.pressure)
    assert np.array_equal(none.infiltration, balanced.infiltration)


def test_without_fans_leakage_falls_in_proportion() -> None:
    """Sealing from ACH50 7 to 2.8 cuts the air that leaks in by the same factor, hour by hour."""
    tight = house_air(replace(LEAKY, flow_50=0.4e-3), miami(), 180.0, 90.0, *ROOM)
    np.testing.assert_allclose(
        tight.infiltration, 0.4 * miami_house("none").infiltration, rtol=1e-9
    )


def test_exhaust_alone_draws_what_it_draws() -> None:
    """Where fans rule, sealing from ACH50 7 to 2.8 leaves the air drawn in at the fans' flow."""
    year = still(30.0, 0.75, wind_speed=1.0)
    drawn = []
    for ach50 in (7.0, 2.8):
        fan = flow_50_from_air_changes(0.7, 500.0, 400.0)  # 0.7 air changes an hour
        leaks = flow_50_from_air_changes(ach50, 500.0, 400.0)
        leaky = replace(LEAKY, flow_50=leaks, exhaust=fan)
        house = house_air(leaky, year, 180.0, 90.0, *ROOM)
        assert np.all(house.pressure < -1.0)
        drawn.append(np.mean(house.infiltration) / (FAN_AIR_DENSITY * fan))
    assert drawn == pytest.approx([1.0, 1.0], rel=0.02)


def test_supply_alone_keeps_outdoor_air_out() -> None:
    """Where fans push air in, the house is positive and nothing leaks inwards."""
    year = still(30.0, 0.75, wind_speed=1.0)
    leakage = replace(LEAKY, supply=1e-4)
    house = house_air(leakage, year, 180.0, 90.0, *ROOM)
    assert np.all(house.pressure > 0.5)
    assert np.max(house.infiltration) == 0.0
    assert np.all(section_air(leakage, year, 180.0, 90.0, *ROOM, house=house) < 0.0)


def test_section_takes_its_share() -> None:
    """Twice the share is twice the air, and none is none; the house stays as it is."""
    one = section_air(LEAKY, miami(), 180.0, 90.0, *ROOM)
    assert one.shape == (8761,)
    assert one[0] == one[-1]
    for share in (0.0, 2.0):
        other = replace(LEAKY, share=share)
        flow = section_air(other, miami(), 180.0, 90.0, *ROOM, house=miami_house("none"))
        np.testing.assert_allclose(flow, share * one, rtol=1e-12)


def test_room_by_the_hour() -> None:
    """A room given by the hour counts in its own hours; what is the same all year gives the same."""
    t = np.full(8760, 24.0)
    t[100] = 30.0
    year = still(24.0)
    flow = section_air(replace(LEAKY, leak_height=1.4), year, 180.0, 90.0, t, np.full(8760, 0.5))
    assert flow[101] < -1e-7
    assert np.max(np.abs(np.delete(flow, 101))) < 1e-12


def test_whole_turns_change_nothing() -> None:
    """An azimuth of 450 deg is 90 deg."""
    one, other = (section_air(LEAKY, miami(), a, 90.0, *ROOM) for a in (90.0, 450.0))
    np.testing.assert_allclose(one, other, rtol=1e-9, atol=1e-12)


def test_wind_coefficients() -> None:
    """0.6 to windward, -0.65 at the sides, -0.3 behind (from memory), even, without steps."""
    np.testing.assert_allclose(
        wall_coefficient([0.0, 90.0, 180.0, 270.0]), [0.6, -0.65, -0.3, -0.65], atol=1e-6
    )
    angle = np.linspace(-180.0, 180.0, 3601)
    np.testing.assert_allclose(wall_coefficient(angle), wall_coefficient(-angle), atol=1e-12)
    assert np.max(np.abs(np.diff(wall_coefficient(angle)))) < 0.03
    assert around_coefficient(0.0) == pytest.approx(-0.25, abs=1e-6)
    np.testing.assert_allclose(
        around_coefficient(angle + 90.0), around_coefficient(angle), atol=1e-7
    )


def test_planes_join_walls_roofs_and_floors() -> None:
    """An upright plane is a wall, a level one a roof, one that looks down what is around."""
    assert plane_coefficient(30.0, 90.0) == pytest.approx(wall_coefficient(30.0), rel=1e-12)
    assert plane_coefficient(30.0, 0.0) == -0.5
    assert plane_coefficient(30.0, 180.0) == pytest.approx(around_coefficient(30.0), rel=1e-12)
    middle = 0.5 * (wall_coefficient(30.0) - 0.5)
    assert plane_coefficient(30.0, 45.0) == pytest.approx(middle, rel=1e-12)
    with pytest.raises(InputError, match="tilt"):
        plane_coefficient(0.0, 181.0)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("flow_50", -1e-3),
        ("flow_50", 0.0),
        ("exponent", 0.49),
        ("exponent", 1.01),
        ("height", 0.0),
        ("leak_height", 1.6),
        ("leak_height", -1.6),
        ("shelter", 1.6),
        ("shelter", -0.1),
        ("exhaust", -1e-5),
        ("supply", np.nan),
        ("share", -0.1),
        ("share", np.inf),
        ("contact", 1.1),
    ],
)
def test_impossible_leakage(field: str, value: float) -> None:
    """A negative flow, an exponent that no leak has and the like are refused by name."""
    with pytest.raises(InputError, match=field):
        section_air(replace(LEAKY, **{field: value}), still(24.0), 180.0, 90.0, *ROOM)


def test_all_faults_at_once() -> None:
    """Every mistake is told, not only the first; so are those of the plane."""
    wrong = replace(LEAKY, exponent=2.0, exhaust=-1.0, shelter=9.0)
    with pytest.raises(InputError) as caught:
        house_air(wrong, still(24.0), np.nan, -1.0, *ROOM)
    fields = {fault.field for fault in caught.value.faults}
    assert fields == {"exponent", "exhaust", "shelter", "azimuth", "tilt"}


def test_fans_that_would_burst_the_house() -> None:
    """Fans that a tight house cannot feed are refused, with the pressure that they would need."""
    starved = replace(LEAKY, flow_50=1e-4, exhaust=3e-4)  # 50 3^(1/0.65) = 271 Pa
    with pytest.raises(InputError, match="271 Pa"):
        house_air(starved, still(24.0), 180.0, 90.0, *ROOM)


def test_impossible_rooms_and_tests() -> None:
    """Humidity in percent, a room without volume and the like are refused by name."""
    with pytest.raises(InputError, match="room_rh"):
        house_air(LEAKY, still(24.0), 180.0, 90.0, 24.0, 50.0)
    with pytest.raises(InputError, match="volume"):
        flow_50_from_air_changes(5.0, 0.0, 400.0)
    with pytest.raises(InputError, match="flow"):
        flow_50_from_flow(-1.0, 400.0)
    with pytest.raises(InputError, match="exponent"):
        flow_50_from_flow(1.0, 400.0, exponent=0.3)


def test_air_that_does_not_balance_is_an_error(monkeypatch: pytest.MonkeyPatch) -> None:
    """If the search left anything over, the hour would be named."""
    monkeypatch.setattr(module, "MOST_IMBALANCE", -1.0)
    with pytest.raises(BalanceError, match="hour 0"):
        house_air(LEAKY, still(24.0), 180.0, 90.0, *ROOM)


def test_hours_in_which_the_flow_turns() -> None:
    """From +3 to -1 in an hour: 9/8 inwards, 1/8 outwards, and the mean of both ends is kept."""
    marks = np.zeros(8761)
    marks[10:13] = [3.0, -1.0, -1.0]
    inward, outward = by_direction(marks)
    assert (inward[10], outward[10]) == pytest.approx((1.125, 0.125))
    assert (inward[11], outward[11]) == (0.0, 1.0)
    np.testing.assert_allclose(inward - outward, 0.5 * (marks[:-1] + marks[1:]), atol=1e-15)
    with pytest.raises(InputError, match="8761"):
        by_direction(marks[1:])


def test_water_carried_by_steady_air() -> None:
    """30 degC 75 % against 24 degC 50 %: 10.87 g/kg more, computed; by month as long as the month."""
    year = still(30.0, 0.75)
    water = carried(np.full(8761, 6e-5), year, *ROOM)
    seconds = 86400.0 * np.array(MONTH_DAYS)
    np.testing.assert_allclose(water.surplus_month / (6e-5 * seconds), 10.87e-3, rtol=2e-3)
    np.testing.assert_allclose(water.inward_month / (6e-5 * seconds), 20.15e-3, rtol=2e-3)
    assert np.all(water.outward_month == 0.0)
    out = carried(np.full(8761, -6e-5), year, *ROOM)
    np.testing.assert_allclose(out.outward_month / (6e-5 * seconds), 9.29e-3, rtol=2e-3)
    assert np.all(out.inward_month == 0.0)
    assert np.all(out.surplus_month == 0.0)


def test_bound_of_what_a_leak_can_leave() -> None:
    """0.05 L/(s m2) of 30 degC 75 % on a surface of 24 degC: at most 6.7 g/(m2 day), computed."""
    vapor = 0.75 * saturation_pressure(30.0)
    assert greatest_deposit(5e-5 * 1.2, vapor, 24.0) * 86400e3 == pytest.approx(6.7, abs=0.05)
    assert greatest_deposit(5e-5, vapor, 26.0) == 0.0
    with pytest.raises(InputError, match="flow"):
        greatest_deposit(-1.0, vapor, 24.0)


def test_summary_of_a_stage() -> None:
    """Means of the year are those of the series, and air changes those at 50 Pa times the share."""
    house = miami_house("exhaust")
    leakage = replace(LEAKY, **FANS["exhaust"], stage="before sealing")
    flow = section_air(leakage, miami(), 180.0, 90.0, *ROOM, house=house)
    told = summary(leakage, miami(), house, flow, ach50=7.0)
    assert told.stage == "before sealing"
    assert told.pressure_mean == pytest.approx(np.mean(house.pressure), rel=1e-12)
    assert told.inward_mean - told.outward_mean == pytest.approx(np.mean(flow[1:]), rel=1e-9)
    assert told.air_changes_natural == pytest.approx(7.0 * told.natural_share, rel=1e-12)
    assert told.natural_share == pytest.approx(0.1, rel=0.1)  # the fan's flow over that at 50 Pa
    inward = np.mean(flow > 0.0) * 8760.0
    assert told.inward_hours == pytest.approx(inward, rel=0.02)
    assert summary(leakage, miami(), house, flow).air_changes_natural is None
