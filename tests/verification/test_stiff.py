"""Sections on which time steps are hard to take: every one is solved at the default tolerance, within limits."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from heron_point import miami

from moistwall.assembly import assembly_from_data, resolve
from moistwall.result import Result
from moistwall.section import Film, Section
from moistwall.simulate import simulate

ROOM = {"temperature": "75 degF", "humidity": "50 %"}


def section(kind: str, layers: list[dict[str, Any]], **more: Any) -> Section:
    """Resolve an assembly under the Miami year."""
    data = {"name": "stiff", "kind": kind, "facing": "south", "room": ROOM, "layer": layers} | more
    return resolve(assembly_from_data(data, file="stiff"))


def board(name: str, thickness: str, **more: Any) -> dict[str, Any]:
    """A layer."""
    return {"material": name, "thickness": thickness} | more


def run(one: Section) -> Result:
    """A year, its laws checked: `simulate` itself raises where a balance is off."""
    result = simulate(one, miami(), most_years=1)
    assert result.balance.moisture_relative <= 1e-9
    assert result.balance.storage_drift <= 1e-3
    for values in (result.temperature_place, result.rh_place):
        assert np.isfinite(values).all()
    assert result.rh_place.min() >= 0.0
    assert result.rh_place.max() <= 1.0 + 1e-3
    return result


@pytest.mark.parametrize("material", ["clay brick", "aerated concrete", "lime plaster", "mortar"])
def test_rain_on_a_dry_capillary_wall(material: str) -> None:
    """Bare masonry that starts at 20 % and takes all the rain of an open coast."""
    rained = section(
        "wall",
        [board(material, "8 in", start_humidity="20 %"), board("gypsum board", "1/2 in")],
        rain={"position": "subject to runoff", "leak_share": "0 %"},
        building={"height": "30 ft", "exposure": "severe"},
    )
    result = run(rained)
    assert result.rh_place[:, 0].max() > 0.99


def test_condensation_on_foil() -> None:
    """Humid air of the outside reaches a foil against the cooled room through wool, and wets it."""
    wet = section(
        "wall",
        [
            board("mineral wool batt", "5 1/2 in"),
            {"film": "foil facer"},
            board("gypsum board", "1/2 in"),
        ],
        room={"temperature": "62 degF", "humidity": "50 %"},
    )
    result = run(wet)
    assert (result.rh_place.max(axis=1) >= 1.0 - 1e-9).sum() > 100


@pytest.mark.parametrize("permeance", [1e-16, 1e-14, 1e-9])
def test_films_nearly_tight_and_nearly_open(permeance: float) -> None:
    """A film that lets next to nothing through between two layers that store a lot, and one that is no film."""
    wall = section(
        "wall",
        [
            board("OSB", "7/16 in"),
            {"film": "polyethylene", "id": "film"},
            board("plywood", "1/2 in"),
        ],
    )
    parts = tuple(
        replace(part, permeance=np.full(part.rh.size, permeance))
        if isinstance(part, Film)
        else part
        for part in wall.parts
    )
    run(replace(wall, parts=parts))


@pytest.mark.parametrize("material", ["OSB", "lime plaster", "foil-faced polyiso", "steel sheet"])
def test_a_tenth_of_a_millimeter(material: str) -> None:
    """A layer thinner than any cell of its neighbors."""
    run(
        section(
            "wall",
            [
                board("fiber cement", "8 mm"),
                board(material, "0.1 mm"),
                board("mineral wool batt", "5 1/2 in"),
                board("gypsum board", "1/2 in"),
            ],
        )
    )


def test_a_meter_of_concrete() -> None:
    """Days to warm, decades to dry."""
    run(section("wall", [board("concrete", "1 m", start_humidity="95 %")]))


@pytest.mark.parametrize("changes", ["0 1/h", "500 1/h"])
def test_steel_over_a_gap(changes: str) -> None:
    """Thin steel under sun and night sky over a gap that is still, or flushed 500 times an hour."""
    run(
        section(
            "roof",
            [
                board("steel sheet", "0.024 in"),
                {"gap": "ventilated", "depth": "1 1/2 in", "air_changes": changes},
                board("glass-faced polyiso", "4 in"),
                board("plywood", "1/2 in"),
            ],
            slope="2/12",
        )
    )
