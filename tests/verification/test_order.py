"""Order in time and in space, measured on a wall under smooth loads.

The scheme in time is of second order (SDIRK2, Alexander 1977, SIAM J. Numer. Anal. 14(6)), and so are
cell-centered differences on cells that are all split alike. Loads are straight lines between hours,
and steps end on the hours, so that no step runs over a corner.
"""

import numpy as np
import pytest
from driven import Air, Driven, bare_section, coat, humid

from moistwall.library import find_material
from moistwall.section import Gap, Layer
from moistwall.solver.march import Accuracy

HOURS = 36
SETTLED = 11
"""First hour compared: the start from rest is smooth, but no wave yet. [h]"""

LEAST, MOST = 1.8, 2.4


def observed_order(step, error):
    """Slope of the logarithm of the error over that of the step, by least squares."""
    return float(np.polyfit(np.log(step), np.log(error), 1)[0])


def assert_second_order(step, error):
    """Fail unless the error falls with about the square of the step."""
    assert np.all(np.diff(error) < 0.0)
    assert LEAST < observed_order(step, error) < MOST


def drive(fixed, refine, tolerance):
    """The wall through its loads; temperature and humidity at all joints, and its water."""
    section = bare_section(
        "wall",
        [
            Layer("siding", find_material("fiber cement"), 0.008, 0.6),
            Gap("gap", 0.02, "ventilated", 5.0),
            Layer("sheathing", find_material("OSB"), 0.011, 0.6),
            Layer("wool", find_material("mineral wool"), 0.14, 0.6),
            coat("sheet", 3e-10),
            Layer("lining", find_material("gypsum board"), 0.0127, 0.6),
        ],
    )
    wave = 0.5 - 0.5 * np.cos(2.0 * np.pi * np.arange(HOURS + 1) / 24.0)
    start = humid(20.0, 0.6).vapor
    driven = Driven(
        section,
        Air(20.0 + 15.0 * wave, start + 600.0 * wave, heat_film=15.0, vapor_film=1e-7),
        Air(20.0 + 3.0 * wave, start - 300.0 * wave, heat_film=8.0, vapor_film=3e-8),
        HOURS,
        air_changes=(30.0,),
        refine=refine,
        accuracy=Accuracy(tolerance=tolerance, fixed=fixed),
    )
    record = driven.run()
    return (
        record.side_temperature[SETTLED:, 1:-1],
        record.side_humidity[SETTLED:, 1:-1],
        driven.water(record)[SETTLED:],
    )


def errors(found, reference):
    """Root-mean-square distance of each run from the reference, a row for each quantity."""
    return np.array(
        [
            [np.sqrt(np.mean((one[k] - reference[k]) ** 2)) for one in found]
            for k in range(len(reference))
        ]
    )


QUANTITIES = ("temperature", "humidity", "water")


@pytest.fixture(scope="module")
def in_time():
    """Steps an hour, and errors against 128 steps an hour."""
    steps = [1, 2, 4, 8]
    found = [drive(n, 1, 1e-5) for n in steps]
    return 1.0 / np.array(steps), errors(found, drive(128, 1, 1e-5))


@pytest.fixture(scope="module")
def in_space():
    """Width of the cells, and errors against cells a sixteenth as wide, at four steps an hour."""
    refine = [1, 2, 4]
    found = [drive(4, k, 1e-4) for k in refine]
    return 1.0 / np.array(refine), errors(found, drive(4, 16, 1e-4))


@pytest.mark.parametrize("quantity", range(3), ids=QUANTITIES)
def test_second_order_in_time(in_time, quantity):
    """Half the step leaves a quarter of the error."""
    step, error = in_time
    assert_second_order(step, error[quantity])


@pytest.mark.parametrize("quantity", range(3), ids=QUANTITIES)
def test_second_order_in_space(in_space, quantity):
    """Cells half as wide leave a quarter of the error."""
    width, error = in_space
    assert_second_order(width, error[quantity])


def test_first_order_is_told_apart():
    """The same check fails on backward Euler, which is of first order, and passes on midpoints."""
    step = 1.0 / np.array([8, 16, 32, 64])
    euler = np.abs((1.0 + step) ** (-1.0 / step) - np.exp(-1.0))
    midpoint = np.abs(((1.0 - 0.5 * step) / (1.0 + 0.5 * step)) ** (1.0 / step) - np.exp(-1.0))
    assert_second_order(step, midpoint)
    with pytest.raises(AssertionError):
        assert_second_order(step, euler)
