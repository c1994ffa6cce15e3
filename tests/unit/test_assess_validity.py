"""Numbers of materials used beyond the ranges of their sources."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from heron_point import example, year

from moistwall.assess.validity import beyond_ranges
from moistwall.material import Range, Source
from moistwall.section import Layer, Section
from moistwall.show.beyond import beyond_data, beyond_lines


def with_range(given: Range) -> Section:
    """The example wall with a siding whose vapor permeability alone has a range."""
    section = example("wall")
    siding = section.parts[0]
    assert isinstance(siding, Layer)
    sources = {"vapor": Source("a test", "estimate", (given,))}
    material = replace(siding.material, sources=sources)
    others = [
        replace(part, material=replace(part.material, sources={}))
        if isinstance(part, Layer)
        else part
        for part in section.parts[1:]
    ]
    return replace(section, parts=(replace(siding, material=material), *others))


def test_hours_beyond_are_counted_at_either_face() -> None:
    """The count is that of the hours in which one of the two faces of the layer lies outside of the range."""
    result = year("wall")
    section = with_range(Range(0.3, 0.7, "share", "30 %RH to 70 %RH"))
    (found,) = beyond_ranges(section, result)
    columns = [k for k, place in enumerate(result.places) if place.part == section.parts[0].name]
    rh = result.rh_place[:, columns]
    assert len(columns) == 2
    assert found.hours == np.count_nonzero(np.any((rh < 0.3) | (rh > 0.7), axis=1)) > 0
    assert (found.low, found.high) == (rh.min(), rh.max())
    assert (found.layer, found.number) == (section.parts[0].name, "vapor")
    told = " ".join(" ".join(beyond_lines([found])).split())
    assert f"{found.layer}: vapor {found.hours}" in told
    assert beyond_data([found])[0]["quantity"] == "humidity"


def test_nothing_is_told_within_the_range() -> None:
    """A range that the year stays within, and one of water content, add nothing to the report."""
    for given in (
        Range(-60.0, 110.0, "temperature", "-60 degC to 110 degC"),
        Range(0.0, 0.01, "moisture_content", "0 %MC to 1 %MC"),
    ):
        assert beyond_ranges(with_range(given), year("wall")) == []
    assert beyond_lines([]) == []
