"""The linear system of one pass: block tridiagonal with 2 x 2 blocks, solved by elimination.

Row of cell i, with b the weight of the scheme times the step:

    [U'(Y) dx + b D] dY_i + b L dY_(i-1) + b U dY_(i+1) = (U_base - U(Y)) dx + b R

U' is the storage's slope: d(content) = w_m dm, d(enthalpy) = (C + c_w w) dT + c_w (T - T_ref) w_m dm.
"""

from __future__ import annotations

from moistwall.air import WATER_HEAT_CAPACITY
from moistwall.solver.kernel.compile import compiled
from moistwall.solver.kernel.layout import (
    DHH,
    DHM,
    DMH,
    DMM,
    LHH,
    LHM,
    LMH,
    LMM,
    RH,
    RM,
    UHH,
    UHM,
    UMH,
    UMM,
    Cells,
    Floats,
    State,
)
from moistwall.solver.kernel.lookup import Properties


@compiled
def eliminate(
    cells: Cells,
    state: State,
    properties: Properties,
    base_content: Floats,
    base_enthalpy: Floats,
    weight: Floats,
    reference_temperature: float,
    rows: Floats,
    change_t: Floats,
    change_m: Floats,
) -> None:
    """Solve for the corrections of temperature and m; ``rows`` is overwritten.

    Parameters
    ----------
    base_content, base_enthalpy : (n_cells, n_lanes) ndarray
        What the scheme starts from in this stage. [kg/m3], [J/m3]
    weight : (n_lanes,) ndarray
        Weight of the flows in this stage. [s]
    change_t, change_m : (n_cells, n_lanes) ndarray
        Filled with the corrections. [K], [-]
    """
    n_cells, n_lanes = cells.width.shape
    for i in range(n_cells):
        for lane in range(n_lanes):
            b = weight[lane]
            dx = cells.width[i, lane]
            warmth = WATER_HEAT_CAPACITY * (state.temperature[i, lane] - reference_temperature)
            content = properties.content[i, lane]
            capacity = cells.heat_capacity[i, lane] + WATER_HEAT_CAPACITY * content
            enthalpy = capacity * (state.temperature[i, lane] - reference_temperature)
            content_m = properties.content_m[i, lane]
            dhh = capacity * dx + b * rows[DHH, i, lane]
            dhm = warmth * content_m * dx + b * rows[DHM, i, lane]
            dmh = b * rows[DMH, i, lane]
            dmm = content_m * dx + b * rows[DMM, i, lane]
            rh = (base_enthalpy[i, lane] - enthalpy) * dx + b * rows[RH, i, lane]
            rm = (base_content[i, lane] - content) * dx + b * rows[RM, i, lane]
            if i > 0:
                lhh, lhm = b * rows[LHH, i, lane], b * rows[LHM, i, lane]
                lmh, lmm = b * rows[LMH, i, lane], b * rows[LMM, i, lane]
                uhh, uhm = rows[UHH, i - 1, lane], rows[UHM, i - 1, lane]
                umh, umm = rows[UMH, i - 1, lane], rows[UMM, i - 1, lane]
                dhh -= lhh * uhh + lhm * umh
                dhm -= lhh * uhm + lhm * umm
                dmh -= lmh * uhh + lmm * umh
                dmm -= lmh * uhm + lmm * umm
                rh -= lhh * change_t[i - 1, lane] + lhm * change_m[i - 1, lane]
                rm -= lmh * change_t[i - 1, lane] + lmm * change_m[i - 1, lane]
            inverse = 1.0 / (dhh * dmm - dhm * dmh)
            change_t[i, lane] = (dmm * rh - dhm * rm) * inverse
            change_m[i, lane] = (dhh * rm - dmh * rh) * inverse
            if i < n_cells - 1:
                uhh, uhm = b * rows[UHH, i, lane], b * rows[UHM, i, lane]
                umh, umm = b * rows[UMH, i, lane], b * rows[UMM, i, lane]
                rows[UHH, i, lane] = (dmm * uhh - dhm * umh) * inverse
                rows[UHM, i, lane] = (dmm * uhm - dhm * umm) * inverse
                rows[UMH, i, lane] = (dhh * umh - dmh * uhh) * inverse
                rows[UMM, i, lane] = (dhh * umm - dmh * uhm) * inverse
    for i in range(n_cells - 2, -1, -1):
        for lane in range(n_lanes):
            t, m = change_t[i + 1, lane], change_m[i + 1, lane]
            change_t[i, lane] -= rows[UHH, i, lane] * t + rows[UHM, i, lane] * m
            change_m[i, lane] -= rows[UMH, i, lane] * t + rows[UMM, i, lane] * m
