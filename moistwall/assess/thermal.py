"""Thermal resistance of a section: as labelled, between the studs, with them, with fasteners; U.

Layers outside of a well-ventilated gap are left out, and the surface in that gap takes still air (ISO
6946). Where studs interrupt a layer there are two ways to add up. Heat that keeps to its own path gives
the upper limit of resistance, which is the parallel-path method of ASHRAE Fundamentals ch. 27; heat
that spreads freely between layers gives the lower one. ISO 6946 takes their mean, and half their
distance as its largest error. All of it is from memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from moistwall.assess.air_spaces import (
    OPEN_SHARE,
    Surfaces,
    gap_resistance,
    heat_direction,
    standard_surfaces,
)
from moistwall.assess.daily_wave import (
    DAY,
    ComplexArray,
    DailyWave,
    daily_wave,
    layer_matrix,
    resistance_matrix,
)
from moistwall.assess.fasteners import Fasteners, fastener_correction
from moistwall.errors import AssemblyError, Fault
from moistwall.section import Gap, Layer, Section

Array = NDArray[np.float64]

DESIGN_RH = 0.5
"""Humidity at which a layer conducts: ISO 10456 states design values at 23 degC and 50 %. [-]"""

INSULATION = 0.065
"""A layer that conducts less is insulation, with a resistance on its label: common practice, no source.
[W/(m K)]"""

LARGEST_RATIO = 1.5
"""Upper over lower limit of resistance up to which the combined method is meant. [-]"""


@dataclass(frozen=True)
class Thermal:
    """Resistances of a section, from air to air but for the first.

    Parameters
    ----------
    surfaces : Surfaces
        Air at both surfaces.
    left_out : tuple of str
        Parts outside of a well-ventilated gap, and that gap.
    part_resistance : (n_parts,) ndarray
        Of each part of the clear path; 0 for films. [m2 K/W]
    labelled_parts : tuple of str
        Layers of insulation that count.
    labelled : float
        Sum over them, dry. [m2 K/W]
    clear : float
        Path between the studs. [m2 K/W]
    stud : float or None
        Path through the studs. [m2 K/W]
    stud_share : float
        Share of the area that is framing. [-]
    upper, lower : float
        Limits of resistance: paths apart, and joined at every layer; equal without studs. [m2 K/W]
    combined : float
        Their mean. [m2 K/W]
    combined_error : float
        Half their distance, over their mean. [-]
    within_method : bool
        False if the limits are further apart than the combined method is meant for.
    fastener_transmittance : float
        What fasteners add. [W/(m2 K)]
    transmittance : float
        U, by the combined method and with the fasteners. [W/(m2 K)]
    wave : DailyWave
        What becomes of a daily wave on the clear path.
    """

    surfaces: Surfaces
    left_out: tuple[str, ...]
    part_resistance: Array
    labelled_parts: tuple[str, ...]
    labelled: float
    clear: float
    stud: float | None
    stud_share: float
    upper: float
    lower: float
    combined: float
    combined_error: float
    within_method: bool
    fastener_transmittance: float
    transmittance: float
    wave: DailyWave


def design_conductivity(layer: Layer) -> float:
    """Conductivity of a layer with the water that it holds at 50 %.

    Parameters
    ----------
    layer : Layer
        The layer.

    Returns
    -------
    float
        At the mean temperature at which it is given, 24 degC as a rule. [W/(m K)]
    """
    material = layer.material
    content = float(material.storage.content(np.log(np.array([DESIGN_RH])))[0])
    return float(np.interp(content, material.conductivity_content, material.conductivity))


def part_resistances(section: Section) -> Array:
    """Resistance of each part by itself.

    Parameters
    ----------
    section : Section
        The section.

    Returns
    -------
    (n_parts,) ndarray
        Layers at their design conductivity, gaps as if their air stood still, 0 for films. [m2 K/W]
    """
    direction = heat_direction(section)
    resistance = np.zeros(len(section.parts))
    for k, part in enumerate(section.parts):
        if isinstance(part, Layer):
            resistance[k] = part.thickness / design_conductivity(part)
        elif isinstance(part, Gap):
            resistance[k] = gap_resistance(section, part, direction)
    return resistance


def first_inside(section: Section) -> int:
    """Index of the first part inside of the innermost well-ventilated gap; 0 without one.

    Parameters
    ----------
    section : Section
        The section.
    """
    open_gaps = [
        k
        for k, part in enumerate(section.parts)
        if isinstance(part, Gap) and OPEN_SHARE[part.kind] == 1.0
    ]
    return open_gaps[-1] + 1 if open_gaps else 0


def total_resistance(section: Section, resistance: Array, surfaces: Surfaces) -> float:
    """Resistance from air to air, gaps counted by how well they are ventilated.

    Parameters
    ----------
    section : Section
        The section.
    resistance : (n_parts,) ndarray
        Of each part, gaps as if their air stood still. [m2 K/W]
    surfaces : Surfaces
        Air at both surfaces.

    Returns
    -------
    float
        A gap that is in part open takes that part of the total without what lies outside of it, and
        the rest of the total with it. [m2 K/W]
    """
    outside = surfaces.outside  # all that lies outside of part k, with the air there
    for part, own in zip(section.parts, resistance, strict=True):
        if isinstance(part, Gap):
            share = OPEN_SHARE[part.kind]
            outside = (1.0 - share) * (outside + float(own)) + share * surfaces.sheltered
        else:
            outside += float(own)
    return outside + surfaces.inside


def combined_limits(
    section: Section, clear: Array, stud: Array, share: float, surfaces: Surfaces
) -> tuple[float, float]:
    """Upper and lower limit of the resistance of a section with studs.

    Parameters
    ----------
    section : Section
        The clear path.
    clear, stud : (n_parts,) ndarray
        Resistance of each part along either path. [m2 K/W]
    share : float
        Share of the area that is framing. [-]
    surfaces : Surfaces
        Air at both surfaces.

    Returns
    -------
    upper, lower : float
        [m2 K/W]
    """
    paths = (total_resistance(section, clear, surfaces), total_resistance(section, stud, surfaces))
    upper = 1.0 / ((1.0 - share) / paths[0] + share / paths[1])  # ISO 6946, upper limit
    mixed = clear.copy()
    other = clear != stud
    mixed[other] = 1.0 / ((1.0 - share) / clear[other] + share / stud[other])  # lower limit
    return upper, total_resistance(section, mixed, surfaces)


def thermal(
    paths: Sequence[Section], fasteners: Fasteners | None = None, surfaces: Surfaces | None = None
) -> Thermal:
    """Resistances of the section that an assembly file describes.

    Parameters
    ----------
    paths : sequence of Section
        The clear path; then the one through the studs, if there are any.
    fasteners : Fasteners or None
        Metal through the foam outside of the frame.
    surfaces : Surfaces or None
        Air at both surfaces; of ISO 6946 if not given.

    Returns
    -------
    Thermal

    Raises
    ------
    AssemblyError
        If the paths differ in more than their materials, or there is no foam for the fasteners.
    """
    section = paths[0]
    if surfaces is None:
        surfaces = standard_surfaces(heat_direction(section))
    start = first_inside(section)
    resistance = part_resistances(section)
    clear = total_resistance(section, resistance, surfaces)
    upper = lower = clear
    stud: float | None = None
    share = 0.0
    if len(paths) > 1:
        framing = paths[1].framing
        assert framing is not None, "the second path is not one through studs"
        share = framing.share
        across = _along(section, paths[1])
        stud = total_resistance(section, across, surfaces)
        upper, lower = combined_limits(section, resistance, across, share, surfaces)
    combined = 0.5 * (upper + lower)
    added = 0.0
    if fasteners is not None:
        framed = _framed(paths)
        added = fastener_correction(section, resistance, combined, fasteners, outside_of=framed)
    labelled = [
        layer
        for layer in section.parts[start:]
        if isinstance(layer, Layer) and layer.material.conductivity[0] < INSULATION
    ]
    return Thermal(
        surfaces=surfaces,
        left_out=tuple(part.name for part in section.parts[:start]),
        part_resistance=resistance,
        labelled_parts=tuple(layer.name for layer in labelled),
        labelled=float(sum(layer.thickness / layer.material.conductivity[0] for layer in labelled)),
        clear=clear,
        stud=stud,
        stud_share=share,
        upper=upper,
        lower=lower,
        combined=combined,
        combined_error=(upper - lower) / (2.0 * combined),
        within_method=upper <= LARGEST_RATIO * lower,
        fastener_transmittance=added,
        transmittance=1.0 / combined + added,
        wave=clear_wave(section, surfaces),
    )


def _framed(paths: Sequence[Section]) -> str:
    """Name of the layer that studs interrupt; empty without any."""
    framing = paths[1].framing if len(paths) > 1 else None
    return framing.layer if framing is not None else ""


def _along(clear: Section, stud: Section) -> Array:
    """Resistances along the path through the studs, in the places of the clear path's parts."""
    own = part_resistances(stud)
    if [type(part) for part in clear.parts] == [type(part) for part in stud.parts]:
        return own
    # the facers of an insulated board are not on the studs: layers and gaps stand in the same order
    solid = [
        [k for k, part in enumerate(one.parts) if isinstance(part, (Layer, Gap))]
        for one in (clear, stud)
    ]
    if len(solid[0]) != len(solid[1]):
        problem = "has other layers than the clear path"
        raise AssemblyError(Fault(f"section '{stud.name}'", "parts", "", problem))
    resistance = np.zeros(len(clear.parts))
    resistance[solid[0]] = own[solid[1]]
    return resistance


def clear_wave(section: Section, surfaces: Surfaces) -> DailyWave:
    """What becomes of a daily wave of outdoor air on its way through a section.

    Parameters
    ----------
    section : Section
        The section; what lies outside of a well-ventilated gap is left out, other gaps stand still.
    surfaces : Surfaces
        Air at both surfaces.

    Returns
    -------
    DailyWave
        With the dry heat capacities of the layers.
    """
    omega = 2.0 * np.pi / DAY
    start = first_inside(section)
    outside = surfaces.sheltered if start else surfaces.outside
    chain: list[ComplexArray] = [resistance_matrix(outside)]
    steady = outside + surfaces.inside
    for part, own in zip(section.parts[start:], part_resistances(section)[start:], strict=True):
        steady += float(own)
        if isinstance(part, Layer):
            material = part.material
            capacity = material.density * material.heat_capacity
            chain.append(layer_matrix(part.thickness, design_conductivity(part), capacity, omega))
        elif own > 0.0:
            chain.append(resistance_matrix(float(own)))
    chain.append(resistance_matrix(surfaces.inside))
    return daily_wave(chain, 1.0 / steady)
