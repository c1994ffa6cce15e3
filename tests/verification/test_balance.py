"""What was solved closes, and what does not close or converge is refused.

Balances are recomputed from recorded states and boundary flows, outside the kernel.
"""

import numpy as np
import pytest
from driven import Air, Driven, bare_section, net_flow
from heron_point import example, miami, year

from moistwall.closing import closed_balance, refuse_temperatures
from moistwall.errors import BalanceError, ConvergenceError, InputError
from moistwall.library import find_material
from moistwall.section import Gap, Layer
from moistwall.simulate import simulate
from moistwall.solver.kernel.layout import HEAT_A, MOISTURE_B

MOISTURE, HEAT = 1e-9, 1e-6
DRIFT, DRIFT_TEMPERATURE = 1e-3, 0.02  # of free saturation, K


@pytest.mark.parametrize("name", ["wall", "wall-no-foam-vinyl", "roof"])
def test_a_year_closes(name):
    """Walls and roof in Miami: moisture to 1e-9, heat to 1e-6, drift of storage within its limits."""
    balance = year(name).balance
    assert balance.moisture_relative <= MOISTURE
    assert balance.heat_relative <= HEAT
    assert balance.storage_drift <= DRIFT
    assert balance.storage_drift_temperature <= DRIFT_TEMPERATURE
    assert balance.yearly_change[-1] < 0.01


@pytest.mark.parametrize("name", ["wall", "roof"])
def test_saved_arrays_close_too(name):
    """The same from what a result holds alone: water at both ends of the year, and flows."""
    result = year(name)
    into = result.moisture_b[:, 0].sum() - result.moisture_a[:, -1].sum()
    for gap in result.gaps:
        into += (result.moisture_b[:, gap.face] - result.moisture_a[:, gap.face]).sum()
    left = into - result.drained_cell.sum() - (result.water_cell[1] - result.water_cell[0]).sum()
    assert abs(left) < 1e-9 * np.abs(result.moisture_b[:, 0]).sum()


@pytest.fixture(scope="module")
def soaked():
    """Four days of rain, dew and drying on siding before a gap, and what was stored before."""
    section = bare_section(
        "soaked",
        [
            Layer("siding", find_material("fiber cement"), 0.008, 0.9),
            Gap("gap", 0.02, "ventilated", 5.0),
            Layer("sheathing", find_material("OSB"), 0.011, 0.8),
        ],
    )
    hours = 96
    hour = np.arange(hours + 1)
    t = 22.0 + 8.0 * np.sin(2.0 * np.pi * hour / 24.0)
    rain = np.where((hour % 24 > 3) & (hour % 24 <= 9), 3e-4, 0.0)
    outer = Air(t, 2300.0, heat_film=15.0, vapor_film=1e-7, rain=rain)
    inner = Air(24.0, 1500.0, heat_film=8.0, vapor_film=3e-8)
    driven = Driven(section, outer, inner, hours, air_changes=(40.0,))
    before = [stored[:, 0].copy() for stored in driven.march.stored()]
    return driven, driven.run(), before


def balance_of(driven, record, before):
    return closed_balance(driven.grid, record, *before, ())


def test_rain_dew_and_runoff_close(soaked):
    """Water that ran off is within the balance, and every hour closes by itself."""
    driven, record, before = soaked
    assert record.drained.sum() > 1.0  # kg/m2
    balance = balance_of(driven, record, before)
    assert balance.moisture_relative <= MOISTURE
    assert balance.heat_relative <= HEAT
    stored = np.concatenate(([before[0].sum()], driven.water(record)))
    np.testing.assert_allclose(
        np.diff(stored), net_flow(record, driven.grid, "moisture"), atol=1e-12
    )


@pytest.mark.parametrize(
    ("column", "change", "named"),
    [(MOISTURE_B, 1e-6, "moisture balance"), (HEAT_A, 100.0, "heat balance")],
)
def test_a_changed_flow_is_noticed(soaked, column, change, named):
    """One milligram, or 100 J, in one hour's flow, and the balance is refused by name."""
    driven, record, before = soaked
    flow = record.flow.copy()
    flow[50, 0 if column == MOISTURE_B else -1, column, 0] += change
    with pytest.raises(BalanceError, match=named):
        balance_of(driven, record._replace(flow=flow), before)


