"""Years of weather for tests: Miami's, with what a test needs put in. Invented, unlike any place."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
from heron_point import miami

from moistwall.climate.hours import HOURS, hour_index
from moistwall.climate.record import Climate


def changed(**values: Any) -> Climate:
    """Miami's year with some fields changed; a number stands for all hours of a series."""
    series = {
        name: np.full(HOURS, float(value)) if isinstance(value, int | float) else value
        for name, value in values.items()
    }
    return replace(miami(), **series)


def without_rain() -> Climate:
    """Miami's year as if no rain of it were known."""
    return replace(miami(), name="miami", rain=None)


def with_showers() -> Climate:
    """Miami's year with invented rain: an hour of 4 mm at 4 pm on each day from May to October."""
    rain = np.zeros(HOURS)
    first, last = hour_index(5, 1, 1), hour_index(10, 31, 24)
    assert first is not None
    assert last is not None
    rain[first + 15 : last : 24] = 4.0
    return replace(
        miami(),
        name="miami with showers",
        rain=rain,
        notes=("rain invented for a test: 4 mm at 4 pm each day from May to October",),
    )
