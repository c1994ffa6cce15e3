"""Which way things go: finishes, setpoint, foam, wet cladding, color, night sky, attics, gaps, drying.

Sources are of the direction only; how much is this project's own result, asked for by wide margins.

- Inside finishes: Burch 1993, ASHRAE Transactions 99(1) (computed, Lake Charles): vinyl or polyethylene
  inside of an air-conditioned wall brings its back above 80 %, and paint does not.
- Color: Florida Solar Energy Center, column of 3 March 1990: dark roofs run up to 90 degF (50 K)
  above the air, light walls 25-30 degF (14-17 K).
- Gap: Van Straaten 2004 (University of Waterloo): ventilation behind siding speeds drying.
- Setpoint: Burch 1993 again; no overcooling is among its advice.
- Foam: by the dew-point method, foil-faced foam outside takes the humidity behind vinyl from 108 to 54 %.
- Wet cladding in the sun: Wilson 1965 (Canadian Building Digest), Straube 2001: drives vapor inwards.
- Night: a metal-roof code of practice of New Zealand has roofs up to 5 K below the air; painted plates were
  measured 3 to 8 K below it on very clear nights (ASME IMECE 2013).
- Attic air: Florida Solar Energy Center, seven houses at Fort Myers (FSEC-CR-1220-00): under dark
  shingles 40 degF (22 K) above outdoors at the peak, under white reflective roofs about as outdoors.
- Deck: Cleary 1985 (Lawrence Berkeley Laboratory) and Rudd and Lstiburek 1998, ASHRAE Transactions 104: wood
  under the roof takes up water by night and gives it off by day, and attic air is then moister than outdoors.
"""

import dataclasses

import numpy as np
import pytest
from driven import Driven, bare_section, coat, humid
from heron_point import example, miami, year
from stretch import Stretch, film_of

from moistwall.air import dew_point_from_vapor_pressure
from moistwall.assess.condensation import wet_hours
from moistwall.library import find_material
from moistwall.section import Face, Gap, Layer, Section

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


# setpoint and foam --------------------------------------------------------------------------------

JUNE = 179
"""Day of the year from which summer stretches start, counted from 0."""


def behind_gypsum(name, fahrenheit):
    """Mean humidity at the back of gypsum in the second of two summer weeks."""
    room = (fahrenheit - 32.0) / 1.8
    section = dataclasses.replace(example(name), room_temperature=room)
    return Stretch(section, JUNE, 14).rh("gypsum board", "b")[7:].mean()


@pytest.mark.parametrize(
    ("name", "least"), [("wall-no-foam", 0.03), ("wall-no-foam-vinyl", 0.1), ("wall-vinyl", 0.05)]
)
def test_a_colder_room_is_damper_behind_the_gypsum(name, least):
    """From 78 to 70 degF humidity at the back of gypsum rises step by step, most behind vinyl."""
    found = [behind_gypsum(name, setpoint) for setpoint in (78, 75, 72, 70)]
    assert np.all(np.diff(found) > 0.0)
    assert found[-1] - found[0] > least


def test_foil_foam_outside_makes_it_drier_behind_vinyl():
    """At 75 degF foil-faced foam takes some percent off the humidity at the back of gypsum and vinyl."""
    assert behind_gypsum("wall-vinyl", 75) < behind_gypsum("wall-no-foam-vinyl", 75) - 0.03


def clad(rh, absorptance, foam=False):
    """Five summer days on a west wall, its cladding on the sheathing without a gap, vinyl inside."""
    wool = Layer("wool", find_material("mineral wool batt"), 0.14, 0.6)
    inside = (wool, Layer("gypsum", find_material("gypsum board"), 0.0127, 0.5))
    outside = [Layer("cladding", find_material("fiber cement"), 0.0127, rh), film_of("housewrap")]
    if foam:
        foil = film_of("foil facer")
        outside += [
            dataclasses.replace(foil, name="outer foil"),
            Layer("foam", find_material("polyiso core under foil"), 0.025, 0.6),
            dataclasses.replace(foil, name="inner foil"),
        ]
    sheathing = Layer("sheathing", find_material("plywood"), 0.0111, 0.7)
    parts = (*outside, sheathing, *inside, film_of("vinyl wallcovering"))
    return Stretch(Section("clad", parts, Face(0.9, absorptance), azimuth=270.0), JUNE + 1, 5)


