"""Water in the layers when the first year begins: as given, by a preset, or as assumed."""

from __future__ import annotations

import math

import numpy as np

from moistwall.assembly.exposure_schema import Preset
from moistwall.assembly.fields import Wetness
from moistwall.errors import Fault
from moistwall.material import Material

START_HUMIDITY = 0.7
"""Relative humidity of the pores at the start of the first year: estimate. [-]"""

ASSUMED_START: tuple[float, None] = (START_HUMIDITY, None)
"""What a layer starts with of which nothing is said: humidity, no content."""

DRY = 0.01
"""Least humidity of the pores that a layer may start with. [-]"""

PRESETS: dict[Preset, tuple[str, str]] = {
    "damp lumber": (
        "lumber at 19 %MC",
        "PS 20: the most that lumber sold as dry may hold, from memory",
    ),
    "rained on during framing": (
        "lumber at 25 %MC and wood panels at 30 %MC, from the water-control layer inward",
        "common practice, no source",
    ),
    "flooded": (
        "wood panels at 50 %MC, other wood at 40 %MC, wool at all that it holds, whatever else "
        "soaks up water at free saturation",
        "common practice, no source",
    ),
}
"""What each preset sets, in words, and where it comes from."""

_WOOD: dict[Preset, dict[str, float]] = {
    "damp lumber": {"lumber": 0.19},
    "rained on during framing": {"lumber": 0.25, "sheathing": 0.30},
    "flooded": {"lumber": 0.40, "sheathing": 0.50, "cladding": 0.40},
}
"""Moisture content by kind of wood. [kg/kg]"""


def preset_content(preset: Preset, material: Material, *, inward: bool) -> float | None:
    """Water that a preset gives to a layer.

    Parameters
    ----------
    preset : str
        One of `PRESETS`.
    material : Material
        What the layer is made of.
    inward : bool
        Whether it lies inward of the cladding, or is the water-control layer itself.

    Returns
    -------
    float or None
        Water content; None if the preset leaves the layer alone. [kg/m3]
    """
    if preset != "flooded" and not inward:
        return None
    share = _WOOD[preset].get(material.kind) if material.wood else None
    if share is not None:
        return min(share * material.density, material.storage.holds)
    if preset == "flooded" and material.kind == "wool":
        return material.storage.holds
    if preset == "flooded" and material.capillary:
        return material.storage.free
    return None


def start_of(
    material: Material,
    start: Wetness | None,
    humidity: float | None,
    preset: Preset | None,
    *,
    inward: bool,
) -> tuple[float, float | None]:
    """Water of a layer at the start.

    Parameters
    ----------
    material : Material
        What it is made of.
    start, humidity : Wetness or None, float or None
        As the file gives it; one of them at most.
    preset : str or None
        One of `PRESETS`.
    inward : bool
        As in `preset_content`.

    Returns
    -------
    rh : float
        Relative humidity of the pores. [-]
    content : float or None
        Water content instead, if it is given so. [kg/m3]
    """
    if humidity is not None:
        return humidity, None
    if start is not None:
        content = content_of(start, material)
        return (start.value, None) if content is None else (START_HUMIDITY, content)
    if preset is not None:
        content = preset_content(preset, material, inward=inward)
        if content is not None:
            return START_HUMIDITY, content
    return ASSUMED_START


def content_of(wetness: Wetness, material: Material) -> float | None:
    """Water content that a start gives; None if it is a humidity. [kg/m3]"""
    if wetness.kind == "share":
        return None
    scale = material.density if wetness.kind == "moisture_content" else 1.0
    return wetness.value * scale


def content_in_equilibrium(wetness: Wetness, material: Material) -> float:
    """Water content of a wetness, that of the sorption curve where it is a humidity. [kg/m3]

    Parameters
    ----------
    wetness : Wetness
        As a file or an option gives it.
    material : Material
        What it is in.
    """
    content = content_of(wetness, material)
    if content is not None:
        return content
    return float(material.storage.content(np.array([math.log(wetness.value)]))[0])


def fault_of_start(wetness: Wetness, material: Material, field: str) -> Fault | None:
    """Find water that a material cannot hold.

    Parameters
    ----------
    wetness : Wetness
        Water at the start.
    material : Material
        What it is in.
    field : str
        Where it stands in the file.

    Returns
    -------
    Fault or None
        None if it can be.
    """
    content = content_of(wetness, material)
    if content is None:
        return None
    dry = float(material.storage.content(np.array([math.log(DRY)]))[0])
    most = material.storage.holds
    if dry <= content <= most:
        return None
    problem = f"is more water than {material.name} holds"
    if content < dry:
        problem = f"is less water than {material.name} has at {100.0 * DRY:g} % relative humidity"
    share = 100.0 / material.density
    remedy = (
        f"give {dry:.3g} to {most:.3g} kg/m3, that is {dry * share:.2g} to {most * share:.3g} %MC"
    )
    return Fault("", field, wetness.text, problem, remedy)
