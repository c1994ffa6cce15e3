"""What the compiled functions read and write: named tuples of plain arrays.

The kernel solves one section at a time. Outside of it the arrays of cells, faces, state and record have one
more axis, the last: the lane, one section among those marched together, which all have one topology (the same
sequence of cells and kinds of faces). Shapes below are as the kernel sees them.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# kinds of faces -----------------------------------------------------------------------------------
WITHIN = 0
"""Between two cells of one layer."""
JOINT = 1
"""Where two layers meet, or a layer and a skin, with or without a film between."""
GAP = 2
"""Between the two skins of a gap."""
END = 3
"""Between the air at an end and the skin there."""

# columns of a property table ----------------------------------------------------------------------
CONTENT, HUMIDITY, LN_HUMIDITY, THETA, VAPOR_RESISTIVITY, HEAT_RESISTIVITY = range(6)
N_PROPERTIES = 6
N_FILM_POINTS = 65

# columns of the loads: seven for each end, one for each gap, for each place that water leaks to and
# for each short cut of air, and one for air through the whole section where there is any ------------
AIR_TEMPERATURE, AIR_VAPOR, HEAT_FILM, VAPOR_FILM, SUN, LONGWAVE, RAIN = range(7)
N_END_COLUMNS = 7

# flows kept at every face that is not within a layer: out of its outer side a, into its inner side b
VAPOR_A, MOISTURE_A, HEAT_A, VAPOR_B, MOISTURE_B, HEAT_B = range(6)
N_FLOWS = 6
N_TERMS = 5
"""A linearised flow: its value, then its slopes in T and m of the cell outside and of the one inside."""

# a linearised flow through every face: heat and moisture, each with its terms
HEAT, HEAT_TA, HEAT_MA, HEAT_TB, HEAT_MB = range(5)
MOISTURE, MOISTURE_TA, MOISTURE_MA, MOISTURE_TB, MOISTURE_MB = range(5, 10)
N_THROUGH = 10

# equations and unknowns of a cell's row: diagonal block, right-hand side, what elimination leaves
DHH, DHM, DMH, DMM, RH, RM, VHH, VHM, VMH, VMM = range(10)
N_ROW = 10


class Topology(NamedTuple):
    """Which cells and faces there are; the same in all lanes."""

    face_kind: Ints
    """(n_cells + 1,) kind of each face."""
    special: Ints
    """(n_cells + 1,) place of the face among those not within a layer; -1 for those within."""
    special_face: Ints
    """(n_special,) face of each special."""
    is_skin: Ints
    """(n_cells,) 1 for the zero-thickness surface cells."""
    gap_column: Ints
    """(n_special,) column of the loads with the gap's air changes [1/h], or with the pressure of the
    wind [Pa] where the gap has openings; -1 where there is no gap."""
    carries_air: Ints
    """(n_cells + 1,) 1 where air that passes through the section crosses the face."""
    water_special: Ints
    """(n_waters,) special face beside the cell that water leaks to."""
    water_inner: Ints
    """(n_waters,) 1 if the cell lies inside of that face, 0 if outside."""
    water_column: Ints
    """(n_waters,) column of the loads with the water. [kg/(m2 s)]"""
    cut_special: Ints
    """(n_cuts,) special face beside the cell that a short cut of air meets."""
    cut_inner: Ints
    """(n_cuts,) 1 if the cell lies inside of that face, 0 if outside."""
    cut_column: Ints
    """(n_cuts,) column of the loads with the air, from outside to inside. [kg/(m2 s)]"""


class Cells(NamedTuple):
    """Constants of the cells, each (n_cells,)."""

    width: Floats
    """Width; 1 mm by convention in a skin. [m]"""
    half: Floats
    """Distance from the cell's point to its faces; 0 in a skin. [m]"""
    material: Ints
    """Row of the property tables."""
    heat_capacity: Floats
    """Volumetric heat capacity, dry. [J/(m3 K)]"""
    holds: Floats
    """Water content above which water runs off. [kg/m3]"""
    full: Floats
    """Water content w_f that scales the moisture coordinate. [kg/m3]"""
    conductivity_slope: Floats
    """Relative change of conductivity per kelvin. [1/K]"""
    conductivity_temperature: Floats
    """Temperature at which conductivity is given. [degC]"""
    permeability_slope: Floats
    """Relative change of permeability per kelvin from 20 degC. [1/K]"""
    over_suction: Floats
    """1 where storage is a function of suction, else 0."""
    per_step: Floats
    """Points of the cell's table per unit of m."""
    saturated: Floats
    """m at relative humidity 1. [-]"""
    brim: Floats
    """m at which a layer's cell holds all that it can. [-]"""
    liquid: Ints
    """1 where liquid moves by suction, 2 in a skin, else 0."""


class Tables(NamedTuple):
    """Properties of the materials over m, uniform in m."""

    values: Floats
    """(n_materials, n_points, N_PROPERTIES)."""
    per_step: Floats
    """(n_materials,) points per unit of m."""
    saturated: Floats
    """(n_materials,) m at relative humidity 1."""
    capillary: Ints
    """(n_materials,) 1 where liquid moves by suction."""


