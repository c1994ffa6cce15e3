"""Zones of air beside a section: steady states by hand, what closes, what must not change."""

from __future__ import annotations

import dataclasses
from functools import cache

import numpy as np
import pytest
from heron_point import miami
from weather import changed

from moistwall.air import (
    AIR_HEAT_CAPACITY,
    humidity_ratio_from_vapor_pressure,
    saturation_pressure,
    vapor_enthalpy,
    vapor_pressure_from_humidity_ratio,
)
from moistwall.climate.record import HOURS, Climate
from moistwall.exposure import CoolingOff, Exposure
from moistwall.library import find_material
from moistwall.loads.leakage import FAN_AIR_DENSITY
from moistwall.result import ZoneReport
from moistwall.section import Face, Layer, Section
from moistwall.solver.grid import build_grid
from moistwall.solver.kernel.zone_layout import (
    AIR_IN,
    DEMAND,
    DRYING,
    H_COOLING,
    H_DRIER,
    N_STATES,
    OUT_W,
    W_COOLING,
    W_DRIER,
    W_FOG,
    W_FREE,
    W_SECTION,
    ZONE_T,
    ZONE_W,
)
from moistwall.solver.zone_series import zone_series
from moistwall.solver.zones import START_RH, ZoneMarch, march_of
from moistwall.zone import (
    AirConditioner,
    Dehumidifier,
    Ground,
    Supply,
    Ventilation,
    Window,
    Zone,
)
from moistwall.zone_closing import closed_zone

NOBODY = np.zeros(HOURS)
MACHINE = AirConditioner(24.0, 7034.0, 0.75, 0.453, "auto", 0.0)
DRIER = Dehumidifier(0.5, 4e-4, 700.0)


@cache
def still(temperature: float, dew_point: float) -> Climate:
    """A year without sun, wind or change."""
    return changed(
        temperature=temperature,
        dew_point=dew_point,
        pressure=101_325.0,
        wind_speed=0.0,
        sun_global=0.0,
        sun_direct=0.0,
        sun_diffuse=0.0,
        cloud=1.0,
    )


@cache
def foam(absorptance: float = 0.6) -> Section:
    """Two inches of foam, which take up next to no water and let little of it through."""
    xps = Layer("foam", find_material("XPS"), 0.05)
    return Section("foam", (xps,), outer=Face(absorptance=absorptance), tilt=180.0)


def room(**values: object) -> Zone:
    """A room of 300 m3 beside 1 m2 of foam, with what a test gives it."""
    given: dict[str, object] = {
        "kind": "room",
        "area": 1.0,
        "volume": 300.0,
        "contents": 0.0,
        "heat": NOBODY,
        "moisture": NOBODY,
    }
    return Zone(**(given | values))  # type: ignore[arg-type]


def run(
    zone: Zone, climate: Climate, hours: int = 96, section: Section | None = None, first: int = 0
):
    """Zone record, closing and the humidity of some hours."""
    section = dataclasses.replace(section or foam(), zone=zone)
    march, _ = march_of(build_grid(section), climate)
    assert isinstance(march, ZoneMarch)
    march.zone_record()
    start = march.zone_contents()
    record = march.hours(first, hours)
    found = march.zone_record()
    report = closed_zone(march, record, found, start, first)
    rh = vapor_pressure_from_humidity_ratio(found[:, ZONE_W]) / saturation_pressure(
        found[:, ZONE_T]
    )
    return found, report, rh


def test_vapor_of_a_ventilated_room_by_hand() -> None:
    """1 kg of water an hour into 0.1 m3/s of outdoor air adds S/(rho V): steady, no machine."""
    water = 1.0 / 3600.0
    zone = room(
        moisture=np.full(HOURS, water),
        ventilation=Ventilation(np.full(HOURS, 0.1)),
        heating_setpoint=24.0,
    )
    found, _, _ = run(zone, still(20.0, 10.0))
    outdoors = float(humidity_ratio_from_vapor_pressure(saturation_pressure(10.0)))
    assert found[-1, ZONE_W] == pytest.approx(outdoors + water / (FAN_AIR_DENSITY * 0.1), rel=1e-3)
    assert found[-1, ZONE_T] == pytest.approx(24.0, abs=1e-9)


