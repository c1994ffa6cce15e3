"""Hours of wetness: every count against a count by hand, and the Miami year against its record."""

from __future__ import annotations

import importlib.util
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from heron_point import miami, year
from numpy.typing import NDArray

from moistwall.air import saturation_pressure
from moistwall.assess.condensation import (
    LEAST_GAIN,
    LEAST_LIQUID,
    WetHours,
    longest_stretch,
    sheltered_outdoor_air,
    wet_hours,
)
from moistwall.result import Balance, Place, Result, SolverReport

Array = NDArray[np.float64]
DAY = 24


def made(
    temperature: float | Array = 25.0,
    rh: float | Array = 0.5,
    *,
    outdoor_dew_point: float | Array = 10.0,
    room_dew_point: float | Array = 10.0,
    liquid: float | Array = 0.0,
    condensed: float | Array = 0.0,
    n_hours: int = DAY,
) -> Result:
    """One place in air of given dew points; what the assessment does not read is empty."""

    def hourly(value: float | Array) -> Array:
        return np.broadcast_to(np.asarray(value, float), (n_hours,)).copy()

    none = np.zeros((n_hours, 0))
    return Result(
        **dict.fromkeys(
            ("section_name", "climate_name", "climate_place", "climate_source", "version"), "made"
        ),
        **dict.fromkeys(("notes", "defaults", "from_memory", "parts", "gaps", "arrivals"), ()),
        **dict.fromkeys(("water_control", "seams"), ""),
        tilt=90.0,
        azimuth=180.0,
        places=(Place("wool | board", "b", "board", False, False, 0.2, 1),),
        balance=Balance(0.0, 0.0, 0.0, 0.0, (0.0,)),
        solver=SolverReport(0.0, 1, n_hours, 0, n_hours, 0, 0, 1),
        x_cell=np.zeros(0),
        width_cell=np.zeros(0),
        part_cell=np.zeros(0, dtype=np.int64),
        skin_cell=np.zeros(0, dtype=np.int64),
        outdoor_temperature=hourly(30.0),
        outdoor_vapor=saturation_pressure(hourly(outdoor_dew_point)),
        room_temperature=hourly(24.0),
        room_vapor=saturation_pressure(hourly(room_dew_point)),
        rain_outer=hourly(0.0),
        first_year_part=none,
        sorption_rh=np.zeros(0),
        sorption_part=none,
        water_arrival=none,
        air_flow=hourly(0.0),
        temperature_place=hourly(temperature)[:, None],
        rh_place=hourly(rh)[:, None],
        liquid_place=hourly(liquid)[:, None],
        condensed_place=hourly(condensed)[:, None],
        water_cell=np.zeros((2, 0)),
        **dict.fromkeys(
            ("temperature_cell", "rh_cell", "content_cell", "drained_cell", "air_changes_gap"), none
        ),
        **dict.fromkeys(
            ("vapor_a", "vapor_b", "moisture_a", "moisture_b", "heat_a", "heat_b"), none
        ),
    )


def only(result: Result) -> WetHours:
    """Return the row of the only place."""
    (row,) = wet_hours(result)
    return row


def test_a_row_names_its_place() -> None:
    """Name, side, layer and both marks are those of the place."""
    row = only(made())
    assert (row.name, row.side, row.part) == ("wool | board", "b", "board")
    assert (row.surface, row.outboard) == (False, False)
    turned = made()
    turned = replace(turned, places=(Place("air", "a", "siding", True, True, 0.0, 0),))
    row = only(turned)
    assert (row.side, row.surface, row.outboard) == ("a", True, True)


def test_means() -> None:
    """Means are those of the hours: 20 and 30 degC give 25, 40 and 60 % give 50."""
    row = only(made(np.tile([20.0, 30.0], 12), np.tile([0.4, 0.6], 12)))
    assert row.temperature_mean == pytest.approx(25.0, abs=1e-12)
    assert row.rh_mean == pytest.approx(0.5, abs=1e-12)


