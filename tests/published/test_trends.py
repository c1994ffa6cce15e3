"""Which way things go: inside finishes, color, the gap behind the siding, condensation and drying.

Sources are of the direction only; how much is this project's own result, asked for by wide margins.

- Inside finishes: Burch 1993, ASHRAE Transactions 99(1) (computed, Lake Charles): vinyl or polyethylene
  inside of an air-conditioned wall brings its back above 80 %, and paint does not.
- Color: Florida Solar Energy Center, column of 3 March 1990: dark roofs run up to 90 degF (50 K)
  above the air, light walls 25-30 degF (14-17 K).
- Gap: Van Straaten 2004 (University of Waterloo): ventilation behind siding speeds drying.
"""

import dataclasses

import numpy as np
import pytest
from driven import Driven, bare_section, coat, humid
from heron_point import miami, year

from moistwall.assess.condensation import wet_hours
from moistwall.library import find_material
from moistwall.section import Face, Gap, Layer

BACK_OF = {
    "wall-no-foam": ("inside finish", "gypsum board"),
    "wall-no-foam-vinyl": ("inside finish", "gypsum board"),
    "wall-no-foam-polyethylene": ("vapor sheet", "cavity wool"),
}
"""The inside film and the layer behind it."""

COLD = 21.1
"""Room of 70 degF. [degC]"""


def back(name, **changes):
    """What is found over the Miami year at the back of an example's inside film."""
    film, layer = BACK_OF[name]
    return next(
        row
        for row in wet_hours(year(name, **changes))
        if film in row.name and row.part == layer and row.side == "a"
    )


# inside finishes ----------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["wall-no-foam-vinyl", "wall-no-foam-polyethylene"])
def test_a_tight_film_inside_keeps_its_back_damp(name):
    """At 75 degF vinyl and polyethylene raise the hours at 80 % and of contact at their back."""
    painted, tight = back("wall-no-foam"), back(name)
    assert painted.hours_rh_80 < 10
    assert tight.hours_rh_80 > painted.hours_rh_80 + 1000
    assert tight.hours_rh_90 >= painted.hours_rh_90
    assert tight.contact_hours_outdoor_air > painted.contact_hours_outdoor_air


@pytest.mark.parametrize("name", ["wall-no-foam-vinyl", "wall-no-foam-polyethylene"])
def test_a_cold_room_makes_it_wet(name):
    """At 70 degF their backs are at 90 % and more for a thousand hours and more, paint's for none."""
    painted, tight = back("wall-no-foam", room_temperature=COLD), back(name, room_temperature=COLD)
    assert painted.hours_rh_90 == 0
    assert tight.hours_rh_90 > 1000
    assert tight.hours_rh_80 > back(name).hours_rh_80 + 1000
    assert tight.contact_hours_outdoor_air > back(name).contact_hours_outdoor_air + 1000


# color --------------------------------------------------------------------------------------------


def above_air(name, emittance, absorptance):
    """Highest temperature of the outer face above the air's, over the Miami year. [K]"""
    result = year(name, outer=Face(emittance, absorptance))
    return (result.temperature_place[:, 0] - miami().temperature).max()


def test_dark_cladding_gets_hot():
    """Dark siding passes light siding by more than 10 K, and dries the sheathing behind it."""
    assert above_air("wall-no-foam", 0.9, 0.9) > above_air("wall-no-foam", 0.9, 0.2) + 10.0
    dark, light = (year("wall-no-foam", outer=Face(0.9, a)) for a in (0.9, 0.2))
    at = next(k for k, place in enumerate(dark.places) if place.part == "sheathing")
    assert dark.rh_place[:, at].mean() < light.rh_place[:, at].mean() - 0.05


@pytest.mark.slow
def test_dark_steel_gets_hot():
    """A dark roof stands 30 to 65 K above the air at most, a white one less than 15 K."""
    assert 30.0 < above_air("roof", 0.85, 0.9) < 65.0
    assert above_air("roof", 0.85, 0.2) < 15.0


@pytest.mark.slow
def test_dark_steel_lets_more_heat_in():
    """Under white steel less heat reaches the room in a year than under dark steel."""
    dark, light = (year("roof", outer=Face(0.85, a)) for a in (0.9, 0.2))
    assert light.heat_a[:, -1].sum() < 0.5 * dark.heat_a[:, -1].sum()


# gap ----------------------------------------------------------------------------------------------


def left_after(days, air_changes, kind):
    """Water left in sheathing that starts wet behind siding, in warm weather. [kg/m2]"""
    section = bare_section(
        "wet start",
        [
            Layer("siding", find_material("fiber cement"), 0.008, 0.7),
            Gap("gap", 0.019, kind, 5.0),
            coat("wrap", 1e-9),
            Layer("sheathing", find_material("OSB"), 0.011, 0.98),
            Layer("wool", find_material("mineral wool"), 0.14, 0.7),
            coat("sheet", 3e-12),
        ],
    )
    outer = humid(28.0, 0.7, heat_film=15.0, vapor_film=1e-7)
    inner = humid(24.0, 0.5, heat_film=8.0, vapor_film=3e-8)
    driven = Driven(
        section, outer, inner, 24 * days, air_changes=(air_changes,), start_temperature=26.0
    )
    return driven.water(driven.run(), "sheathing")[-1]


def test_more_air_behind_the_siding_dries_the_sheathing():
    """Wet sheathing holds less after a month the more air passes the gap behind the siding."""
    left = [left_after(30, rate, kind) for rate, kind in
            ((0.0, "sealed"), (1.0, "vented"), (10.0, "vented"), (100.0, "ventilated"))]  # fmt: skip
    assert np.all(np.diff(left) < 0.0)
    assert left[0] - left[-1] > 0.03


# condensation and drying --------------------------------------------------------------------------


def test_condensate_on_cold_foil_dries_again():
    """Vapor from a damp room condenses in wool on cold foil; warmed for a while, all of it is gone.

    What came in goes out: the wool's water returns to where it was, none ran off.
    """
    section = bare_section(
        "wool on foil",
        [
            coat("foil", 1e-14),
            Layer("wool", find_material("mineral wool"), 0.14, 0.5),
        ],
    )
    cold_hours, hours = 48, 240
    hour = np.arange(hours + 1)
    t = np.clip(4.0 + 28.0 * (hour - cold_hours) / 12.0, 4.0, 32.0)
    outer = dataclasses.replace(humid(4.0, 0.7, heat_film=20.0, vapor_film=1e-7), temperature=t)
    inner = humid(24.0, 0.5, heat_film=8.0, vapor_film=3e-8)
    driven = Driven(section, outer, inner, hours, start_temperature=24.0)
    before = driven.march.stored()[0][:, 0][driven.layer_cells].sum()
    record = driven.run()
    water = driven.water(record, "wool")
    assert water[cold_hours - 1] > before + 0.1  # kg/m2
    assert record.humidity[cold_hours - 1, 1, 0] > 0.999
    assert record.humidity[-1, driven.layer_cells].max() < 0.6
    assert water[-1] == pytest.approx(before, abs=0.01)
    assert record.drained[:, driven.layer_cells].sum() == 0.0
