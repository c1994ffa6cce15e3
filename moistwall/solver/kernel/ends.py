"""Flows between the air at an end, or in a gap, and the skins that meet it.

End: q = h (T_air - T) + alpha I + eps (L - sigma T^4), g = beta (p_air - p) + rain. The emission is
taken at the skin's own temperature in every pass, so a steel roof radiates as steel does.

Gap: outdoor air enters at one edge and takes on heat and vapor from both faces. Its state is quasi-
steady; along the height y, with N transfer units, T(y) relaxes from the inlet to the mean of the
faces, and its mean over the height is

    T_mean = T_eq + (T_in - T_eq) (1 - exp(-N)) / N,   T_eq = (T_a + T_b) / 2,  N = 2 h / (m c_p)

and the same for vapor with N_v = 2 beta R_v T / V. Without flow N is infinite and T_mean = T_eq: two
films in series. The faces also exchange radiation with each other.
"""

from __future__ import annotations

from moistwall.air import (
    AIR_HEAT_CAPACITY,
    GAS_CONSTANT_DRY_AIR,
    GAS_CONSTANT_VAPOR,
    KELVIN,
    LATENT_HEAT_0,
    STANDARD_PRESSURE,
    STEFAN_BOLTZMANN,
    VAPOR_HEAT_CAPACITY,
    WATER_HEAT_CAPACITY,
)
from moistwall.solver.kernel.airflow import bernoulli, half_cell
from moistwall.solver.kernel.compile import compiled
from moistwall.solver.kernel.draft import draft
from moistwall.solver.kernel.layout import (
    AIR_TEMPERATURE,
    AIR_VAPOR,
    GAP,
    HEAT_A,
    HEAT_B,
    HEAT_FILM,
    LONGWAVE,
    MOISTURE_A,
    MOISTURE_B,
    N_END_COLUMNS,
    RAIN,
    SUN,
    VAPOR_A,
    VAPOR_B,
    VAPOR_FILM,
    Cells,
    Faces,
    Floats,
    State,
    Topology,
)
from moistwall.solver.kernel.lookup import Properties
from moistwall.solver.kernel.moist import mean_share


@compiled
def flows_at_ends(
    topology: Topology,
    cells: Cells,
    faces: Faces,
    state: State,
    properties: Properties,
    weather: Floats,
    air_flow: float,
    pressure: float,
    reference_temperature: float,
    linear: Floats,
) -> None:
    """Linearise the flows at both ends; ``weather`` is (n_columns,) at the stage's instant."""
    n_cells = cells.width.size
    for end in range(2):
        s = 0 if end == 0 else linear.shape[0] - 1
        i = 0 if end == 0 else n_cells - 1
        sign = 1.0 if end == 0 else -1.0  # flows count from outside to inside
        t_term = 3 if end == 0 else 1
        column = end * N_END_COLUMNS
        face = 0 if end == 0 else n_cells
        t = state.temperature[i]
        kelvin = t + KELVIN
        film = weather[column + HEAT_FILM]
        beta = weather[column + VAPOR_FILM]
        rain = weather[column + RAIN]
        air = weather[column + AIR_TEMPERATURE]
        emittance = faces.emittance[end]
        carried = sign * air_flow if topology.carries_air[face] == 1 else 0.0
        vapor, _, per_skin = half_cell(
            weather[column + AIR_VAPOR],
            properties.vapor[i],
            1.0 / beta,
            carried,
            pressure,
        )
        vapor_t = per_skin * properties.vapor_t[i]
        vapor_m = per_skin * properties.vapor_m[i]
        flow = AIR_HEAT_CAPACITY * carried
        if carried != 0.0:
            film *= bernoulli(flow / film)
        total = (
            LATENT_HEAT_0 + VAPOR_HEAT_CAPACITY * t - WATER_HEAT_CAPACITY * reference_temperature
        )
        heat = (
            flow * air
            + film * (air - t)
            + faces.absorptance[end] * weather[column + SUN]
            + emittance
            * (weather[column + LONGWAVE] - STEFAN_BOLTZMANN * kelvin * kelvin * kelvin * kelvin)
            + total * vapor
            + WATER_HEAT_CAPACITY * (air - reference_temperature) * rain
        )
        heat_t = (
            -film
            - 4.0 * emittance * STEFAN_BOLTZMANN * kelvin * kelvin * kelvin
            + total * vapor_t
            + VAPOR_HEAT_CAPACITY * vapor
        )
        for side in range(2):
            linear[s, VAPOR_A + 3 * side, 0] = sign * vapor
            linear[s, VAPOR_A + 3 * side, t_term] = sign * vapor_t
            linear[s, VAPOR_A + 3 * side, t_term + 1] = sign * vapor_m
            linear[s, MOISTURE_A + 3 * side, 0] = sign * (vapor + rain)
            linear[s, MOISTURE_A + 3 * side, t_term] = sign * vapor_t
            linear[s, MOISTURE_A + 3 * side, t_term + 1] = sign * vapor_m
            linear[s, HEAT_A + 3 * side, 0] = sign * heat
            linear[s, HEAT_A + 3 * side, t_term] = sign * heat_t
            linear[s, HEAT_A + 3 * side, t_term + 1] = sign * total * vapor_m