def test_recovery_of_vapor_by_hand() -> None:
    """An exchanger of 60 % for vapor leaves 40 % of the air to carry it off: 2.5 times the rise."""
    water = 0.3 / 3600.0
    rises = []
    for latent in (0.0, 0.6):
        air = Ventilation(np.full(HOURS, 0.1), 0.0, latent)
        zone = room(moisture=np.full(HOURS, water), ventilation=air, heating_setpoint=24.0)
        found, _, _ = run(zone, still(20.0, 10.0))
        rises.append(
            found[-1, ZONE_W] - humidity_ratio_from_vapor_pressure(saturation_pressure(10.0))
        )
    assert rises[1] / rises[0] == pytest.approx(2.5, rel=5e-3)


def test_recovery_of_heat_by_hand() -> None:
    """1000 W in 0.1 m3/s with 70 % recovery: T - T_out = Q / (0.3 rho V c), moist air included."""
    zone = room(heat=np.full(HOURS, 1000.0), ventilation=Ventilation(np.full(HOURS, 0.1), 0.7, 0.0))
    found, _, _ = run(zone, still(15.0, 5.0), 240)
    ratio = float(humidity_ratio_from_vapor_pressure(saturation_pressure(5.0)))
    per_kelvin = 0.3 * FAN_AIR_DENSITY * 0.1 * (AIR_HEAT_CAPACITY + 1860.0 * ratio)
    section = 1.0 / (0.05 / 0.029 + 0.3)  # about 0.5 W/K of foam, as nothing beside the air
    assert found[-1, ZONE_T] - 15.0 == pytest.approx(1000.0 / (per_kelvin + section), rel=0.02)


def test_air_conditioner_meets_its_load_by_hand() -> None:
    """At a steady setpoint the coil's total heat is the sum of sensible gains and of the vapor brought."""
    zone = room(
        heat=np.full(HOURS, 3000.0),
        moisture=np.full(HOURS, 0.4 / 3600.0),
        conductance_outdoors=50.0,
        cooling=MACHINE,
    )
    found, report, rh = run(zone, still(34.0, 20.0), 240)
    accounts = found[-1, N_STATES:] / 3600.0
    assert found[-1, ZONE_T] == pytest.approx(24.0, abs=1e-6)
    brought = accounts[W_FREE] + accounts[W_SECTION]
    assert -accounts[W_COOLING] == pytest.approx(brought, rel=1e-3)
    latent = brought * float(vapor_enthalpy(24.0))
    expected = 3000.0 + 50.0 * 10.0 + latent
    assert -accounts[H_COOLING] == pytest.approx(expected, rel=0.01)
    assert 0.3 < found[-1, DEMAND] < 0.9
    assert 0.3 < rh[-1] < 0.7
    assert report.heat_relative < 1e-12


def test_a_machine_too_small_runs_all_the_time() -> None:
    """What the coil cannot take warms the room beyond its setpoint, by the rest over the conductance."""
    small = dataclasses.replace(MACHINE, capacity=2000.0, air_flow=0.13)
    zone = room(heat=np.full(HOURS, 6000.0), conductance_outdoors=400.0, cooling=small)
    found, _, _ = run(zone, still(30.0, 10.0), 240)
    assert found[-1, DEMAND] == 1.0
    assert found[-1, ZONE_T] > 30.0


