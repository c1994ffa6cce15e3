"""Does a zone close? Its balances recomputed outside the kernel from recorded states, flows and machines.

What air, soil, people and walls bring is worked out anew here from the recorded state of each hour; only
what machines did is taken as recorded.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from moistwall.air import (
    AIR_HEAT_CAPACITY,
    GAS_CONSTANT_DRY_AIR,
    GAS_CONSTANT_VAPOR,
    STANDARD_PRESSURE,
    WATER_HEAT_CAPACITY,
    vapor_enthalpy,
)
from moistwall.closing import HEAT_LIMIT, MOISTURE_LIMIT
from moistwall.errors import BalanceError, UnsettledError
from moistwall.result import ZoneReport
from moistwall.solver.kernel.layout import HEAT_A, HEAT_B, MOISTURE_A, MOISTURE_B, Record
from moistwall.solver.kernel.zone_layout import (
    AIR_IN,
    AIR_OUT,
    CARRIED_HEAT,
    CARRIED_WATER,
    DRIFT_RH,
    DRIFT_T,
    DUCT_T,
    DUCTS,
    FRESH_AIR,
    GROUND_P,
    GROUND_T,
    H_COOLING,
    H_DRIER,
    H_FAN,
    H_FOG,
    H_HEATING,
    HEAT_FREE,
    MARCHES,
    N_STATES,
    OUT_T,
    OUT_W,
    ROOM_AIR,
    ROOM_T,
    ROOM_W,
    SUPPLY_AIR,
    SUPPLY_T,
    SUPPLY_W,
    W_COOLING,
    W_DRIER,
    W_FOG,
    WATER_FREE,
    ZONE_T,
    ZONE_W,
)
from moistwall.solver.zone_series import zone_of
from moistwall.solver.zones import ZoneMarch

Array = NDArray[np.float64]

HOUR = 3600.0

ZONE_DRIFT_LIMIT, ZONE_DRIFT_LIMIT_RH = 0.05, 0.005
"""Largest difference accepted between the state that the balances of an hour ask for and the one that the
section has seen in it. [K], [-]"""


def _enthalpy(temperature: Array, ratio: Array) -> Array:
    return AIR_HEAT_CAPACITY * temperature + ratio * np.asarray(vapor_enthalpy(temperature))


def closed_zone(
    march: ZoneMarch,
    record: Record,
    zone_record: Array,
    start: tuple[float, float],
    first_row: int = 0,
) -> ZoneReport:
    """Balances of a zone over some hours.

    Parameters
    ----------
    march : ZoneMarch
        What was run.
    record : Record
        What it recorded of the section.
    zone_record : (n_hours, 33) ndarray
        What it recorded of the zone.
    start : (float, float)
        Water [kg] and enthalpy [J] that the zone carried at first.
    first_row : int
        Row of the loads where the first hour starts.

    Returns
    -------
    ZoneReport

    Raises
    ------
    BalanceError
        If a balance does not close.
    UnsettledError
        If the section has seen another state than the zone's balances ask for.
    """
    zone, numbers = zone_of(march.lanes.grids[0].section), march.numbers
    n_hours = zone_record.shape[0]
    series = march.series[first_row : first_row + n_hours]
    t, w = zone_record[:, ZONE_T], zone_record[:, ZONE_W]
    accounts = zone_record[:, N_STATES:]
    ratio = GAS_CONSTANT_DRY_AIR / GAS_CONSTANT_VAPOR
    p, p_out = (STANDARD_PRESSURE * x / (ratio + x) for x in (w, series[:, OUT_W]))
    own, vapor = _enthalpy(t, w), np.asarray(vapor_enthalpy(t))
    flow = record.flow[..., 0]
    inner, outer = flow[:, -1, [MOISTURE_A, HEAT_A]], -flow[:, 0, [MOISTURE_B, HEAT_B]]
    section = zone.area * (outer if numbers.outer else inner)
    section[:, 1] += WATER_HEAT_CAPACITY * march.control.reference_temperature * section[:, 0]
    fresh_t = series[:, OUT_T] + numbers.sensible * (t - series[:, OUT_T])
    fresh_w = series[:, OUT_W] + numbers.latent * (w - series[:, OUT_W])
    soil = numbers.vapor_to_ground * (series[:, GROUND_P] - p)
    vent = numbers.vapor_to_outdoors * (p_out - p)
    water = [
        section[:, 0],
        HOUR * (series[:, AIR_IN] * series[:, OUT_W] - series[:, AIR_OUT] * w),
        HOUR * series[:, FRESH_AIR] * (fresh_w - w),
        HOUR * series[:, WATER_FREE],
        HOUR * series[:, ROOM_AIR] * (series[:, ROOM_W] - w),
        HOUR * series[:, SUPPLY_AIR] * (series[:, SUPPLY_W] - w),
        HOUR * soil,
        HOUR * vent,
        *(accounts[:, k] for k in (W_COOLING, W_DRIER, W_FOG)),
    ]
    outdoors = _enthalpy(series[:, OUT_T], series[:, OUT_W])
    heat = [
        section[:, 1],
        HOUR * (series[:, AIR_IN] * outdoors - series[:, AIR_OUT] * own),
        HOUR * series[:, FRESH_AIR] * (_enthalpy(fresh_t, fresh_w) - own),
        HOUR * (series[:, HEAT_FREE] + series[:, WATER_FREE] * vapor),
        HOUR * series[:, ROOM_AIR] * (_enthalpy(series[:, ROOM_T], series[:, ROOM_W]) - own),
        HOUR * series[:, SUPPLY_AIR] * (_enthalpy(series[:, SUPPLY_T], series[:, SUPPLY_W]) - own),
        HOUR * numbers.to_room * (series[:, ROOM_T] - t),
        HOUR * series[:, DUCTS] * (series[:, DUCT_T] - t),
        HOUR * numbers.to_ground * (series[:, GROUND_T] - t),
        HOUR * (soil + vent) * vapor,
        HOUR * numbers.to_outdoors * (series[:, OUT_T] - t),
        *(accounts[:, k] for k in (H_COOLING, H_DRIER, H_FOG, H_HEATING, H_FAN)),
    ]
    relative = []
    for flows, column, first in ((water, CARRIED_WATER, 0), (heat, CARRIED_HEAT, 1)):
        storage = np.diff(np.concatenate(([start[first]], zone_record[:, column])))
        size = sum(float(np.abs(one).sum()) for one in flows) + float(np.abs(storage).sum())
        missing = float(np.abs(storage - np.sum(flows, axis=0)).sum())
        relative.append(missing / size if size > 0.0 else 0.0)
    drift_t, drift_rh = zone_record[:, DRIFT_T], zone_record[:, DRIFT_RH]
    report = ZoneReport(
        kind=zone.kind,
        outer=bool(numbers.outer),
        area=zone.area,
        volume=zone.volume,
        objects=tuple(one.name for one in zone.cold_objects),
        water_relative=relative[0],
        heat_relative=relative[1],
        drift_temperature=float(np.abs(drift_t).max(initial=0.0)),
        drift_rh=float(np.abs(drift_rh).max(initial=0.0)),
        marches=float(zone_record[:, MARCHES].mean()) if n_hours else 0.0,
    )
    for what, value, limit in (
        ("the zone's moisture balance", report.water_relative, MOISTURE_LIMIT),
        ("the zone's heat balance", report.heat_relative, HEAT_LIMIT),
    ):
        if not value <= limit:
            raise BalanceError(f"{what} is {value:.3g}, over its limit of {limit:g}")
    for drift, limit, size, unit in (
        (drift_t, ZONE_DRIFT_LIMIT, 1.0, "K"),
        (drift_rh, ZONE_DRIFT_LIMIT_RH, 100.0, "% RH"),
    ):
        apart = np.abs(drift)
        if not np.all(apart <= limit):
            hour = int(np.argmax(np.where(np.isfinite(apart), apart, np.inf)))
            raise UnsettledError(
                first_row + hour, zone.kind, size * float(apart[hour]), size * limit, unit
            )
    return report
