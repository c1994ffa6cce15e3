"""What is written at an hour's end does not depend on how long the lanes beside it went on."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from moistwall.climate.read import read_climate
from moistwall.library import find_climate_path, find_material
from moistwall.section import Face, Layer, Section
from moistwall.solver.boundary import boundary_rows, loads_of
from moistwall.solver.grid import build_grid
from moistwall.solver.kernel.layout import Record
from moistwall.solver.lanes import join_lanes
from moistwall.solver.march import March

HOURS = 200
SUMMER = 4000


def varying_section() -> Section:
    """A board whose conductivity changes with water and temperature, so that its joint shifts."""
    board = replace(
        find_material("OSB"),
        conductivity_content=np.array([0.0, 300.0]),
        conductivity=np.array([0.1, 0.3]),
        conductivity_slope=0.003,
    )
    return Section(
        "boards",
        (Layer("outer", board, 0.012), Layer("inner", find_material("gypsum board"), 0.0127)),
    )


def marched(sections: list[Section], swing: float) -> Record:
    """Some summer days, with air through the sections that swings from hour to hour."""
    climate = read_climate(find_climate_path("miami"))
    rows: list[NDArray[np.float64]] = []
    for section in sections:
        own = boundary_rows(section, climate)
        air = swing * np.sin(np.arange(own.shape[0]) / 5.0)
        rows.append(np.column_stack((own, air)) if swing else own)
    lanes = join_lanes([build_grid(section) for section in sections])
    return March(lanes, loads_of(rows, list(range(len(sections))), 0)).hours(SUMMER, HOURS)


@pytest.mark.parametrize("swing", [0.0, 1e-4])
def test_every_array_is_the_same_alone_and_in_company(swing: float) -> None:
    """Bytes are equal though the neighbors take other steps, conductivity varies and air swings."""
    own = varying_section()
    hot = replace(own, outer=Face(0.9, 0.95), azimuth=270.0)
    flat = replace(own, outer=Face(0.9, 0.95), tilt=10.0)
    alone, company = marched([own], swing), marched([hot, own, flat], swing)
    assert len({int(steps) for steps in company.counts[0]}) > 1
    for name, here, there in zip(Record._fields, alone, company, strict=True):
        assert np.array_equal(here[..., 0], there[..., 1]), name