def test_dehumidifier_holds_its_setpoint_and_warms_the_room() -> None:
    """At 50 % it takes what is brought; its heat is its power, the latent heat stays in the air."""
    zone = room(
        moisture=np.full(HOURS, 0.5 / 3600.0),
        conductance_outdoors=100.0,
        dehumidifier=DRIER,
    )
    found, _, rh = run(zone, still(24.0, 8.0), 240)
    accounts = found[-1, N_STATES:] / 3600.0
    assert rh[-1] == pytest.approx(0.5, abs=1e-6)
    taken = -accounts[W_DRIER]
    assert taken == pytest.approx(0.5 / 3600.0 + accounts[W_SECTION], rel=1e-4)
    # enthalpy: power in, the water's own heat out
    assert accounts[H_DRIER] > 0.0
    # sensible: power and latent heat warm the room
    warmth = accounts[H_DRIER] + taken * float(vapor_enthalpy(found[-1, ZONE_T]))
    assert 100.0 * (found[-1, ZONE_T] - 24.0) == pytest.approx(warmth, rel=0.03)
    assert 0.0 < found[-1, DRYING] < 1.0


def test_a_dehumidifier_too_small_runs_all_the_time() -> None:
    """More water than it can take leaves the air above its setpoint."""
    zone = room(
        moisture=np.full(HOURS, 4e-4),
        conductance_outdoors=500.0,
        dehumidifier=dataclasses.replace(DRIER, capacity=1e-4),
        ventilation=Ventilation(np.full(HOURS, 0.03)),
    )
    found, _, rh = run(zone, still(24.0, 12.0), 96)
    assert found[-1, DRYING] == 1.0
    assert rh[-1] > 0.5


def test_a_closed_box_saturates_and_fog_falls() -> None:
    """Water set free in a tight box fills its air to saturation; the rest falls out, and it closes."""
    zone = room(moisture=np.full(HOURS, 1.0 / 3600.0), conductance_outdoors=500.0)
    found, report, rh = run(zone, still(20.0, 5.0), 96)
    assert rh.max() == pytest.approx(1.0, abs=1e-6)
    assert found[-1, N_STATES + W_FOG] == pytest.approx(-1.0, abs=0.02)
    assert report.water_relative < 1e-12


def test_ground_and_supply_set_a_crawl_space_by_hand() -> None:
    """Conductances to outdoors, soil and supply air: their weighted mean, heat and vapor alike."""
    ground = Ground(0.5, 30.0, 1e-8, 1.0)
    zone = room(
        kind="crawl space",
        outdoor_air=0.01,
        conductance_outdoors=20.0,
        ground=ground,
        supply=Supply(0.02, 13.0, 0.9),
        running_full=10.0,
        running_none=0.0,
        most_running=1.0,
    )
    dark = dataclasses.replace(foam(), outer=Face(emittance=0.0, absorptance=0.0))
    found, _, _ = run(zone, still(30.0, 20.0), 480, dark)
    stream_out, stream_in = (
        0.01 * 1.16 * AIR_HEAT_CAPACITY,
        0.02 * FAN_AIR_DENSITY * AIR_HEAT_CAPACITY,
    )
    weights = np.array([20.0 + stream_out, 30.0, stream_in])
    expected = float(weights @ np.array([30.0, 30.0, 13.0]) / weights.sum())
    assert found[-1, ZONE_T] == pytest.approx(expected, abs=0.3)


def test_sun_through_windows_is_heat() -> None:
    """A window's heat over a week is its area times its share of the sun on that plane."""
    from moistwall.loads.sun import plane_irradiance

    zone = room(windows=(Window(2.0, 180.0, 0.5),), conductance_outdoors=100.0)
    found, _, _ = run(zone, miami(), 168)
    sun = plane_irradiance(miami(), 90.0, 180.0)[:168].sum() * 3600.0
    assert found[:, N_STATES + 13].sum() == pytest.approx(sun, rel=1e-12)


