"""Water that leaks in and air along a short cut: all of it arrives, where it should, and closes."""

import numpy as np
import pytest
from driven import Air, Driven, bare_section, humid, net_flow, sealed

from moistwall.air import AIR_HEAT_CAPACITY, STANDARD_PRESSURE, saturation_pressure
from moistwall.closing import closed_balance
from moistwall.exposure import Exposure, Leakage, Pour, RainLeak, Spot
from moistwall.library import find_material
from moistwall.section import Gap, Layer
from moistwall.solver.kernel.layout import HEAT_A, HEAT_B, MOISTURE_A, MOISTURE_B

RATIO = 287.042 / 461.524  # molar masses of vapor and dry air, ISO 80000-9


def layers():
    return [
        Layer("siding", find_material("fiber cement"), 0.008),
        Gap("gap", 0.019, "ventilated", 5.0),
        Layer("foam", find_material("XPS"), 0.025),
        Layer("sheathing", find_material("OSB"), 0.011),
        Layer("wool", find_material("mineral wool"), 0.14),
    ]


def leak(part, face):
    return Exposure(rain_leaks=(RainLeak("leak", Spot(part, face), 0.01),))


PLACES = [
    ("siding", "outer"),
    ("siding", "inner"),
    ("foam", "outer"),
    ("foam", "inner"),
    ("sheathing", "outer"),
    ("sheathing", "inner"),
    ("wool", "inner"),
]


@pytest.mark.parametrize(("part", "face"), PLACES)
def test_water_arrives_at_its_place_and_closes(part, face):
    """What leaks to a face is found in its layer or skin, has run off, or has gone on: to 1e-9."""
    section = bare_section("leaky", layers(), exposure=leak(part, face))
    water = np.zeros(25)
    water[3:7] = 2e-5  # kg/(m2 s), of the hours 2 to 5
    ends = humid(25.0, 0.7, heat_film=8.0, vapor_film=3e-8)
    wet = Driven(section, ends, ends, 24, air_changes=(30.0,), arrivals=(water,))
    dry = Driven(bare_section("tight", layers()), ends, ends, 24, air_changes=(30.0,))
    before = [stored[:, 0].copy() for stored in wet.march.stored()]
    record, other = wet.run(), dry.run()
    balance = closed_balance(wet.grid, record, *before, ())
    assert balance.moisture_relative < 1e-9
    assert balance.heat_relative < 1e-6
    # what the flows of both runs differ by is what leaked in
    stored = np.concatenate(([before[0].sum()], wet.water(record)))
    np.testing.assert_allclose(np.diff(stored), net_flow(record, wet.grid, "moisture"), atol=1e-12)
    came = 3600.0 * water.sum()
    at = wet.grid.topology.water_special[0]
    last = at == wet.grid.topology.special_face.size - 1
    a, b = record.flow[:, at, MOISTURE_A, 0], record.flow[:, at, MOISTURE_B, 0]
    if at not in wet.grid.gap_special:
        assert (b - a).sum() == pytest.approx(came, rel=1e-9)
    # after two hours of it the place is wetter than without, by far
    cell = wet.grid.topology.special_face[at] - (1 - wet.grid.topology.water_inner[0])
    assert wet.grid.section.parts[wet.grid.part_cell[cell]].name == part
    assert record.content[3, cell, 0] > other.content[3, cell, 0] + 0.01
    assert last == ((part, face) == ("wool", "inner"))


def test_a_pour_wets_more_than_half_of_it():
    """Control: half the water leaves half the difference of the stored water."""
    found = []
    for amount in (0.0, 1e-5, 2e-5):
        section = bare_section("leaky", layers(), exposure=leak("sheathing", "outer"))
        ends = humid(25.0, 0.7, heat_film=8.0, vapor_film=3e-8)
        wet = Driven(section, ends, ends, 2, air_changes=(30.0,), arrivals=(amount,))
        found.append(wet.water(wet.run(), "sheathing")[-1])
    assert found[2] - found[0] == pytest.approx(2.0 * (found[1] - found[0]), rel=0.05)


def test_water_brings_its_heat():
    """Water of 40 degC in a sealed section of 20 degC leaves c_w 20 K of heat for each kilogram. (exact)"""
    section = bare_section(
        "sealed",
        [Layer("board", find_material("OSB"), 0.1)],
        exposure=Exposure(pours=(Pour("storm", Spot("board", "inner"), 0, 1, 1.0),)),
    )
    driven = Driven(section, sealed(40.0), sealed(20.0), 5, arrivals=(1e-5,))
    before = driven.march.stored()[1].sum()
    driven.run()
    gained = driven.march.stored()[1].sum() - before
    assert gained == pytest.approx(4186.0 * 40.0 * 5 * 3600 * 1e-5, rel=2e-3)


