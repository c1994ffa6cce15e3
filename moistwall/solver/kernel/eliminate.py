"""The linear system of one pass: block tridiagonal with 2 x 2 blocks, solved by elimination.

Row of cell i, with b the weight of the scheme times the step, divided by b:

    [U'(Y) dx/b + D] dY_i + L dY_(i-1) + U dY_(i+1) = (U_base - U(Y)) dx/b + R

U' is the storage's slope: d(content) = w_m dm, d(enthalpy) = (C + c_w w) dT + c_w (T - T_ref) w_m dm.
L, D and U are slopes of what enters through the outer face less what leaves through the inner one, R is
that itself.

The elimination runs from both ends at once and meets in the middle: two chains of dependent operations,
which the processor works on side by side, instead of one twice as long.
"""

from __future__ import annotations

from moistwall.air import WATER_HEAT_CAPACITY
from moistwall.solver.kernel.compile import compiled
from moistwall.solver.kernel.layout import (
    DHH,
    DHM,
    DMH,
    DMM,
    HEAT,
    HEAT_MA,
    HEAT_MB,
    HEAT_TA,
    HEAT_TB,
    MOISTURE,
    MOISTURE_MA,
    MOISTURE_MB,
    MOISTURE_TA,
    MOISTURE_TB,
    RH,
    RM,
    VHH,
    VHM,
    VMH,
    VMM,
    Cells,
    Floats,
    State,
)
from moistwall.solver.kernel.lookup import Properties


@compiled
def set_up(
    cells: Cells,
    state: State,
    properties: Properties,
    base_content: Floats,
    base_enthalpy: Floats,
    weight: float,
    reference_temperature: float,
    out: Floats,
    into: Floats,
    rows: Floats,
) -> None:
    """Fill the diagonal blocks and the right-hand side of all rows, in short loops over plain rows."""
    n = cells.width.size
    per_weight = 1.0 / weight
    width, dry, temperature = cells.width, cells.heat_capacity, state.temperature
    content, content_m = properties.content, properties.content_m
    right, outer, inner = rows[RH], into[HEAT], out[HEAT, 1:]
    block, slope_b, slope_a = rows[DHH], into[HEAT_TB], out[HEAT_TA, 1:]
    for i in range(n):
        size = width[i] * per_weight
        capacity = dry[i] + WATER_HEAT_CAPACITY * content[i]
        above = temperature[i] - reference_temperature
        block[i] = capacity * size + (slope_a[i] - slope_b[i])
        right[i] = (base_enthalpy[i] - capacity * above) * size + (outer[i] - inner[i])
    right, outer, inner = rows[RM], into[MOISTURE], out[MOISTURE, 1:]
    block, slope_b, slope_a = rows[DMM], into[MOISTURE_MB], out[MOISTURE_MA, 1:]
    for i in range(n):
        size = width[i] * per_weight
        block[i] = content_m[i] * size + (slope_a[i] - slope_b[i])
        right[i] = (base_content[i] - content[i]) * size + (outer[i] - inner[i])
    block, slope_b, slope_a = rows[DHM], into[HEAT_MB], out[HEAT_MA, 1:]
    for i in range(n):
        warmth = WATER_HEAT_CAPACITY * (temperature[i] - reference_temperature)
        block[i] = warmth * content_m[i] * (width[i] * per_weight) + (slope_a[i] - slope_b[i])
    block, slope_b, slope_a = rows[DMH], into[MOISTURE_TB], out[MOISTURE_TA, 1:]
    for i in range(n):
        block[i] = slope_a[i] - slope_b[i]


@compiled
def reduced_row(
    dhh: float,
    dhm: float,
    dmh: float,
    dmm: float,
    r_t: float,
    r_m: float,
    bhh: float,
    bhm: float,
    bmh: float,
    bmm: float,
    neighbor: tuple[float, float, float, float, float, float],
    chh: float,
    chm: float,
    cmh: float,
    cmm: float,
) -> tuple[float, float, float, float, float, float]:
    """One row D dY + B dY_before + C dY_next = R once dY_before = x - V dY is known from the neighbor.

    Returns
    -------
    vhh, vhm, vmh, vmm, t, m : float
        V and x of this row: dY = x - V dY_next.
    """
    vhh, vhm, vmh, vmm, t, m = neighbor
    hh = dhh - (bhh * vhh + bhm * vmh)
    hm = dhm - (bhh * vhm + bhm * vmm)
    mh = dmh - (bmh * vhh + bmm * vmh)
    mm = dmm - (bmh * vhm + bmm * vmm)
    r_t -= bhh * t + bhm * m
    r_m -= bmh * t + bmm * m
    inverse = 1.0 / (hh * mm - hm * mh)
    return (
        (mm * chh - hm * cmh) * inverse,
        (mm * chm - hm * cmm) * inverse,
        (hh * cmh - mh * chh) * inverse,
        (hh * cmm - mh * chm) * inverse,
        (mm * r_t - hm * r_m) * inverse,
        (hh * r_m - mh * r_t) * inverse,
    )


