"""Which way finishes, foam and the setpoint push the back of the finish, over a Miami year.

Burch 1993 (ASHRAE Transactions; computed walls at Lake Charles): an impermeable inside finish in an
air-conditioned wall brings its back above 80 % RH; the setpoint and the finish matter most.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from moistwall.assembly import load_section
from moistwall.assess.condensation import WetHours, wet_hours
from moistwall.climate.read import read_climate
from moistwall.library import data_folder, find_climate_path
from moistwall.simulate import simulate


@cache
def behind_finish(example: str, room: float | None = None) -> WetHours:
    """The wettest place inside of the wool of an example, by hours at 80 % RH and then by humidity."""
    section = load_section(data_folder("examples") / f"{example}.toml")
    if room is not None:
        section = replace(section, room_temperature=room)
    result = simulate(section, read_climate(find_climate_path("miami")))
    rows = [row for row in wet_hours(result) if row.part == "gypsum board" and not row.surface]
    return max(rows, key=lambda row: (row.hours_rh_80, row.rh_mean))


def test_foil_faced_foam_outside_takes_the_load_off_vinyl() -> None:
    """The same vinyl behind two inches of foil-faced foam stays drier at its back."""
    bare = behind_finish("heron-point-wall-no-foam-vinyl")
    foam = behind_finish("heron-point-wall-vinyl")
    assert foam.hours_rh_80 < bare.hours_rh_80 - 500
    assert foam.rh_mean < bare.rh_mean


def test_cold_room_is_worse_than_a_warm_one() -> None:
    """At 70 degF the back of vinyl is damp for far more hours than at 78 degF."""
    cold = behind_finish("heron-point-wall-no-foam-vinyl", 21.1)
    warm = behind_finish("heron-point-wall-no-foam-vinyl", 25.6)
    assert cold.hours_rh_80 > warm.hours_rh_80 + 500
    assert cold.contact_hours_outdoor_air > warm.contact_hours_outdoor_air + 500