@compiled
def gap_conductances(
    depth: float, air_changes: float, convection: float, vapor_film: float, inlet: float
) -> tuple[float, float, float, float]:
    """Capacity of the air stream for heat and vapor, and the shares of inlet in the mean state.

    Parameters
    ----------
    depth : float
        [m]
    air_changes : float
        [1/h]
    convection, vapor_film : float
        Of each face. [W/(m2 K)], [kg/(m2 s Pa)]
    inlet : float
        Temperature of the entering air. [degC]

    Returns
    -------
    heat_stream, vapor_stream : float
        m c_p per area of wall [W/(m2 K)], V / (R_v T) per area [kg/(m2 s Pa)].
    heat_share, vapor_share : float
        (1 - exp(-N)) / N for heat and vapor. [-]
    """
    volume = depth * air_changes / 3600.0
    kelvin = inlet + KELVIN
    density = STANDARD_PRESSURE / (GAS_CONSTANT_DRY_AIR * kelvin)
    heat_stream = density * AIR_HEAT_CAPACITY * volume
    vapor_stream = volume / (GAS_CONSTANT_VAPOR * kelvin)
    if volume <= 0.0:
        return 0.0, 0.0, 0.0, 0.0
    return (
        heat_stream,
        vapor_stream,
        mean_share(2.0 * convection / heat_stream),
        mean_share(2.0 * vapor_film / vapor_stream),
    )


@compiled
def gap_air_changes(
    topology: Topology,
    faces: Faces,
    state: State,
    properties: Properties,
    weather: Floats,
    pressure: float,
    s: int,
) -> float:
    """Air changes of the gap at special face s: prescribed, or from stack and wind. [1/h]"""
    given: float = weather[topology.gap_column[s]]
    if faces.gap_length[s] == 0.0:
        return given
    j = topology.special_face[s]
    return draft(
        faces.gap_rise[s],
        faces.gap_length[s],
        faces.gap_loss[s],
        faces.gap_friction[s],
        faces.gap_depth[s],
        faces.gap_convection[s],
        faces.gap_vapor_film[s],
        weather[AIR_TEMPERATURE],
        weather[AIR_VAPOR],
        0.5 * (state.temperature[j - 1] + state.temperature[j]),
        0.5 * (properties.vapor[j - 1] + properties.vapor[j]),
        given,
        pressure,
    )