@compiled
def eliminate(out: Floats, into: Floats, rows: Floats, change_t: Floats, change_m: Floats) -> None:
    """Solve for the corrections of temperature and m.

    Parameters
    ----------
    out, into : (N_THROUGH, n_cells + 1) ndarray
        Linearised flows: what leaves the cell outside of a face, and what enters the one inside. Of row i
        L is minus the slopes of ``into`` at face i, U the slopes of ``out`` at face i + 1.
    rows : (N_ROW, n_cells) ndarray
        Diagonal blocks and right-hand side, as `set_up` leaves them; the rest is scratch.
    change_t, change_m : (n_cells,) ndarray
        Filled with the corrections. [K], [-]
    """
    n = change_t.size
    middle = n // 2
    dhh, dhm, dmh, dmm = rows[DHH], rows[DHM], rows[DMH], rows[DMM]
    r_t, r_m = rows[RH], rows[RM]
    vhh, vhm, vmh, vmm = rows[VHH], rows[VHM], rows[VMH], rows[VMM]
    lhh, lhm, lmh, lmm = into[HEAT_TA], into[HEAT_MA], into[MOISTURE_TA], into[MOISTURE_MA]
    uhh, uhm, umh, umm = (
        out[HEAT_TB, 1:],
        out[HEAT_MB, 1:],
        out[MOISTURE_TB, 1:],
        out[MOISTURE_MB, 1:],
    )
    outer = inner = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    for i in range(middle):
        outer = reduced_row(
            dhh[i], dhm[i], dmh[i], dmm[i], r_t[i], r_m[i],
            -lhh[i], -lhm[i], -lmh[i], -lmm[i], outer, uhh[i], uhm[i], umh[i], umm[i],
        )  # fmt: skip
        vhh[i], vhm[i], vmh[i], vmm[i], change_t[i], change_m[i] = outer
        j = n - 1 - i
        if j > middle:
            inner = reduced_row(
                dhh[j], dhm[j], dmh[j], dmm[j], r_t[j], r_m[j],
                uhh[j], uhm[j], umh[j], umm[j], inner, -lhh[j], -lhm[j], -lmh[j], -lmm[j],
            )  # fmt: skip
            vhh[j], vhm[j], vmh[j], vmm[j], change_t[j], change_m[j] = inner
    # the row in the middle, once its outer neighbor is known
    i = middle
    vhh_o, vhm_o, vmh_o, vmm_o, t_o, m_o = outer
    hh = dhh[i] + (lhh[i] * vhh_o + lhm[i] * vmh_o)
    hm = dhm[i] + (lhh[i] * vhm_o + lhm[i] * vmm_o)
    mh = dmh[i] + (lmh[i] * vhh_o + lmm[i] * vmh_o)
    mm = dmm[i] + (lmh[i] * vhm_o + lmm[i] * vmm_o)
    t = r_t[i] + (lhh[i] * t_o + lhm[i] * m_o)
    m = r_m[i] + (lmh[i] * t_o + lmm[i] * m_o)
    _, _, _, _, t, m = reduced_row(
        hh, hm, mh, mm, t, m, uhh[i], uhm[i], umh[i], umm[i], inner, 0.0, 0.0, 0.0, 0.0
    )
    change_t[i], change_m[i] = t, m
    t_o = t_z = t
    m_o = m_z = m
    for k in range(1, middle + 1):
        i = middle - k
        t_o, m_o = (
            change_t[i] - (vhh[i] * t_o + vhm[i] * m_o),
            change_m[i] - (vmh[i] * t_o + vmm[i] * m_o),
        )
        change_t[i], change_m[i] = t_o, m_o
        j = middle + k
        if j < n:
            t_z, m_z = (
                change_t[j] - (vhh[j] * t_z + vhm[j] * m_z),
                change_m[j] - (vmh[j] * t_z + vmm[j] * m_z),
            )
            change_t[j], change_m[j] = t_z, m_z