class Faces(NamedTuple):
    """Constants of the special faces."""

    film_resistance: Floats
    """(n_special, N_FILM_POINTS) vapor resistance over mean humidity, 0 without a film. [m2 s Pa/kg]"""
    gap_depth: Floats
    """(n_special,) [m]"""
    gap_convection: Floats
    """(n_special,) convective coefficient of each face of the gap. [W/(m2 K)]"""
    gap_vapor_film: Floats
    """(n_special,) vapor transfer coefficient of each face of the gap. [kg/(m2 s Pa)]"""
    gap_emittance: Floats
    """(n_special,) effective emittance of the pair of faces. [-]"""
    gap_rise: Floats
    """(n_special,) height between the openings. [m]"""
    gap_length: Floats
    """(n_special,) length of the path between them; 0 where the air changes are prescribed. [m]"""
    gap_loss: Floats
    """(n_special,) loss coefficients, of the gap's cross-section. [-]"""
    gap_friction: Floats
    """(n_special,) laminar friction. [Pa s/m]"""
    cut_contact: Floats
    """(n_cuts,) share of a short cut's air that takes on the state of the cell it meets. [-]"""
    emittance: Floats
    """(2,) of the outer and the inner end."""
    absorptance: Floats
    """(2,) of the outer and the inner end."""


class Loads(NamedTuple):
    """Prescribed series of all lanes; row k holds the instant k hours, or for a step column the hour before it."""

    rows: Floats
    """(n_sets, n_rows, n_columns)."""
    is_step: Ints
    """(n_columns,) 1 where a value holds for the whole hour before its row."""
    set_of_lane: Ints
    """(n_lanes,)."""


class State(NamedTuple):
    """All that one hour hands to the next."""

    temperature: Floats
    """(n_cells,) [degC]"""
    coordinate: Floats
    """(n_cells,) moisture coordinate m = rh + w / w_f. [-]"""
    content: Floats
    """(n_cells,) carried water content. [kg/m3]"""
    enthalpy: Floats
    """(n_cells,) carried enthalpy. [J/m3]"""
    side: Floats
    """(n_special, 2) moisture coordinate on the sides a and b of a joint. [-]"""
    temperature_rate: Floats
    """(n_cells,) latest slope, for the predictor. [K/s]"""
    coordinate_rate: Floats
    """(n_cells,) [1/s]"""
    side_rate: Floats
    """(n_special, 2) [1/s]"""
    step: Floats
    """(1,) length of the step to try next. [s]"""


class Control(NamedTuple):
    """Numbers that steer the march."""

    reference_temperature: float
    """Temperature at which liquid water and dry material have no enthalpy. [degC]"""
    pass_temperature: float
    """Largest correction of temperature that ends the passes. [K]"""
    pass_coordinate: float
    """Largest correction of m that ends the passes. [-]"""
    pass_drift: float
    """Largest |content of the linearisation - content at the new m| / w_f that ends the passes. [-]"""
    step_temperature: float
    """Largest estimated error of temperature in a step. [K]"""
    step_coordinate: float
    """Largest estimated error of m in a step. [-]"""
    shortest: float
    """Step below which the estimated error asks for no shorter one. [s]"""
    tiniest: float
    """Shortest step, to which only passes that do not converge cut. [s]"""
    fixed: int
    """Steps an hour in fixed-step mode; 0 lets the error estimate choose."""
    most_passes: int
    """Passes after which a step is cut."""
    most_tries: int
    """Steps and cuts after which an hour is given up."""
    most_work: int
    """Steps and cuts after which a march is given up."""
    pressure: float
    """Air pressure, for the humidity ratio of air that passes through. [Pa]"""
    air_column: int
    """Column of the loads with the air through the section [kg/(m2 s)]; -1 without."""


class Record(NamedTuple):
    """What a march leaves behind, a row for each hour's end."""

    temperature: Floats
    """(n_hours, n_cells) [degC]"""
    humidity: Floats
    """(n_hours, n_cells) relative humidity of the pores. [-]"""
    content: Floats
    """(n_hours, n_cells) carried water content. [kg/m3]"""
    enthalpy: Floats
    """(n_hours, n_cells) carried enthalpy. [J/m3]"""
    side_temperature: Floats
    """(n_hours, n_special) temperature of the joint. [degC]"""
    side_humidity: Floats
    """(n_hours, n_special, 2) relative humidity on its sides a and b. [-]"""
    flow: Floats
    """(n_hours, n_special, N_FLOWS) sums over the hour, outside to inside. [kg/m2, J/m2]"""
    gap_air: Floats
    """(n_hours, n_special) air changes of the gaps at the hour's end. [1/h]"""
    drained: Floats
    """(n_hours, n_cells) water that ran off. [kg/m2]"""
    drained_heat: Floats
    """(n_hours, n_cells) its enthalpy. [J/m2]"""
    counts: Ints
    """(N_COUNTS,) steps, rejected steps, passes, steps at the shortest length, sides above 1."""
    drift: Floats
    """(2,) largest storage drift of moisture [w_f] and of temperature [K]."""


STEPS, REJECTED, PASSES, FORCED, ABOVE_ONE = range(5)
N_COUNTS = 5


class Work(NamedTuple):
    """Scratch arrays of a march.

    ``start_*`` and ``kept_*`` hold what a step starts from, ``first_*`` what its first stage found,
    ``base_*`` what the present stage adds its flows to; ``out`` and ``into`` are the linearised flows that
    leave the cell outside of a face and enter the one inside; ``outer_share`` is the share of the outer
    cell's temperature in that of each joint; ``size`` and ``bits`` are the same memory, as numbers and as
    whole ones.
    """

    pieces: Floats
    out: Floats
    into: Floats
    rows: Floats
    linear: Floats
    sides: Floats
    change_t: Floats
    change_m: Floats
    base_content: Floats
    base_enthalpy: Floats
    start_t: Floats
    start_m: Floats
    start_side: Floats
    kept_content: Floats
    kept_enthalpy: Floats
    first_t: Floats
    first_m: Floats
    first_side: Floats
    new_side: Floats
    first_flow: Floats
    last_flow: Floats
    weather: Floats
    outer_share: Floats
    size: Floats
    bits: Ints
