"""Air through a section crosses a sealed gap: what enters at one face leaves at the other, exactly."""

from __future__ import annotations

import math

import numpy as np
import pytest
from driven import BARE, HARD_HEAT, HARD_VAPOR, coat, plain_material
from numpy.typing import NDArray

from moistwall.air import AIR_HEAT_CAPACITY
from moistwall.material import Storage
from moistwall.section import Gap, Layer, Section
from moistwall.solver.boundary import loads_of
from moistwall.solver.gap_faces import gap_arrays
from moistwall.solver.grid import build_grid
from moistwall.solver.kernel.airflow import humidity_ratio
from moistwall.solver.kernel.layout import (
    AIR_TEMPERATURE,
    AIR_VAPOR,
    HEAT_A,
    HEAT_B,
    HEAT_FILM,
    MOISTURE_A,
    MOISTURE_B,
    N_END_COLUMNS,
    VAPOR_FILM,
    Record,
)
from moistwall.solver.lanes import join_lanes
from moistwall.solver.march import March

Array = NDArray[np.float64]


def storage() -> Storage:
    """Next to nothing stored, so that a steady state comes soon."""
    return Storage(lambda ln_rh: 1.0 * np.exp(ln_rh), 1.0, 2.0)


def section() -> Section:
    """Two boards with a sealed gap between them and coats on it; no radiation across it."""
    board = plain_material("board", storage(), emittance=1e-9)
    parts = (
        Layer("outer", board, 0.02, 0.5),
        coat("outer coat", 5e-10, emittance=1e-9),
        Gap("gap", 0.02, "sealed", 2.5),
        Layer("inner", board, 0.03, 0.5),
    )
    return Section("crossed", parts, outer=BARE, inner=BARE)


def steady(air: float) -> tuple[Record, int]:
    """Long after both ends were given one state, with air through the section. [kg/(m2 s)]"""
    one = section()
    grid = build_grid(one)
    rows = np.zeros((401, 2 * N_END_COLUMNS + 2))
    for first, temperature, vapor in ((0, 25.0, 1500.0), (N_END_COLUMNS, 20.0, 900.0)):
        rows[:, first + AIR_TEMPERATURE], rows[:, first + AIR_VAPOR] = temperature, vapor
        rows[:, first + HEAT_FILM], rows[:, first + VAPOR_FILM] = HARD_HEAT, HARD_VAPOR
    rows[:, -1] = air
    record = March(join_lanes([grid]), loads_of([rows], [0], 1), start_temperature=22.0).hours(
        0, 400
    )
    return record, grid.gap_special[0]


@pytest.mark.parametrize("air", [1e-3, -1e-3, 1e-5, -1e-5])
def test_what_enters_a_sealed_gap_leaves_it(air: float) -> None:
    """Vapor and heat are the same on both faces of the gap, in every hour."""
    record, s = steady(air)
    flow = record.flow[:, s, :, 0]
    assert np.array_equal(flow[:, MOISTURE_A], flow[:, MOISTURE_B])
    assert np.array_equal(flow[:, HEAT_A], flow[:, HEAT_B])


@pytest.mark.parametrize("air", [1e-4, -1e-4, 1e-5, -1e-5])
def test_steady_vapor_is_that_of_the_resistances_in_series(air: float) -> None:
    """Vapor through boards, coat and gap is a x_1 + c (x_1 - x_2) of all resistances together."""
    record, s = steady(air)
    grid = build_grid(section())
    beta = float(
        np.asarray(gap_arrays(section(), [None, None, section().gaps[0]])["gap_vapor_film"]).max()
    )
    assert grid.n_cells > 10
    resistance = (0.02 + 0.03) / 2e-11 + 1 / 5e-10 + 2 / beta
    x_out, _ = humidity_ratio(1500.0, 101325.0)
    x_in, _ = humidity_ratio(900.0, 101325.0)
    _, slope = humidity_ratio(1200.0, 101325.0)
    peclet = air * slope * resistance
    exact = air * x_out + peclet / math.expm1(peclet) / (slope * resistance) * (x_out - x_in)
    assert record.flow[-1, s, MOISTURE_A, 0] / 3600.0 == pytest.approx(exact, rel=2e-3)


@pytest.mark.parametrize("air", [1e-3, -1e-3])
def test_steady_warmth_is_that_of_the_resistances_in_series(air: float) -> None:
    """Temperatures of both boards lie between those of the ends, and air shifts them its own way."""
    record, _ = steady(air)
    still, _ = steady(0.0)
    middle = record.temperature[-1, :, 0].mean() - still.temperature[-1, :, 0].mean()
    assert middle * air > 0.0
    assert record.temperature[-1].min() >= 20.0 - 0.2
    assert record.temperature[-1].max() <= 25.0 + 0.2
    assert AIR_HEAT_CAPACITY * abs(air) > 1.0