@pytest.mark.parametrize(("percent", "limit"), [(80, 0.80), (90, 0.90), (95, 0.95)])
def test_a_limit_counts_from_itself_on(percent: int, limit: float) -> None:
    """An hour at the limit counts; 0.2 % and 0.4 % on either side only move the bracket as they must."""
    offsets = np.array([0.0, -0.002, 0.002, -0.004, 0.004, -0.1])
    row = only(made(rh=limit + offsets, n_hours=6))
    assert getattr(row, f"hours_rh_{percent}") == 3  # 0, +0.2, +0.4 %
    # 0.3 % lower only +0.4 % is left; 0.3 % higher, -0.2 % has come in
    assert getattr(row, f"hours_rh_{percent}_range") == (1, 4)


def test_round_off_does_not_decide() -> None:
    """Eight tenths made in different ways all stand at 80 %, and 0.3 % below it at the bracket's end."""
    eights = np.array([0.8, 0.1 * 8, 1.0 - 0.2, 0.7 + 0.1, 2.4 / 3.0, np.nextafter(0.8, 0.0)])
    assert len(set(eights.tolist())) > 1
    assert only(made(rh=eights, n_hours=6)).hours_rh_80 == 6
    assert only(made(rh=eights - 0.003, n_hours=6)).hours_rh_80_range == (0, 6)
    assert only(made(rh=eights + 0.003, n_hours=6)).hours_rh_80_range == (6, 6)


@pytest.mark.parametrize(
    ("wet", "longest"),
    [
        ("......", 0),
        ("######", 6),
        (".#....", 1),
        ("##.###", 5),
        ("#.##.#", 2),
        ("##.#.#", 3),
        (".##.#.", 2),
        (".#.###", 3),
        ("###.#.", 3),
        ("#.....", 1),
        (".....#", 1),
    ],
)
def test_longest_stretch_joins_the_years_ends(wet: str, longest: int) -> None:
    """Stretches counted by eye; one that begins at the year's end goes on at its start."""
    hours = np.array([mark == "#" for mark in wet])
    assert longest_stretch(hours) == longest


def test_longest_stretch_does_not_depend_on_where_the_year_begins() -> None:
    """Random hours turned by any number of hours keep their longest stretch, counted hour by hour."""
    wet = np.random.default_rng(2).random(60) < 0.7
    best = run = 0
    for hour in np.concatenate((wet, wet)):  # twice round the year, no stretch is cut
        run = run + 1 if hour else 0
        best = max(best, run)
    assert 3 < best < 60
    assert {longest_stretch(np.roll(wet, turn)) for turn in range(60)} == {best}


def test_longest_wet_hours_is_the_stretch_at_80_percent() -> None:
    """Three hours at the end and four at the start at 80 % exactly make seven; 79.9 % parts them."""
    rh = np.full(DAY, 0.6)
    rh[-3:] = rh[:4] = 0.8
    rh[10:15] = 0.99
    assert only(made(rh=rh)).longest_wet_hours == 7
    rh[0] = 0.799
    assert only(made(rh=rh)).longest_wet_hours == 5


def test_risk_is_less_than_one_kelvin_above_the_dew_point() -> None:
    """Places 0, 0.5 and 0.99 K above their dew point are at risk; 1 K exactly, 1.01 K and 5 K are not."""
    above = np.array([0.0, 0.5, 0.99, 1.0, 1.01, 5.0])
    for t in (-20.0, 0.5, 10.0, 25.0, 60.0):
        rh = saturation_pressure(t - above) / saturation_pressure(np.full(6, t))
        for last_digit in (rh, np.nextafter(rh, 0.0), np.nextafter(rh, 2.0)):
            assert only(made(t, last_digit, n_hours=6)).condensation_risk_hours == 3


def test_risk_against_a_published_dew_point() -> None:
    """At 20 degC and 95 % the dew point is 0.83 K below, at 93 % 1.17 K (formulas of ISO 13788)."""

    def below(rh: float) -> float:
        # ISO 13788 annex E: p_sat = 610.5 exp(17.269 t / (237.3 + t)), turned round
        y = np.log(rh) + 17.269 * 20.0 / 257.3
        return 20.0 - 237.3 * y / (17.269 - y)

    assert below(0.95) == pytest.approx(0.83, abs=0.005)
    assert below(0.93) == pytest.approx(1.17, abs=0.005)
    assert only(made(20.0, 0.95)).condensation_risk_hours == DAY
    assert only(made(20.0, 0.93)).condensation_risk_hours == 0


