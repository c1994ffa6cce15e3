"""Can it dry? What lies between each layer that moisture harms and the air on either side of it.

Nothing is simulated: vapor resistances at wet cup in series, outward and inward, to the outdoor air, the
room or the first ventilated gap. A layer with less than about 1 perm on both sides keeps what gets
into it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from moistwall.air import GAS_CONSTANT_VAPOR, KELVIN, still_air_permeability
from moistwall.assess.air_spaces import OPEN_SHARE
from moistwall.material import WET_CUP_RH, Material
from moistwall.material_vapor import CLASS_LIMITS, VaporClass, vapor_class
from moistwall.section import Film, Gap, Layer, Part, Section

SENSITIVE_CLASSES = ("very sensitive", "sensitive")
"""Mold classes of wood, panels and paper."""

SENSITIVE_KINDS = ("lumber", "sheathing")
"""Folders of the library whose materials hold the building up or its cladding on."""

LEAST_DRYING = dict(CLASS_LIMITS)["II"]
"""Permeance below which a side hardly dries: 1 perm (common practice, no source). [kg/(m2 s Pa)]"""

NEAR = 1.25
"""A permeance within this factor of the limit is near it: 'about 1 perm' (common practice, no source).
[-]"""

GAP_TEMPERATURE = 25.0
"""Temperature of the air that flushes a gap, which hardly matters. [degC]"""

Ways = Literal["both ways", "inward only", "outward only", "neither way"]


@dataclass(frozen=True)
class Path:
    """Way of vapor from a face of a layer to air.

    Parameters
    ----------
    to : str
        'outdoor air', 'room air' or the name of a ventilated gap.
    parts : tuple of str
        What lies between, from the layer on.
    permeance : float or None
        Of all of it at wet cup; None where nothing lies between. [kg/(m2 s Pa)]
    tightest : str
        The part with the most resistance; empty where nothing lies between.
    vapor_class : {'I', 'II', 'III', 'open'}
        Class of that permeance, by the limits that codes set for the dry cup.
    """

    to: str
    parts: tuple[str, ...]
    permeance: float | None
    tightest: str
    vapor_class: VaporClass

    @property
    def dries(self) -> bool:
        """False below about 1 perm."""
        return self.permeance is None or self.permeance >= LEAST_DRYING


@dataclass(frozen=True)
class DryingPaths:
    """Both ways out of one layer.

    Parameters
    ----------
    layer, material : str
        Name of the layer and of what it is made of.
    own_permeance : float
        Of the layer itself at wet cup, without facers. [kg/(m2 s Pa)]
    outward, inward : Path
        From its outer and from its inner face.
    """

    layer: str
    material: str
    own_permeance: float
    outward: Path
    inward: Path

    @property
    def ways(self) -> Ways:
        """Which ways have about 1 perm or more."""
        if self.outward.dries:
            return "both ways" if self.inward.dries else "outward only"
        return "inward only" if self.inward.dries else "neither way"

    @property
    def cannot_dry(self) -> bool:
        """True if neither side has 1 perm: the double barrier."""
        return self.ways == "neither way"

    @property
    def near(self) -> bool:
        """True if a factor of 1.25 in the more open of its two sides would change `cannot_dry`."""
        sides = (self.outward.permeance, self.inward.permeance)
        given = [value for value in sides if value is not None]
        if len(given) < len(sides):
            return False
        return LEAST_DRYING / NEAR <= max(given) < LEAST_DRYING * NEAR


def is_sensitive(material: Material) -> bool:
    """Whether moisture harms a material: wood, panels, sheathing, and what has paper on it.

    Parameters
    ----------
    material : Material
        The material.
    """
    return (
        material.wood
        or material.kind in SENSITIVE_KINDS
        or material.mold_class in SENSITIVE_CLASSES
    )


def part_resistance(part: Part) -> float:
    """Vapor resistance of a part at wet cup.

    Parameters
    ----------
    part : Layer, Film or Gap
        A gap counts as still air.

    Returns
    -------
    float
        [m2 s Pa/kg]
    """
    if isinstance(part, Layer):
        material = part.material
        delta = np.interp(WET_CUP_RH, material.vapor_rh, material.vapor_permeability)
        return float(part.thickness / delta)
    if isinstance(part, Film):
        return 1.0 / float(np.interp(WET_CUP_RH, part.rh, part.permeance))
    return part.depth / still_air_permeability(GAP_TEMPERATURE)


def flushing(gap: Gap) -> float:
    """Permeance that the air of a gap amounts to: what it takes up for each pascal above outdoor air.

    Parameters
    ----------
    gap : Gap
        With openings its air depends on the weather; then nothing is counted.

    Returns
    -------
    float
        d n / (3600 R_v T), with the mean air changes n. [kg/(m2 s Pa)]
    """
    if gap.openings is not None:
        return 0.0
    volume = gap.depth * float(np.mean(gap.air_changes)) / 3600.0
    return volume / (GAS_CONSTANT_VAPOR * (GAP_TEMPERATURE + KELVIN))


def _path(parts: tuple[Part, ...], end: str) -> Path:
    """Path through parts that are in order from the layer on, up to the first ventilated gap."""
    between: list[Part] = []
    for part in parts:
        if isinstance(part, Gap) and OPEN_SHARE[part.kind] == 1.0:
            end = part.name
            break
        between.append(part)
    if not between:
        return Path(end, (), None, "", "open")
    resistance = 0.0
    for part in reversed(
        between
    ):  # from the air on: a gap's own air is a way beside what lies beyond
        if isinstance(part, Gap):
            air = flushing(part)
            if resistance > 0.0:
                resistance = 1.0 / (1.0 / resistance + air)
        resistance += part_resistance(part)
    tightest = max(between, key=part_resistance)
    permeance = 1.0 / resistance
    names = tuple(part.name for part in between)
    return Path(end, names, permeance, tightest.name, vapor_class(permeance))


def drying_paths(section: Section) -> tuple[DryingPaths, ...]:
    """Find the ways out of every layer that moisture harms.

    Parameters
    ----------
    section : Section
        The section.

    Returns
    -------
    tuple of DryingPaths
        From outside to inside.
    """
    found = []
    for k, part in enumerate(section.parts):
        if not isinstance(part, Layer) or not is_sensitive(part.material):
            continue
        found.append(
            DryingPaths(
                layer=part.name,
                material=part.material.name,
                own_permeance=1.0 / part_resistance(part),
                outward=_path(section.parts[:k][::-1], "outdoor air"),
                inward=_path(section.parts[k + 1 :], "room air"),
            )
        )
    return tuple(found)