def test_sun_on_wet_cladding_drives_vapor_inwards():
    """On day 5 wet cladding in the sun brings more than twice the vapor of wet in shade, or dry in sun."""
    wet_sun, wet_shade, dry_sun = (
        clad(rh, color).vapor_into("gypsum")[-1].sum()
        for rh, color in ((1.0, 0.8), (1.0, 0.1), (0.6, 0.8))
    )
    assert wet_sun > 2.0 * wet_shade > 0.0
    assert wet_sun > 2.0 * dry_sun > 0.0


def test_foil_foam_cuts_inward_drive():
    """Behind foil-faced foam less than a twentieth of that vapor reaches the sheathing."""
    bare, foamed = clad(1.0, 0.8), clad(1.0, 0.8, foam=True)
    assert foamed.vapor_into("sheathing").sum() < 0.05 * bare.vapor_into("sheathing").sum()
    assert foamed.rh("gypsum", "a")[-1].max() < bare.rh("gypsum", "a")[-1].max() - 0.03


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


# night sky ----------------------------------------------------------------------------------------


def test_a_steel_roof_is_colder_than_the_air_at_night():
    """On clear winter nights painted steel is 3 to 8 K below the air, and below its dew point."""
    roof = Stretch(example("roof"), 30, 14)
    below = roof.outdoor_temperature - roof.surface_temperature()
    assert 3.0 < below.max() < 8.0
    hour = np.argmax(below, axis=1)
    assert np.all((hour < 7) | (hour > 17))  # of every day the coldest against the air is at night
    dew_point = dew_point_from_vapor_pressure(roof.outdoor_vapor)
    assert np.count_nonzero(roof.surface_temperature() < dew_point) > 10


# attic --------------------------------------------------------------------------------------------


def attic(absorptance):
    """Two summer weeks of a vented attic: shingles on plywood, wool on the ceiling.

    The space is a gap of 4 ft mean depth. Its 2.7 air changes an hour are a usual assumption for light
    wind (from memory), its films of 3 W/(m2 K) are ordinary for still air (common practice, no source).
    """
    parts = (
        coat("shingles", 1e-12),
        Layer("deck", find_material("plywood"), 0.0127, 0.6),
        Gap("attic", 1.2, "ventilated", 3.0, 2.7),
        Layer("wool", find_material("mineral wool batt"), 0.25, 0.6),
        Layer("ceiling", find_material("gypsum board"), 0.0127, 0.6),
        film_of("latex paint"),
    )
    return Stretch(Section("attic", parts, Face(0.9, absorptance), tilt=18.4), JUNE, 14)


@pytest.mark.parametrize(("absorptance", "low", "high"), [(0.9, 15.0, 25.0), (0.3, 0.0, 10.0)])
def test_attic_air_by_color(absorptance, low, high):
    """At the peak of a usual day attic air is 15-25 K above outdoors under dark, 0-10 K under white.

    White is a reflective roof of absorptance 0.3 (from memory); one of 0.5 would be 12 K above.
    """
    found = attic(absorptance)
    above = found.gap_air()[0] - found.outdoor_temperature
    assert low < np.median(above.max(axis=1)) < high


def test_a_wood_deck_is_wetted_by_night_and_dries_by_day():
    """In a vented attic the deck gains water from 8 pm to 6 am and loses it from 8 am to 4 pm."""
    found = attic(0.9)
    water = found.water("deck")
    gained, lost = water[1:, 5] - water[:-1, 19], water[:, 7] - water[:, 15]
    assert np.all(gained > 0.01)  # kg/m2
    assert np.all(lost > 0.03)
    above = dew_point_from_vapor_pressure(found.gap_air()[1])
    above = above - dew_point_from_vapor_pressure(found.outdoor_vapor)
    assert above[:, 7:12].mean() > 1.0  # K: what the deck gives off
    assert above[:, :5].mean() < -1.0  # K: what it takes up


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