def test_a_very_dry_place_has_an_answer() -> None:
    """At 25 degC and 0.01 % RH, whose frost point is below -60 degC, nothing is at risk."""
    row = only(made(25.0, 1e-4))
    assert (row.condensation_risk_hours, row.hours_rh_80, row.longest_wet_hours) == (0, 0, 0)


def test_liquid_and_condensing_hours_count_above_their_thresholds() -> None:
    """Of none, half, exactly, twice and ten times the threshold the last two count, each of its own."""
    multiples = np.array([0.0, 0.5, 1.0, 2.0, 10.0])
    row = only(made(liquid=LEAST_LIQUID * multiples, n_hours=5))
    assert (row.liquid_hours, row.condensing_hours) == (2, 0)
    row = only(made(condensed=LEAST_GAIN * multiples, n_hours=5))
    assert (row.liquid_hours, row.condensing_hours) == (0, 2)


def test_contact_hours_by_hand() -> None:
    """A place at 20 degC: outdoor dew points above 20 count, those above 21 and 19 make the bracket."""
    dew_points = np.array([18.5, 19.5, 20.0, 20.5, 20.9, 21.5, 10.0, 25.0])
    row = only(made(20.0, outdoor_dew_point=dew_points, n_hours=8))
    assert row.contact_hours_outdoor_air == 4  # 20.5, 20.9, 21.5, 25; not 20 itself
    assert row.contact_hours_outdoor_air_range == (2, 6)
    assert (row.contact_hours_room_air, row.contact_hours_room_air_range) == (0, (0, 0))


def test_contact_hours_of_room_air_by_hand() -> None:
    """Room air at a dew point of 16.7 degC touches places of 14, 16 and 16.5, not 17, 17.5 and 20."""
    t = np.array([14.0, 16.0, 16.5, 17.0, 17.5, 20.0])
    row = only(made(t, room_dew_point=16.7, outdoor_dew_point=-5.0, n_hours=6))
    assert row.contact_hours_room_air == 3
    assert row.contact_hours_room_air_range == (1, 5)
    assert (row.contact_hours_outdoor_air, row.contact_hours_outdoor_air_range) == (0, (0, 0))


def test_contact_needs_no_humidity_of_the_place() -> None:
    """A leak's air touches a dry place as it does a damp one."""
    counts = {
        only(made(20.0, rh, outdoor_dew_point=np.linspace(15, 25, DAY))).contact_hours_outdoor_air
        for rh in (0.05, 0.5, 1.0)
    }
    assert counts == {12}


@pytest.mark.parametrize(("fahrenheit", "hours"), [(78, 3), (75, 255), (72, 2106), (70, 3276)])
def test_room_setpoint_decides_the_contact_hours_in_miami(fahrenheit: int, hours: int) -> None:
    """Miami air touches a surface 0.3 K above the setpoint in 3, 255, 2106 and 3276 hours.

    Counted from the dew points of the same TMY2 record by other code. None is closer than 0.01 K.
    """
    surface = (fahrenheit - 32.0) / 1.8 + 0.3
    weather = miami()
    assert int((weather.dew_point > surface).sum()) == hours
    row = only(made(surface, outdoor_dew_point=weather.dew_point, n_hours=8760))
    assert row.contact_hours_outdoor_air == hours
    fewest, most = row.contact_hours_outdoor_air_range or (0, 0)
    assert fewest == int((weather.dew_point > surface + 1.0).sum()) < hours
    assert most == int((weather.dew_point > surface - 1.0).sum()) > hours


@pytest.fixture(scope="module")
def sheltered() -> WetHours:
    """Miami's air, as the run of the example wall reports it."""
    return sheltered_outdoor_air(year("wall"))


