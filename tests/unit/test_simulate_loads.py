"""The loads of an assembly file reach the solver: rain, leaks, pours, air, a room that is not cooled."""

import dataclasses

import numpy as np
import pytest
from heron_point import example, miami

from moistwall.air import saturation_pressure
from moistwall.errors import AssemblyError
from moistwall.exposure import CoolingOff, Exposure, Leakage, Pour, RainLeak, RainLoad, Spot
from moistwall.loads.driving_rain import driving_rain
from moistwall.section import Layer
from moistwall.solver.boundary import boundary_rows, loads_of, room_air
from moistwall.solver.grid import build_grid
from moistwall.solver.kernel.layout import N_END_COLUMNS, RAIN
from moistwall.solver.lanes import join_lanes
from moistwall.solver.march import March

AFTER_ENDS = 2 * N_END_COLUMNS
LEAK = RainLeak("standard", Spot("sheathing", "outer"), 0.01)
STORM = Pour("storm", Spot("sheathing", "inner"), 100, 5, 2.0)
AIR = Leakage(1e-3, 0.65, 4.0, 0.5, 0.5, exhaust=1e-4)


def exposed(**exposure):
    return dataclasses.replace(example("wall"), exposure=Exposure(**exposure))


def test_rain_on_the_face_is_that_of_the_plane():
    """The rain column holds the driving rain on the wall, hour before its row, in kg/(m2 s)."""
    section = exposed(rain=RainLoad(1.3, 0.5))
    rows = boundary_rows(section, miami())
    expected = driving_rain(miami(), 90.0, 180.0, exposure_factor=1.3, deposition_factor=0.5)
    assert expected.sum() > 100.0
    np.testing.assert_allclose(3600.0 * rows[1:, RAIN], expected, rtol=1e-12)


def test_leaks_take_their_share_and_pours_their_amount():
    """A rain leak is its share of the driving rain; a pour is spread over its hours, and sums up."""
    section = exposed(rain=RainLoad(1.0, 0.35), rain_leaks=(LEAK,), pours=(STORM,))
    rows = boundary_rows(section, miami())
    leak, storm = rows[1:, AFTER_ENDS + 1], rows[1:, AFTER_ENDS + 2]
    np.testing.assert_allclose(leak, 0.01 * rows[1:, RAIN])
    assert 3600.0 * storm.sum() == pytest.approx(2.0)
    assert np.flatnonzero(storm).tolist() == [100, 101, 102, 103, 104]


def test_without_known_rain_there_is_none():
    """A year whose rain is not known brings no rain and no leak; the result says that none is known."""
    section = exposed(rain=RainLoad(1.0, 0.35), rain_leaks=(LEAK,))
    rows = boundary_rows(section, dataclasses.replace(miami(), rain=None))
    assert not rows[:, RAIN].any()
    assert not rows[:, AFTER_ENDS + 1].any()


@pytest.mark.parametrize("spot", [None, Spot("sheathing", "inner")])
def test_air_has_the_last_column_and_goes_inward_with_an_exhaust_fan(spot):
    """Air through the section, or along a short cut, has the last column; exhaust fans draw it in."""
    section = exposed(leakage=dataclasses.replace(AIR, spot=spot, exhaust=4e-4))
    rows = boundary_rows(section, miami())
    assert rows.shape[1] == AFTER_ENDS + 2
    assert rows[:, -1].min() > 0.0
    march = March(join_lanes([build_grid(section)]), loads_of([rows], [0], 1, 0))
    assert march.control.air_column == (AFTER_ENDS + 1 if spot is None else -1)


def test_water_columns_hold_for_an_hour_and_air_is_linear():
    """Rain and what leaks in are constant over an hour; the air of a short cut is not."""
    exposure = {
        "rain": RainLoad(1.0, 0.35),
        "rain_leaks": (LEAK,),
        "pours": (STORM,),
        "leakage": dataclasses.replace(AIR, spot=Spot("sheathing", "inner")),
    }
    rows = boundary_rows(exposed(**exposure), miami())
    is_step = loads_of([rows], [0], 1, 2).is_step
    assert is_step[AFTER_ENDS:].tolist() == [0, 1, 1, 0]


def test_a_room_that_is_not_cooled_follows_the_day_before():
    """Temperature and vapor pressure are the means of the hours before; outside of them all is as set."""
    off = CoolingOff("failure", "cooling off", 5000, 240, mean_hours=24, warmer=2.0)
    temperature, rh = room_air(exposed(cooling_off=(off,)), miami())
    outdoor, vapor = miami().temperature, miami().vapor_pressure
    assert temperature[5100] == pytest.approx(outdoor[5077:5101].mean() + 2.0)
    expected = vapor[5077:5101].mean() / saturation_pressure(temperature[5100])
    assert rh[5100] == pytest.approx(float(expected))
    set_to = example("wall").room_temperature
    assert np.all(temperature[:5000] == set_to)
    assert np.all(temperature[5240:] == set_to)
    assert np.all(rh <= 1.0)


def test_a_wet_layer_starts_with_its_content():
    """A layer's content at the start is what its cells carry, above saturation too."""
    wall = example("wall")
    material = next(part for part in wall.layers if part.name == "sheathing").material
    for content in (50.0, 0.5 * (material.storage.free + material.storage.holds)):
        parts = tuple(
            dataclasses.replace(part, initial_content=content) if part.name == "sheathing" else part
            for part in wall.parts
        )
        section = dataclasses.replace(wall, parts=parts)
        grid = build_grid(section)
        rows = boundary_rows(section, miami())
        march = March(join_lanes([grid]), loads_of([rows], [0], 1))
        names = [part.name for part in section.parts]
        own = (grid.part_cell == names.index("sheathing")) & ~grid.is_skin
        stored = march.stored()[0][own, 0].sum()
        thickness = next(part for part in section.layers if part.name == "sheathing").thickness
        assert stored == pytest.approx(content * thickness, rel=1e-3)


def test_a_spot_in_a_layer_that_is_not_there_is_refused():
    """Water cannot land on a layer that the section does not have."""
    with pytest.raises(AssemblyError, match="names no layer"):
        exposed(pours=(dataclasses.replace(STORM, spot=Spot("plywood", "outer")),))
    assert any(isinstance(part, Layer) for part in example("wall").parts)