# air along a short cut ----------------------------------------------------------------------------


def cut(part, face, contact=1.0):
    leakage = Leakage(1e-3, 0.65, 3.0, 0.0, 0.5, spot=Spot(part, face), contact=contact)
    return Exposure(leakage=leakage)


def steel(contact=1.0, air=1e-4, outdoor=(30.0, 0.8), room=(24.0, 0.5), hours=400):
    """A thin steel sheet, sealed off from both ends but for heat, that air meets."""
    section = bare_section(
        "steel",
        [Layer("steel", find_material("steel sheet"), 0.001)],
        exposure=cut("steel", "outer", contact),
    )
    outer = Air(outdoor[0], outdoor[1] * float(saturation_pressure(outdoor[0])), 8.0, 0.0)
    inner = Air(room[0], room[1] * float(saturation_pressure(room[0])), 20.0, 0.0)
    driven = Driven(section, outer, inner, hours, arrivals=(air,))
    record = driven.run()
    s = driven.grid.topology.cut_special[0]
    return driven, record, record.flow[-1, s, :, 0]


def test_what_a_short_cut_leaves_on_a_cold_sheet():
    """Humid air leaves 0.622 G (p - p_sat(T)) / P on a sheet below its dew point, with its heat. (exact)"""
    driven, record, flow = steel(outdoor=(30.0, 0.9), room=(10.0, 0.5))
    t = record.temperature[-1, 0, 0]
    vapor = 0.9 * float(saturation_pressure(30.0)) - float(saturation_pressure(t))
    g = 1e-4 * RATIO * vapor / STANDARD_PRESSURE
    assert flow[MOISTURE_B] - flow[MOISTURE_A] == pytest.approx(3600.0 * g, rel=1e-4)
    assert g > 0
    # steady: what the films bring, the air's heat and the latent heat go through to the room
    latent = 2.5009e6 + 1858.4 * t
    came = 8.0 * (30.0 - t) + 1e-4 * AIR_HEAT_CAPACITY * (30.0 - t) + g * latent
    assert 20.0 * (t - 10.0) == pytest.approx(came, rel=2e-3)
    assert driven.grid.topology.cut_special[0] == 0


def test_air_outward_brings_the_state_of_the_room():
    """Where the air goes out, what arrives is of the room: a sheet below its dew point gets dew."""
    _, record, flow = steel(air=-1e-4, outdoor=(-30.0, 0.8), room=(24.0, 0.5))
    t = record.temperature[-1, 0, 0]
    vapor = 0.5 * float(saturation_pressure(24.0)) - float(saturation_pressure(t))
    assert vapor > 0
    g = 1e-4 * RATIO * vapor / STANDARD_PRESSURE
    assert flow[MOISTURE_B] - flow[MOISTURE_A] == pytest.approx(3600.0 * g, rel=1e-4)


@pytest.mark.parametrize("contact", [0.5, 0.0])
def test_air_that_meets_less_leaves_less(contact):
    """The share of the air that meets the face counts; none of it leaves nothing."""
    _, record, flow = steel(contact=contact, outdoor=(30.0, 0.9), room=(10.0, 0.5))
    t = record.temperature[-1, 0, 0]
    vapor = 0.9 * float(saturation_pressure(30.0)) - float(saturation_pressure(t))
    g = contact * 1e-4 * RATIO * vapor / STANDARD_PRESSURE
    assert flow[MOISTURE_B] - flow[MOISTURE_A] == pytest.approx(3600.0 * g, rel=1e-4, abs=1e-15)


def test_a_short_cut_in_a_wall_closes():
    """Air that turns round each day and meets the sheathing closes to 1e-9, heat to 1e-6."""
    section = bare_section("cut", layers(), exposure=cut("sheathing", "inner"))
    hour = np.arange(97)
    air = 5e-5 * np.sin(2.0 * np.pi * hour / 24.0)
    outer = humid(33.0, 0.8, heat_film=15.0, vapor_film=1e-7)
    inner = humid(22.0, 0.5, heat_film=8.0, vapor_film=3e-8)
    driven = Driven(section, outer, inner, 96, air_changes=(60.0,), arrivals=(air,))
    before = [stored[:, 0].copy() for stored in driven.march.stored()]
    record = driven.run()
    balance = closed_balance(driven.grid, record, *before, ())
    assert balance.moisture_relative < 1e-9
    assert balance.heat_relative < 1e-6
    s = driven.grid.topology.cut_special[0]
    left = record.flow[:, s, MOISTURE_B, 0] - record.flow[:, s, MOISTURE_A, 0]
    assert left.max() > 0 > left.min()
    heat = record.flow[:, s, HEAT_B, 0] - record.flow[:, s, HEAT_A, 0]
    assert heat.max() > 0