def test_sheltered_air_of_miami(sheltered: WetHours) -> None:
    """Miami's air alone is at 80 % or more in 2763 hours and at 90 % in 926, mean 72.5 %, 24.3 degC.

    Computed from temperature and dew point of the TMY2 record by other code and other formulas for
    saturation; hours at the limit itself may differ.
    """
    assert sheltered.hours_rh_80 == pytest.approx(2763, abs=5)
    assert sheltered.hours_rh_90 == pytest.approx(926, abs=5)
    assert sheltered.rh_mean == pytest.approx(0.725, abs=0.001)
    assert sheltered.temperature_mean == pytest.approx(24.3, abs=0.05)


def test_sheltered_air_against_the_humidity_column_of_the_record(sheltered: WetHours) -> None:
    """The record's own humidity is rounded to whole percents: it agrees with the hours from 79.5 %.

    Columns 80-82 of the TMY2 file. Temperature and dew point are rounded to 0.1 K there, which
    moves single hours by up to 2.5 % RH: counts agree within 1 %, and rounding alone parts the
    2803 and 997 hours of the column from those of this row.
    """
    found = importlib.util.find_spec("pvlib")
    assert found is not None
    assert found.origin is not None
    text = (Path(found.origin).parent / "data" / "12839.tm2").read_text(encoding="ascii")
    column = np.array([int(line[79:82]) for line in text.splitlines()[1:]])
    assert column.size == 8760
    rh = miami().relative_humidity
    for percent, hours in ((80, sheltered.hours_rh_80), (90, sheltered.hours_rh_90)):
        in_column = int((column >= percent).sum())
        assert in_column == pytest.approx(int((rh >= percent / 100.0 - 0.005).sum()), rel=0.01)
        assert hours < in_column


def test_sheltered_air_at_risk_is_its_spread_in_tenths(sheltered: WetHours) -> None:
    """Risk hours of air are those whose spread is below 10 tenths of a kelvin; exactly 10 is not."""
    weather = miami()
    tenths = np.rint(10.0 * (weather.temperature - weather.dew_point)).astype(int)
    assert int((tenths == 10).sum()) > 0
    assert sheltered.condensation_risk_hours == int((tenths < 10).sum())


def test_sheltered_air_has_no_liquid_and_no_contact(sheltered: WetHours) -> None:
    """What has no meaning for air is None, not 0; all else is a number."""
    none = {name for name, value in vars(sheltered).items() if value is None}
    assert none == {
        "condensing_hours",
        "liquid_hours",
        "contact_hours_outdoor_air",
        "contact_hours_outdoor_air_range",
        "contact_hours_room_air",
        "contact_hours_room_air_range",
    }
    assert (sheltered.name, sheltered.side) == ("sheltered outdoor air", "")


def test_brackets_hold_their_counts_on_a_real_year() -> None:
    """On the example roof every bracket holds its count, and stricter limits count fewer hours."""
    result = year("roof")
    rows = wet_hours(result)
    assert [(row.name, row.side) for row in rows] == [(p.name, p.side) for p in result.places]
    for row in (*rows, sheltered_outdoor_air(result)):
        for name, bracket in vars(row).items():
            if name.endswith("_range") and bracket is not None:
                assert 0 <= bracket[0] <= getattr(row, name.removesuffix("_range")) <= bracket[1]
        assert row.hours_rh_95 <= row.hours_rh_90 <= row.hours_rh_80
        assert row.longest_wet_hours <= row.hours_rh_80
    assert max(row.hours_rh_95 for row in rows) > 1000
    assert max(row.contact_hours_outdoor_air or 0 for row in rows) > 500


def test_dew_on_the_steel_is_gained_at_saturation_and_in_fewer_hours_than_it_stays() -> None:
    """On the steel over-roof dew is at risk longer than it lies, and it lies longer than it falls."""
    row = wet_hours(year("roof"))[0]
    assert row.condensing_hours is not None
    assert row.liquid_hours is not None
    assert 300 < row.condensing_hours < row.liquid_hours < row.condensation_risk_hours