@compiled
def flows_in_gaps(
    topology: Topology,
    faces: Faces,
    state: State,
    properties: Properties,
    weather: Floats,
    air_flow: float,
    pressure: float,
    reference_temperature: float,
    linear: Floats,
) -> None:
    """Linearise the flows on both faces of every gap; what differs between them the air carries off."""
    n_special = topology.special_face.shape[0]
    for s in range(n_special):
        j = topology.special_face[s]
        if topology.face_kind[j] != GAP:
            continue
        i = j - 1
        inlet = weather[AIR_TEMPERATURE]
        inlet_vapor = weather[AIR_VAPOR]
        h = faces.gap_convection[s]
        beta = faces.gap_vapor_film[s]
        air_changes = gap_air_changes(topology, faces, state, properties, weather, pressure, s)
        _, _, heat_share, vapor_share = gap_conductances(
            faces.gap_depth[s], air_changes, h, beta, inlet
        )
        t_a, t_b = state.temperature[i], state.temperature[j]
        k_a, k_b = t_a + KELVIN, t_b + KELVIN
        exchange = faces.gap_emittance[s] * STEFAN_BOLTZMANN
        radiation = exchange * (k_a * k_a * k_a * k_a - k_b * k_b * k_b * k_b)
        radiation_ta = 4.0 * exchange * k_a * k_a * k_a
        radiation_tb = -4.0 * exchange * k_b * k_b * k_b

        near = 0.5 * (1.0 + heat_share)  # d(T_a - T_mean)/dT_a
        far = 0.5 * (1.0 - heat_share)  # d(T_mean)/dT_b
        mean = far * (t_a + t_b) + heat_share * inlet
        near_v = 0.5 * (1.0 + vapor_share)
        far_v = 0.5 * (1.0 - vapor_share)
        p_a, p_b = properties.vapor[i], properties.vapor[j]
        mean_vapor = far_v * (p_a + p_b) + vapor_share * inlet_vapor
        out = beta * (p_a - mean_vapor)
        # air that passes on through the section comes from the gap, or goes into it
        carried = air_flow if topology.carries_air[j] == 1 else 0.0
        into, per_mean, per_skin = half_cell(mean_vapor, p_b, 1.0 / beta, carried, pressure)
        flow = AIR_HEAT_CAPACITY * carried
        film = h if carried == 0.0 else h * bernoulli(flow / h)
        # vapor changes hands at the temperature of the gap's air: without flow none is lost
        total = (
            LATENT_HEAT_0 + VAPOR_HEAT_CAPACITY * mean - WATER_HEAT_CAPACITY * reference_temperature
        )
        warming = VAPOR_HEAT_CAPACITY * far
        if carried != 0.0 and topology.carries_air[i] == 1:
            # the air neither starts nor ends here: it crosses both films of a sealed gap
            out, per_a, per_b = half_cell(p_a, p_b, 2.0 / beta, carried, pressure)
            film = 0.5 * h * bernoulli(2.0 * flow / h)
            heat = flow * t_a + film * (t_a - t_b) + radiation + total * out
            heat_ta = flow + film + radiation_ta + warming * out
            heat_tb = -film + radiation_tb + warming * out
            out_ta = per_a * properties.vapor_t[i]
            out_ma = per_a * properties.vapor_m[i]
            out_tb = per_b * properties.vapor_t[j]
            out_mb = per_b * properties.vapor_m[j]
            for k in (VAPOR_A, MOISTURE_A, VAPOR_B, MOISTURE_B):
                linear[s, k, 0] = out
                linear[s, k, 1] = out_ta
                linear[s, k, 2] = out_ma
                linear[s, k, 3] = out_tb
                linear[s, k, 4] = out_mb
            for k in (HEAT_A, HEAT_B):
                linear[s, k, 0] = heat
                linear[s, k, 1] = heat_ta + total * out_ta
                linear[s, k, 2] = total * out_ma
                linear[s, k, 3] = heat_tb + total * out_tb
                linear[s, k, 4] = total * out_mb
            continue

        out_ta = beta * near_v * properties.vapor_t[i]
        out_ma = beta * near_v * properties.vapor_m[i]
        out_tb = -beta * far_v * properties.vapor_t[j]
        out_mb = -beta * far_v * properties.vapor_m[j]
        into_ta = per_mean * far_v * properties.vapor_t[i]
        into_ma = per_mean * far_v * properties.vapor_m[i]
        into_tb = (per_mean * far_v + per_skin) * properties.vapor_t[j]
        into_mb = (per_mean * far_v + per_skin) * properties.vapor_m[j]
        for k in (VAPOR_A, MOISTURE_A):
            linear[s, k, 0] = out
            linear[s, k, 1] = out_ta
            linear[s, k, 2] = out_ma
            linear[s, k, 3] = out_tb
            linear[s, k, 4] = out_mb
        for k in (VAPOR_B, MOISTURE_B):
            linear[s, k, 0] = into
            linear[s, k, 1] = into_ta
            linear[s, k, 2] = into_ma
            linear[s, k, 3] = into_tb
            linear[s, k, 4] = into_mb
        linear[s, HEAT_A, 0] = h * (t_a - mean) + radiation + total * out
        linear[s, HEAT_A, 1] = h * near + radiation_ta + total * out_ta + warming * out
        linear[s, HEAT_A, 2] = total * out_ma
        linear[s, HEAT_A, 3] = -h * far + radiation_tb + total * out_tb + warming * out
        linear[s, HEAT_A, 4] = total * out_mb
        linear[s, HEAT_B, 0] = flow * mean + film * (mean - t_b) + radiation + total * into
        linear[s, HEAT_B, 1] = (flow + film) * far + radiation_ta + total * into_ta + warming * into
        linear[s, HEAT_B, 2] = total * into_ma
        linear[s, HEAT_B, 3] = (
            (flow + film) * far - film + radiation_tb + total * into_tb + warming * into
        )
        linear[s, HEAT_B, 4] = total * into_mb