def test_water_and_heat_of_a_busy_room_close() -> None:
    """A fortnight of Miami with people, machines, leaks and a wet wall closes to round-off, outside the kernel."""
    gypsum = Layer("gypsum", find_material("gypsum board"), 0.0125, initial_rh=0.8)
    section = Section("gypsum", (gypsum,), tilt=180.0)
    occupied = (np.arange(HOURS) % 24 > 8).astype(float)
    zone = room(
        area=200.0,
        contents=3e6,
        heat=800.0 * occupied,
        moisture=1e-4 * occupied,
        outdoor_air=0.02,
        ventilation=Ventilation(0.05 * occupied, 0.5, 0.4),
        conductance_outdoors=60.0,
        cooling=dataclasses.replace(MACHINE, fan="on", fan_power=200.0),
        heating_setpoint=20.0,
        dehumidifier=dataclasses.replace(DRIER, setpoint=0.55),
    )
    found, report, _ = run(zone, miami(), 336, section, first=4000)
    assert report.water_relative < 1e-13
    assert report.heat_relative < 1e-13
    assert report.drift_temperature < 0.01
    assert report.drift_rh < 1e-3
    assert 1.0 <= report.marches < 4.0
    assert np.abs(found[:, N_STATES + W_SECTION]).sum() > 5.0  # the wall buffers kilograms


def test_a_wall_buffers_its_room() -> None:
    """Daily swings of humidity are smaller beside gypsum than beside foam."""
    occupied = (np.arange(HOURS) % 24 > 12).astype(float)
    swings = []
    for name in ("XPS", "gypsum board"):
        section = Section("wall", (Layer("wall", find_material(name), 0.0125),), tilt=180.0)
        zone = room(area=200.0, moisture=5e-4 * occupied, heating_setpoint=24.0,
                    ventilation=Ventilation(np.full(HOURS, 0.05)))  # fmt: skip
        _, _, rh = run(zone, still(23.0, 12.0), 120, section)
        swings.append(np.ptp(rh[-24:]))
    assert swings[1] < 0.6 * swings[0]


def test_hours_in_pieces_are_the_same_to_the_bit() -> None:
    """A zone marched in one go and in pieces of 7 hours gives the same bytes."""
    section = dataclasses.replace(foam(), zone=room(heat=np.full(HOURS, 500.0), cooling=MACHINE))
    records = []
    for chunk in (730, 7):
        march, _ = march_of(build_grid(section), miami())
        assert isinstance(march, ZoneMarch)
        march.zone_record()
        march.hours(100, 48, chunk=chunk)
        records.append(march.zone_record())
    assert np.array_equal(*records)


def test_a_machine_that_is_off_takes_nothing() -> None:
    """While cooling is off neither coil nor fan does anything, and the room follows the weather."""
    off = CoolingOff("storm", "cooling off", 20, 28)
    section = dataclasses.replace(foam(), exposure=Exposure(cooling_off=(off,)))
    machine = dataclasses.replace(MACHINE, fan="on", fan_power=300.0)
    zone = room(heat=np.full(HOURS, 500.0), conductance_outdoors=100.0, cooling=machine)
    found, _, _ = run(zone, still(30.0, 20.0), 60, section)
    dark = found[20:48, N_STATES:]
    assert np.all(dark[:, [W_COOLING, H_COOLING, 22]] == 0.0)
    assert found[47, ZONE_T] == pytest.approx(35.0, abs=0.2)
    assert found[-1, ZONE_T] == pytest.approx(24.0, abs=1e-6)


def test_the_reference_of_enthalpy_changes_nothing() -> None:
    """Moving the temperature at which water has no enthalpy by 100 K moves no temperature of the zone."""
    from moistwall.solver.march import Accuracy

    zone = room(area=50.0, moisture=np.full(HOURS, 2e-4), conductance_outdoors=50.0)
    section = dataclasses.replace(foam(), zone=zone)
    found = []
    for reference in (0.0, 100.0):
        march, _ = march_of(build_grid(section), miami(), Accuracy(reference_temperature=reference))
        assert isinstance(march, ZoneMarch)
        march.zone_record()
        march.hours(0, 72)
        found.append(march.zone_record()[:, [ZONE_T, ZONE_W]])
    assert np.abs(found[0] - found[1]).max() < 1e-3


