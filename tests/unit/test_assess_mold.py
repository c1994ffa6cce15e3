"""Mold through whole years: the same as a plain loop, brackets, rising, months, what is dry stays at 0."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from heron_point import year

from moistwall.air import saturation_pressure
from moistwall.assess.mold import CLASSES, growth_terms, mold_growth
from moistwall.result import Result


def plain_index(t: list[float], rh: list[float], factor: float, years: int) -> list[list[float]]:
    """Follow the index of a sensitive surface, hour by hour, written anew from the equations."""
    index, dry, history = 0.0, 10_000, []
    for _ in range(years):
        hours = []
        for temperature, humidity in zip(t, rh, strict=True):
            percent = 100.0 * humidity
            critical = 80.0
            if temperature <= 20.0:
                cubic = (
                    -0.00267 * temperature**3 + 0.160 * temperature**2 - 3.13 * temperature + 100
                )
                critical = max(cubic, 80.0)
            if 0.0 < temperature <= 50.0 and percent >= critical:
                x = (critical - percent) / (critical - 100.0)
                most = 0.3 + 6.0 * x - x * x
                weeks = math.exp(
                    -0.68 * math.log(temperature) - 13.9 * math.log(percent) + 0.14 + 66.02
                )
                k1 = 0.578 if index < 1.0 else 0.386
                index += k1 * max(1.0 - math.exp(2.3 * (index - most)), 0.0) / (168.0 * weeks)
                dry = 0
            else:
                dry += 1
                rate = 0.00133 if dry <= 6 else 0.0 if dry <= 24 else 0.000667
                index = max(index - factor * rate, 0.0)
            hours.append(index)
        history.append(hours)
    return history


def state(t: float, rh: float) -> Result:
    """Return the wall with one temperature and humidity at every place all year."""
    wall = year("wall")
    return replace(
        wall,
        temperature_place=np.full_like(wall.temperature_place, t),
        rh_place=np.full_like(wall.rh_place, rh),
    )


def test_outdoor_air_of_miami_as_in_a_plain_loop() -> None:
    """Peaks and ends of three years, for both declines, are those of a loop written from the equations."""
    wall = year("wall")
    t = wall.outdoor_temperature
    rh = np.minimum(wall.outdoor_vapor / saturation_pressure(t), 1.0)
    air = mold_growth(wall)[1]["sensitive"]
    for factor, peaks, ends in (
        (0.1, air.peak_year, air.end_year),
        (1.0, air.peak_year_quick, air.end_year_quick),
    ):
        history = plain_index(t.tolist(), rh.tolist(), factor, 3)
        assert peaks == pytest.approx([max(hours) for hours in history], rel=1e-9)
        assert ends == pytest.approx([hours[-1] for hours in history], rel=1e-9, abs=1e-12)


def test_range_holds_both_declines() -> None:
    """The bracket reaches from below the quick decline's peak to above the slow one's."""
    for example in ("wall-no-foam-vinyl", "attic", "wall-brick"):
        for row in mold_growth(year(example))[0]:
            low, high = row.peak_range
            assert low <= row.peak_year_quick[-1] <= row.peak_year[-1] <= high


def test_peaks_do_not_fall_from_year_to_year() -> None:
    """In a year that repeats itself from nothing, each peak is at least that of the year before."""
    for row in mold_growth(year("wall-no-foam-vinyl"))[0]:
        assert row.peak_year == tuple(sorted(row.peak_year))
        assert row.rising == (row.peak_year[2] > row.peak_year[1] + 0.01)


def test_dry_places_stay_at_nothing() -> None:
    """At 79 % RH and 25 degC no class ever grows, and no month has any of it."""
    for row in mold_growth(state(25.0, 0.79))[0]:
        assert row.growing_hours == 0
        assert row.peak_range == (0.0, 0.0)
        assert not row.growth_month.any()


def test_bracket_of_humidity_counts_at_the_edge() -> None:
    """At 79.8 % RH nothing grows, but 0.3 % more would let it: the bracket says so."""
    row = next(one for one in mold_growth(state(25.0, 0.798))[0] if one.mold_class == "sensitive")
    assert row.peak_year[-1] == 0.0
    assert row.peak_range[1] > 0.0


def test_more_sensitive_surfaces_have_more() -> None:
    """In the same damp air the index falls from class to class, and months share it by their days."""
    wall = state(25.0, 0.93)
    names = list(CLASSES)
    places = tuple(replace(place, mold_class=names[k % 4]) for k, place in enumerate(wall.places))
    rows = mold_growth(replace(wall, places=places), years=1)[0][:4]
    peaks = [row.peak_year[0] for row in rows]
    assert peaks == sorted(peaks, reverse=True)
    assert len(set(peaks)) == 4
    assert rows[0].growth_month[0] == pytest.approx(31.0 / 365.0)
    assert len(rows[0].peak_year) == 1


def test_species_is_a_parameter() -> None:
    """W = 0 for sensitive surfaces grows 15 % faster, exp(0.14) = 1.150, and a run takes it as an argument."""
    quicker = replace(CLASSES["sensitive"], species=0.0)
    air = (np.array([25.0]), np.array([0.95]))
    ratio = growth_terms(*air, quicker)[0][0] / growth_terms(*air, CLASSES["sensitive"])[0][0]
    assert ratio == pytest.approx(1.150, abs=5e-4)
    usual = mold_growth(year("attic"))[0]
    sooner = mold_growth(year("attic"), classes={**CLASSES, "sensitive": quicker})[0]
    deck = next(k for k, row in enumerate(usual) if row.peak_year[-1] > 0.1)
    assert sooner[deck].peak_year[-1] > usual[deck].peak_year[-1]


def test_decline_is_a_parameter() -> None:
    """Without any decline no place has less than with the usual one, and a damp one has more."""
    usual = mold_growth(year("attic"))[0]
    never = mold_growth(year("attic"), declines=(0.0, 1.0))[0]
    pairs = [(a.peak_year[-1], b.peak_year[-1]) for a, b in zip(never, usual, strict=True)]
    assert all(a >= b for a, b in pairs)
    assert any(a > b + 0.1 for a, b in pairs)
