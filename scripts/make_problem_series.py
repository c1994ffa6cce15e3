"""Write the series of the verification problems that are not typed by hand.

    python scripts/make_problem_series.py

``wall-miami.csv`` is July of the Miami year on a wall that faces west: the temperature that the outside
air would need without sun and sky to give the wall the same heat (sol-air temperature, ASHRAE
Fundamentals ch. 18), with one film coefficient, and the vapor pressure of the air.
The others are made up: ``condensing-wool.csv`` is a cold spell of two days, then warmth;
``hamstad-1.csv`` a winter of three months from waves of a day, a week and a season, since the climate of
the benchmark is not at hand; ``hamstad-4.csv`` five days of sun and showers.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

from moistwall.air import KELVIN, STEFAN_BOLTZMANN
from moistwall.climate.hours import node_readings, node_values
from moistwall.climate.read import read_climate
from moistwall.loads.sky import longwave_on_plane
from moistwall.loads.sun import plane_irradiance

ROOT = Path(__file__).resolve().parent.parent
PROBLEMS = ROOT / "moistwall" / "verify" / "problems"

FILM = 17.0
"""Film of the outside, convection and radiation together (ASHRAE, summer). [W/(m2 K)]"""

ABSORPTANCE, EMITTANCE = 0.6, 0.9
TILT, AZIMUTH = 90.0, 270.0
FIRST_HOUR, HOURS = 181 * 24, 744
"""July."""


def write(name: str, notes: list[str], columns: dict[str, np.ndarray], digits: int) -> None:
    """Write one table, an hour a row."""
    lines = [f"# {note}" for note in notes]
    lines.append(",".join(["hour", *columns]))
    for hour, row in enumerate(zip(*columns.values(), strict=True)):
        lines.append(",".join([str(hour), *(f"{value:.{digits}f}" for value in row)]))
    (PROBLEMS / name).write_text("\n".join(lines) + "\n", encoding="utf-8")


def wall_miami() -> None:
    """Equivalent temperature and vapor pressure of a month."""
    climate = read_climate(ROOT / "climates" / "miami.csv")
    air = node_readings(climate.temperature)
    sun = node_values(plane_irradiance(climate, TILT, AZIMUTH))
    sky = node_readings(longwave_on_plane(climate, TILT))
    lost = STEFAN_BOLTZMANN * (air + KELVIN) ** 4
    equivalent = air + (ABSORPTANCE * sun + EMITTANCE * (sky - lost)) / FILM
    rows = slice(FIRST_HOUR, FIRST_HOUR + HOURS + 1)
    write(
        "wall-miami.csv",
        [
            "July of the Miami TMY2 year on a wall that faces west; made by make_problem_series.py",
            f"equivalent temperature with a film of {FILM:g} W/(m2 K), absorptance {ABSORPTANCE:g}, "
            f"emittance {EMITTANCE:g}",
        ],
        {
            "equivalent_degC": equivalent[rows],
            "vapor_Pa": node_readings(climate.vapor_pressure)[rows],
        },
        3,
    )


def condensing_wool() -> None:
    """Two days of cold, then warmth."""
    hour = np.arange(241.0)
    outside = np.interp(hour, [0.0, 6.0, 48.0, 60.0, 240.0], [21.0, 5.0, 5.0, 25.0, 25.0])
    room = np.interp(hour, [0.0, 48.0, 60.0, 240.0], [1500.0, 1500.0, 1000.0, 1000.0])
    write(
        "condensing-wool.csv",
        ["invented: a cold spell of two days, then warmth; made by make_problem_series.py"],
        {"outside_degC": outside, "room_vapor_Pa": room},
        3,
    )


def hamstad_1() -> None:
    """Three months of winter."""
    hour = np.arange(90.0 * 24.0 + 1.0)
    day = hour / 24.0
    season = 8.0 - 6.0 * np.sin(np.pi * day / 90.0)
    wave = 6.0 * np.cos(2.0 * np.pi * (day - 0.6)) + 4.0 * np.sin(2.0 * np.pi * day / 7.0)
    write(
        "hamstad-1.csv",
        ["invented: waves of a day, a week and a season; made by make_problem_series.py"],
        {"outside_degC": season + wave},
        3,
    )


def hamstad_4() -> None:
    """Five days of sun and showers; rain is the mean of the hour that ends there."""
    hour = np.arange(121.0)
    sun = np.maximum(np.sin(2.0 * np.pi * (hour / 24.0 - 0.25)), 0.0)
    outside = 12.0 + 4.0 * np.cos(2.0 * np.pi * (hour / 24.0 - 0.6)) + 22.0 * sun**2
    rain = np.zeros(121)
    for first, last, rate in ((20, 26, 1e-4), (50, 53, 2e-4), (54, 58, 5e-5), (90, 100, 3e-5)):
        rain[first + 1 : last + 1] = rate
    lines = [
        "# invented: five days of sun and showers; made by make_problem_series.py",
        "hour,equivalent_degC,vapor_Pa,rain_kg_m2s",
    ]
    for k in range(121):
        wet = f"{rain[k]:g}" if k else ""
        lines.append(f"{k},{outside[k]:.3f},{1050.0 + 150.0 * sun[k]:.1f},{wet}")
    (PROBLEMS / "hamstad-4.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    hamstad_1()
    hamstad_4()
    wall_miami()
    condensing_wool()
