"""Cases of what stands around a section: moist air, sun on planes, moisture of wood."""

from __future__ import annotations

import hashlib

import numpy as np
from numpy.typing import NDArray

from moistwall import air
from moistwall.climate.read import read_climate
from moistwall.library import data_folder
from moistwall.loads.sun import plane_irradiance
from moistwall.material_curves import wood_moisture_content
from moistwall.verify.case import REFERENCES, Case, Comparison, Curve, Outcome, compare
from moistwall.verify.reference import read_reference

Array = NDArray[np.float64]

CONSTANTS = "the gas constants of both differ by 1e-4"

TEMPERATURES = (
    -40.0,
    -20.0,
    -5.0,
    0.0,
    5.0,
    10.0,
    15.0,
    20.0,
    25.0,
    30.0,
    35.0,
    40.0,
    50.0,
    60.0,
    70.0,
    80.0,
)
HUMIDITIES = (0.1, 0.3, 0.5, 0.7, 0.9, 1.0)

PLANES = {
    "wall to the south": (90.0, 180.0),
    "wall to the west": (90.0, 270.0),
    "roof": (18.4, 90.0),
}
"""Tilt and azimuth of the planes compared with pvlib. [deg]"""

LOW_SUN = 85.0
"""Zenith angle beyond which the sky is taken as even, unlike in pvlib. [deg]"""

WOOD_TEMPERATURE = 21.1
WOOD_PERCENT = (
    1.3, 2.5, 3.5, 4.5, 5.4, 6.2, 6.9, 7.7, 8.5, 9.2, 10.1, 11.0, 12.0, 13.1, 14.4, 16.0, 17.9, 20.5, 23.9,
)  # fmt: skip
"""Moisture content of wood at 70 degF and 5 to 95 % in steps of 5, as the USDA Wood Handbook, table 4-2,
prints it (from memory). [percent of dry mass]"""


def moist_air_states() -> list[tuple[float, float]]:
    """Temperatures [degC] and relative humidities [-] of the states compared."""
    return [(t, rh) for t in TEMPERATURES for rh in HUMIDITIES]


def moist_air_key() -> str:
    """Key of these states, which the reference must carry."""
    return hashlib.sha256(repr(moist_air_states()).encode("utf-8")).hexdigest()


def moist_air() -> Outcome:
    """Moist air beside psychrolib."""
    reference = read_reference(REFERENCES / "moist-air.csv", moist_air_key()).columns
    t, rh = reference["temperature_degC"], reference["relative_humidity"]
    saturated = air.saturation_pressure(t)
    vapor = rh * saturated
    ratio = air.humidity_ratio_from_vapor_pressure(vapor)
    dew_point = air.dew_point_from_vapor_pressure(vapor)
    comparisons = [
        compare(
            "saturation pressure, -40 to 80 degC",
            "Pa",
            reference["saturation_Pa"],
            saturated,
            5e-7,
            "error of the polynomial",
            relative=True,
        ),
        compare(
            "dew point",
            "degC",
            reference["dew_point_degC"],
            dew_point,
            0.002,
            "psychrolib's iteration, 0.001 K",
        ),
        compare(
            "humidity ratio",
            "kg/kg",
            reference["humidity_ratio"],
            ratio,
            5e-4,
            CONSTANTS,
            relative=True,
        ),
        compare(
            "density",
            "kg/m3",
            reference["density_kg_m3"],
            air.density(t, vapor),
            5e-4,
            CONSTANTS,
            relative=True,
        ),
        compare(
            "enthalpy",
            "J/kg",
            reference["enthalpy_J_kg"],
            air.enthalpy(t, ratio),
            800.0,
            "latent heat 2500 against 2501 kJ/kg",
        ),
    ]
    here = rh == 0.5
    curve = Curve(
        "Saturation pressure",
        "temperature [degC]",
        "pressure [Pa]",
        {"moistwall": (t[here], saturated[here])},
        {"psychrolib": (t[here], reference["saturation_Pa"][here])},
    )
    return Outcome(comparisons, [curve])


def sun() -> Outcome:
    """Sun on planes beside pvlib, called with its own times."""
    import pandas as pd
    import pvlib  # type: ignore[import-untyped]

    climate = read_climate(data_folder("climates") / "miami.csv")
    zone = f"Etc/GMT{-int(climate.time_zone):+d}"
    times = pd.date_range("2001-01-01 00:30", periods=8760, freq="h", tz=zone)
    place = pvlib.location.Location(climate.latitude, climate.longitude, zone, climate.elevation)
    position = place.get_solarposition(times)
    extra = pvlib.irradiance.get_extra_radiation(times.day_of_year.to_numpy())
    high = (position["apparent_zenith"].to_numpy() < LOW_SUN) & (climate.sun_diffuse > 0.0)
    comparisons: list[Comparison] = []
    lines: dict[str, tuple[Array, Array]] = {}
    marks: dict[str, tuple[Array, Array]] = {}
    day = slice(24 * 171, 24 * 172)
    hours: Array = np.arange(24, dtype=np.float64) + 0.5
    for name, (tilt, azimuth) in PLANES.items():
        theirs = pvlib.irradiance.get_total_irradiance(
            tilt,
            azimuth,
            position["apparent_zenith"].to_numpy(),
            position["azimuth"].to_numpy(),
            climate.sun_direct,
            climate.sun_global,
            climate.sun_diffuse,
            dni_extra=extra,
            airmass=pvlib.atmosphere.get_relative_airmass(position["apparent_zenith"].to_numpy()),
            albedo=0.2,
            model="perez",
        )["poa_global"]
        theirs = np.asarray(theirs, dtype=np.float64)
        ours: Array = plane_irradiance(climate, tilt, azimuth)
        comparisons.append(
            compare(
                f"{name}, hours with the sun above 5 deg",
                "W/m2",
                theirs[high],
                ours[high],
                1.0,
                "moistwall",
            )
        )
        lines[name] = (hours, ours[day])
        marks[f"{name}, pvlib"] = (hours, np.nan_to_num(theirs[day]))
    curve = Curve(
        "Sun on planes, 21 June of the Miami year",
        "hour of the day",
        "irradiance [W/m2]",
        lines,
        marks,
    )
    return Outcome(comparisons, [curve])


def wood() -> Outcome:
    """Moisture of wood beside the table of the Wood Handbook."""
    rh = np.arange(5, 100, 5) / 100.0
    ours = 100.0 * wood_moisture_content(rh, WOOD_TEMPERATURE)
    comparison = compare(
        "moisture content at 70 degF, 5 to 95 %",
        "percent of dry mass",
        WOOD_PERCENT,
        ours,
        0.11,
        "rounding of the table; real wood scatters by 1",
    )
    curve = Curve(
        "Moisture of wood at 70 degF",
        "relative humidity [-]",
        "percent of dry mass",
        {"moistwall": (rh, ours)},
        {"USDA Wood Handbook": (rh, np.array(WOOD_PERCENT))},
    )
    return Outcome([comparison], [curve])


CASES = [
    Case(
        "moist-air",
        "saturation, dew point, humidity, density and enthalpy of air are those of the handbook",
        "psychrolib: ASHRAE Fundamentals ch. 1, Hyland and Wexler 1983",
        moist_air,
    ),
    Case(
        "sun",
        "the sun falls on planes at the right hour and strength",
        "pvlib, called with times of its own",
        sun,
    ),
    Case(
        "wood",
        "the moisture of wood follows the handbook",
        "USDA Wood Handbook ch. 4, table 4-2 (from memory)",
        wood,
    ),
]
"""The cases of this module."""