def test_lost_water_is_noticed(soaked):
    """Water that ran off and was not counted is refused."""
    driven, record, before = soaked
    with pytest.raises(BalanceError, match="moisture balance"):
        balance_of(driven, record._replace(drained=0.0 * record.drained), before)


@pytest.mark.parametrize(("row", "limit"), [(0, DRIFT), (1, DRIFT_TEMPERATURE)])
@pytest.mark.parametrize("factor", [1.01, np.nan])
def test_drift_over_its_limit_is_refused(soaked, row, limit, factor):
    """A drift of storage just over its limit, or not a number, is refused; below it is accepted."""
    driven, record, before = soaked
    drift = np.zeros_like(record.drift)
    drift[row, 0] = 0.99 * limit
    balance_of(driven, record._replace(drift=drift), before)
    drift[row, 0] = factor * limit
    with pytest.raises(BalanceError, match="storage drift"):
        balance_of(driven, record._replace(drift=drift), before)


def test_no_solution_is_an_error_that_says_where():
    """Air that is not a number from hour 5 on has no solution: hour, cell and layer are named."""
    section = bare_section("board", [Layer("board", find_material("OSB"), 0.011, 0.6)])
    vapor = np.full(13, 1500.0)
    vapor[6:] = np.nan
    outer = Air(25.0, vapor, heat_film=10.0, vapor_film=7e-8)
    driven = Driven(section, outer, Air(22.0, 1300.0, 8.0, 3e-8), 12)
    with pytest.raises(ConvergenceError) as caught:
        driven.run()
    assert caught.value.hour == 5
    assert caught.value.layer == "board"
    assert 0 <= caught.value.cell < driven.grid.n_cells
    assert "hour 5" in str(caught.value)


def test_no_solution_in_a_lane_names_its_hour_in_any_chunk():
    """The hour that is named counts from the start of the loads, however the hours are cut."""
    section = bare_section("board", [Layer("board", find_material("OSB"), 0.011, 0.6)])
    t = np.full(41, 25.0)
    t[31:] = np.nan
    for chunk in (1, 7, 730):
        outer = Air(t, 1500.0, heat_film=10.0, vapor_film=7e-8)
        driven = Driven(section, outer, Air(22.0, 1300.0, 8.0, 3e-8), 40)
        with pytest.raises(ConvergenceError) as caught:
            driven.run(chunk=chunk)
        assert caught.value.hour == 30


def test_a_run_tells_how_far_it_is():
    """Progress grows to the hours of the year, and years are counted from 1."""
    told = []
    simulate(example("wall-no-foam"), miami(), tell=told.append, most_years=1)
    assert [each.hours for each in told] == sorted(each.hours for each in told)
    assert told[-1].hours == 8760
    assert {each.year for each in told} == {1}


def test_a_sealed_section_closes():
    """Where no water comes or goes but by round-off, the balance is measured against what is stored."""
    section = bare_section("sealed", [Layer("board", find_material("OSB"), 0.05)])
    swing = 20.0 + 10.0 * np.sin(2.0 * np.pi * np.arange(49) / 24.0)
    outer = Air(swing, 1169.0, heat_film=8.0, vapor_film=0.0)
    inner = Air(20.0, 1169.0, heat_film=8.0, vapor_film=0.0)
    driven = Driven(section, outer, inner, 48)
    before = [stored[:, 0].copy() for stored in driven.march.stored()]
    assert balance_of(driven, driven.run(), before).moisture_relative <= MOISTURE


def test_a_temperature_out_of_range_is_refused(soaked):
    """Above 110 degC and below -60 degC no pressure of saturated air is known: refused by layer and hour."""
    driven, record, _ = soaked
    temperature = record.temperature[..., 0].copy()
    refuse_temperatures(driven.grid, temperature, "x")
    for value in (110.1, -60.1, np.nan):
        temperature[30, -1] = value
        with pytest.raises(InputError, match="hour 31, sheathing"):
            refuse_temperatures(driven.grid, temperature, "x")
