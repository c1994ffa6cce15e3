"""A cooling coil at full and at part load, a dehumidifier, and what cannot be either."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest

from moistwall.air import (
    enthalpy,
    humidity_ratio_from_vapor_pressure,
    saturation_pressure,
    vapor_enthalpy,
)
from moistwall.errors import InputError
from moistwall.loads.coil import RATED_RATIO, RATED_TEMPERATURE, rated_coil
from moistwall.solver.kernel.machines import (
    Coil,
    drier_shares,
    full_load,
    latent_share,
    part_load,
    run_share,
    saturated_at,
    wet_bulb,
)
from moistwall.solver.zone_series import machines_of
from moistwall.zone import AirConditioner, Zone

PRESSURE = 101_325.0
TWO_TONS = AirConditioner(23.9, 7034.0, 0.75, 0.453, "auto", 292.0)
NOBODY = np.zeros(8760)


def coil_of(machine: AirConditioner) -> Coil:
    """The coil of a machine as the kernel knows it."""
    return machines_of(Zone("room", 1.0, 1.0, 0.0, NOBODY, NOBODY, cooling=machine))[0]


def running(demand: float, **changes: object) -> tuple[float, float, float, float]:
    """The two-ton machine at rating, asked for a share of its running."""
    coil = coil_of(dataclasses.replace(TWO_TONS, **changes))
    return part_load(coil, demand, RATED_TEMPERATURE, RATED_RATIO, 35.0, PRESSURE)


def test_rated_coil_gives_its_rated_split() -> None:
    """At rating and full running: the rated heat, the rated sensible share, water by the rest of it."""
    total, removal, fan, apparatus = running(1.0)
    latent = removal * float(vapor_enthalpy(RATED_TEMPERATURE))
    assert total == pytest.approx(7034.0, rel=2e-4)
    assert latent / total == pytest.approx(0.25, abs=2e-4)
    assert removal == pytest.approx(rated_coil(TWO_TONS).removal, rel=1e-3)
    assert fan == 292.0
    assert 10.0 < apparatus < 14.0


def test_air_behind_the_coil_lies_on_the_line_to_its_apparatus_dew_point() -> None:
    """Inlet, outlet and saturated air at the apparatus dew point lie on one line in h and W."""
    coil, rated = coil_of(TWO_TONS), rated_coil(TWO_TONS)
    total, removal, apparatus, _ = full_load(
        coil, RATED_TEMPERATURE, RATED_RATIO, 35.0, 1.0, PRESSURE
    )
    saturated = float(humidity_ratio_from_vapor_pressure(saturation_pressure(apparatus)))
    inlet = float(enthalpy(RATED_TEMPERATURE, RATED_RATIO))
    passed = 1.0 - total / coil.air_flow / (inlet - float(enthalpy(apparatus, saturated)))
    assert passed == pytest.approx(math.exp(-rated.units), rel=1e-3)
    behind = RATED_RATIO - removal / coil.air_flow
    assert behind == pytest.approx(passed * RATED_RATIO + (1.0 - passed) * saturated, rel=1e-6)


@pytest.mark.parametrize("temperature", [5.0, 20.0, 35.0])
def test_saturated_air_and_wet_bulb(temperature: float) -> None:
    """Saturated air has its own temperature as wet bulb, and is found by its enthalpy."""
    ratio = float(humidity_ratio_from_vapor_pressure(saturation_pressure(temperature)))
    assert wet_bulb(temperature, ratio, PRESSURE) == pytest.approx(temperature, abs=1e-6)
    found = saturated_at(float(enthalpy(temperature, ratio)), PRESSURE)
    assert found == pytest.approx(temperature, abs=1e-6)


def test_wet_bulb_of_the_rating() -> None:
    """80 degF with W 0.01116 has a wet bulb of 67 degF (a psychrometric chart says so)."""
    assert wet_bulb(RATED_TEMPERATURE, RATED_RATIO, PRESSURE) == pytest.approx(19.44, abs=0.02)


def test_dry_air_is_cooled_but_not_dried() -> None:
    """Air whose dew point is below the apparatus dew point gives up no water."""
    _, removal, _, apparatus = part_load(coil_of(TWO_TONS), 1.0, 24.0, 0.004, 30.0, PRESSURE)
    assert removal == 0.0
    assert apparatus > 2.0


@pytest.mark.parametrize("share", [0.05, 0.2, 0.4])
def test_a_fan_that_never_stops_gives_back_what_short_runs_took(share: float) -> None:
    """At low running with the fan on next to no water leaves, while auto drains its share of it."""
    steady = running(1.0)[1]
    assert running(share, fan="on")[1] == pytest.approx(0.0, abs=1e-12)
    assert running(share)[1] > 0.8 * share * steady


def test_latent_removal_rises_with_running_and_falls_with_the_fan_on() -> None:
    """More running takes more water per run; with the fan on never more than on auto; at full all is equal."""
    shares = np.linspace(0.05, 1.0, 20)
    per_run = {
        fan: np.array([running(x, fan=fan)[1] / x for x in shares]) for fan in ("auto", "on")
    }
    for removal in per_run.values():
        assert np.all(np.diff(removal) >= -1e-12)
    assert np.all(per_run["on"] <= per_run["auto"] + 1e-15)
    assert per_run["on"][-1] == per_run["auto"][-1]


@pytest.mark.parametrize(
    ("share", "expected"), [(0.6, 0.128), (0.7, 0.415), (0.8, 0.648), (0.9, 0.839)]
)
def test_published_part_load_form(share: float, expected: float) -> None:
    """Henderson and Rengarajan's t_o, solved by hand, with their coil: 1000 s, gamma 1.5, 3 starts, 45 s.

    The form here counts water that condenses less water that evaporates; theirs counts full capacity from
    t_o on. The two agree to 0.02 of the steady removal.
    """
    on, off, tau = 3600.0 / (12.0 * (1.0 - share)), 3600.0 / (12.0 * share), 45.0
    blown = min(off, 2.0 * 1000.0 / 1.5)
    back = 1.5 * blown - 2.25 / 4000.0 * blown**2
    t_o = back
    for _ in range(200):
        t_o = back - tau * (math.exp(-t_o / tau) - 1.0)
    theirs = max(on - t_o, 0.0) / on
    coil = coil_of(dataclasses.replace(TWO_TONS, fan="on"))
    removal = rated_coil(TWO_TONS).removal
    depression = RATED_TEMPERATURE - wet_bulb(RATED_TEMPERATURE, RATED_RATIO, PRESSURE)
    ours = latent_share(share, coil, removal, depression)
    assert ours == pytest.approx(theirs, abs=0.02)
    assert theirs == pytest.approx(expected, abs=0.002)


def test_starts_cost_capacity() -> None:
    """A machine that runs t_on gives 1 - tau/t_on (1 - exp(-t_on/tau)) of its steady heat."""
    coil = coil_of(TWO_TONS)
    on = 3600.0 / (4.0 * 3.0 * 0.5)
    assert run_share(0.5, coil) == pytest.approx(1.0 - 45.0 / on * (1.0 - math.exp(-on / 45.0)))
    assert run_share(1.0, coil) == 1.0


def test_a_larger_machine_dries_less() -> None:
    """For the same heat, twice the machine runs half the time and takes less water, much less with the fan on."""
    twice = dataclasses.replace(TWO_TONS, capacity=14068.0, air_flow=0.906)
    for fan, most in (("auto", 1.0), ("on", 0.5)):
        one = running(0.8, fan=fan)[1]
        two = part_load(
            coil_of(dataclasses.replace(twice, fan=fan)),
            0.4,
            RATED_TEMPERATURE,
            RATED_RATIO,
            35.0,
            PRESSURE,
        )[1]
        assert two < most * one


def test_variable_speed_dries_steadily() -> None:
    """Above its lowest speed a variable machine never stops, so that the fan on takes nothing back."""
    slow = running(0.5, fan="on", lowest_speed=0.3)
    assert slow[1] > 0.3 * running(1.0)[1]
    assert running(0.5, fan="on")[1] < 0.01 * slow[1]
    assert slow[2] == pytest.approx(0.5 * 292.0)


def test_capacity_follows_wet_bulb_and_outdoor_air() -> None:
    """2.4 % a kelvin of wet bulb, -0.9 % a kelvin outdoors (from memory)."""
    hot = part_load(coil_of(TWO_TONS), 1.0, RATED_TEMPERATURE, RATED_RATIO, 40.0, PRESSURE)[0]
    assert hot == pytest.approx(0.955 * running(1.0)[0], rel=1e-4)


@pytest.mark.parametrize(
    ("temperature", "rh", "water"), [(26.7, 0.6, 0.99), (18.3, 0.6, 0.65), (21.0, 0.5, 0.56), (5.0, 0.5, 0.0)]
)  # fmt: skip
def test_dehumidifier_takes_less_from_cool_air(temperature: float, rh: float, water: float) -> None:
    """Near 1 at 80 degF and 60 %, 0.65 at 65 degF (the two rating points), 0 when cold; from memory."""
    assert drier_shares(temperature, rh)[0] == pytest.approx(water, abs=0.02)


@pytest.mark.parametrize(
    ("changes", "problem"),
    [
        ({"sensible_share": 0.5}, "asks for a coil colder than freezing"),
        ({"sensible_share": 0.9}, "is what no coil does"),
        ({"air_flow": 0.2}, "is what no coil does"),
    ],
)
def test_coils_that_cannot_be(changes: dict[str, float], problem: str) -> None:
    """A rating whose coil would ice over, or that no coil has, is refused."""
    with pytest.raises(InputError, match=problem):
        rated_coil(dataclasses.replace(TWO_TONS, **changes))
