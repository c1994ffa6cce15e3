"""The mold index against its published equations: steady conditions, decline, limits.

Values marked [computed] come from the equations of Hukka and Viitanen 1999 (Wood Sci. Technol. 33) and the
classes of Ojanen et al. 2010 (Buildings XI) by explicit steps of an hour, done by hand outside of this project.
The equations and the table are from memory, so what is tested is that the code does what they say. Berger et al.
2018 (arXiv 1804.02992) found fitted parameters of this model unreliable: no measurement is compared.
"""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from moistwall.assess.mold import (
    CLASSES,
    critical_humidity,
    decline_rate,
    growth_terms,
    index_history,
    weeks_to_first_growth,
)

Array = NDArray[np.float64]

STEADY = [
    # class, degC, RH, M_max, dM/dt at M = 0, index after 7, 30, 60, 90, 180 days
    ("very sensitive", 20.0, 0.90, 3.995, 1.4164e-3, (0.238, 1.038, 3.029, 3.964, 3.995)),
    ("very sensitive", 25.0, 0.90, 4.000, 1.6485e-3, (0.277, 1.372, 3.555, 3.997, 4.000)),
    ("very sensitive", 20.0, 0.97, 5.504, 4.0123e-3, (0.674, 4.701, 5.504, 5.504, 5.504)),
    ("sensitive", 25.0, 0.95, 4.237, 1.7564e-3, (0.295, 1.177, 2.019, 2.848, 4.209)),
    ("resistant", 25.0, 0.95, 1.556, 9.75e-5, (0.016, 0.070, 0.140, 0.209, 0.413)),
]
"""[computed]"""


def steady(name: str, t: float, rh: float, days: int, start: float = 0.0) -> Array:
    """Return the index at the end of each hour in steady conditions, without decline."""
    one = CLASSES[name]
    rate, largest = growth_terms(np.full(24 * days, t), np.full(24 * days, rh), one)
    return index_history(rate, largest, np.zeros_like(rate), one, start)


@pytest.mark.parametrize(("name", "t", "rh", "most", "first", "index"), STEADY)
def test_steady_growth(
    name: str, t: float, rh: float, most: float, first: float, index: tuple[float, ...]
) -> None:
    """Growth in steady air is that of the equations, at the start, through half a year, and in the limit."""
    one = CLASSES[name]
    rate, largest = growth_terms(np.array([t]), np.array([rh]), one)
    assert largest[0] == pytest.approx(most, abs=6e-4)
    at_zero = rate[0] * one.slow * (1.0 - np.exp(-2.3 * largest[0]))
    assert at_zero == pytest.approx(first, rel=1e-3)
    history = steady(name, t, rh, 180)
    assert [history[24 * day - 1] for day in (7, 30, 60, 90, 180)] == pytest.approx(index, abs=6e-4)


@pytest.mark.parametrize(
    ("name", "t", "rh", "to_one", "to_three"),
    [
        ("very sensitive", 20.0, 0.90, 29.5, 59.5),
        ("very sensitive", 25.0, 0.90, 25.3, 51.2),
        ("very sensitive", 20.0, 0.97, 10.4, 20.8),
        ("sensitive", 25.0, 0.95, 23.8, 95.7),
        ("resistant", 25.0, 0.95, 469.0, None),
    ],
)
def test_days_to_first_and_to_visible_growth(
    name: str, t: float, rh: float, to_one: float, to_three: float | None
) -> None:
    """Days until the index is 1 and 3 [computed]; a resistant surface never gets to 3."""
    history = steady(name, t, rh, 600)
    assert (int(np.argmax(history >= 1.0)) + 1) / 24.0 == pytest.approx(to_one, abs=0.5)
    if to_three is None:
        assert history.max() < 3.0
    else:
        assert (int(np.argmax(history >= 3.0)) + 1) / 24.0 == pytest.approx(to_three, abs=0.05)


def test_weeks_to_first_growth_on_pine() -> None:
    """Pine sapwood at 20 degC: 4.202 weeks at 90 % and 1.484 weeks at 97 % [computed]."""
    weeks = weeks_to_first_growth(np.array([20.0, 20.0]), np.array([0.90, 0.97]), 0.0)
    assert weeks == pytest.approx([4.202, 1.484], rel=1e-3)


def test_critical_humidity() -> None:
    """The critical humidity of wood falls from 97 % at 1 degC to 80 % at 20 degC [computed]."""
    t = np.array([1.0, 5.0, 10.0, 15.0, 20.0, 20.1, 40.0])
    wanted = [0.9703, 0.8802, 0.8203, 0.8004, 0.8004, 0.80, 0.80]
    assert critical_humidity(t, 0.80) == pytest.approx(wanted, abs=6e-5)
    assert critical_humidity(t, 0.85)[2:] == pytest.approx([0.85] * 5, abs=0)


@pytest.mark.parametrize(("name", "least"), [("sensitive", 0.80), ("resistant", 0.85)])
def test_nothing_grows_where_it_is_dry_cold_or_hot(name: str, least: float) -> None:
    """No growth below the least humidity, at 0 degC or below, nor above 50 degC."""
    t = np.array([25.0, 25.0, 0.0, -5.0, 50.1, 50.0])
    rh = np.array([least - 1e-6, least, 1.0, 1.0, 1.0, 1.0])
    rate, _ = growth_terms(t, rh, CLASSES[name])
    assert (rate > 0.0).tolist() == [False, True, False, False, False, True]


@pytest.mark.parametrize(("factor", "left"), [(1.0, 1.848), (0.1, 1.985)])
def test_ten_dry_days(factor: float, left: float) -> None:
    """From index 2, 240 dry hours leave 1.848, and 1.985 with a tenth of the decline [computed]."""
    grows = np.zeros(8760, dtype=bool)
    grows[-1] = True  # the hour before the first
    decline = factor * decline_rate(grows)[:240]
    none, one = np.zeros(240), CLASSES["sensitive"]
    assert index_history(none, none, decline, one, 2.0)[-1] == pytest.approx(left, abs=6e-4)


def test_index_stays_within_its_scale() -> None:
    """In a saturated warm year the index of the most sensitive surface ends at 6 and does not pass it."""
    history = steady("very sensitive", 30.0, 1.0, 365)
    assert history[-1] == pytest.approx(6.0, abs=1e-6)
    assert history.max() <= 6.0 + 1e-9