def test_a_zone_that_does_not_close_is_refused() -> None:
    """The closing finds a kilogram that a machine is said to have taken."""
    from moistwall.errors import BalanceError

    section = dataclasses.replace(foam(), zone=room(heat=np.full(HOURS, 100.0)))
    march, _ = march_of(build_grid(section), miami())
    assert isinstance(march, ZoneMarch)
    march.zone_record()
    start = march.zone_contents()
    record = march.hours(0, 24)
    found = march.zone_record()
    assert isinstance(closed_zone(march, record, found, start), ZoneReport)
    found[5, N_STATES + W_COOLING] -= 1.0
    with pytest.raises(BalanceError, match="the zone's moisture balance"):
        closed_zone(march, record, found, start)


def test_a_zone_that_nothing_can_move_is_a_plain_room() -> None:
    """Beside air too much to change, a section answers as beside a prescribed room of the same state."""
    gypsum = Layer("gypsum", find_material("gypsum board"), 0.0125, initial_rh=0.8)
    wool = Layer("wool", find_material("mineral wool"), 0.1)
    plain = Section("wall", (wool, gypsum), room_temperature=24.0, room_rh=START_RH)
    endless = room(kind="attic", area=100.0, volume=1e15, contents=1e21)
    found = []
    for section in (plain, dataclasses.replace(plain, zone=endless)):
        march, _ = march_of(build_grid(section), miami())
        record = march.hours(4000, 240)
        found.append((record.temperature, record.humidity, record.content, record.flow))
    for alone, beside in zip(*found, strict=True):
        assert np.abs(alone - beside).max() <= 1e-9 * np.abs(alone).max()


DECAYS = (0.4, 0.2, 0.1, 0.05)
"""Air changes an hour of the transients below. [1/h]"""


def decay(changes: float) -> tuple[np.ndarray, float]:
    """Humidity ratio of a leaky room over that of outdoor air, over its first value; and its air changes."""
    volume = 3000.0
    zone = room(volume=volume, outdoor_air=changes * volume / 3600.0, conductance_outdoors=1e6)
    weather = still(20.0, 2.0)
    section = dataclasses.replace(foam(), zone=zone, room_temperature=20.0)
    march, rows = march_of(build_grid(section), weather)
    assert isinstance(march, ZoneMarch)
    series = zone_series(section, weather, rows)
    start = march.zone_contents()[0] / march.numbers.air
    march.zone_record()
    march.hours(0, 48)
    outdoors = series[0, OUT_W]
    excess = (march.zone_record()[:, ZONE_W] - outdoors) / (start - outdoors)
    return excess, 3600.0 * series[0, AIR_IN] / march.numbers.air


@pytest.mark.parametrize("changes", DECAYS)
def test_a_step_outdoors_decays_as_backward_euler_does(changes: float) -> None:
    """Each hour divides what is left by 1 + air changes: the method, and no other error."""
    excess, rate = decay(changes)
    expected = (1.0 + rate) ** -np.arange(1.0, 49.0)
    assert np.abs(excess - expected).max() < 2e-3


def test_the_hour_is_of_first_order_in_time() -> None:
    """Against the exponential the error at one time constant halves with the air changes of an hour."""
    errors = []
    for changes in DECAYS:
        excess, rate = decay(changes)
        hours = np.arange(1.0, 49.0)
        errors.append(float(np.interp(1.0 / rate, hours, excess - np.exp(-rate * hours))))
    orders = np.log2(np.array(errors[:-1]) / errors[1:])
    assert np.all((orders > 0.8) & (orders < 1.2)), (errors, orders)
    assert errors[2] == pytest.approx(0.5 * 0.1 * np.exp(-1.0), rel=0.15)
