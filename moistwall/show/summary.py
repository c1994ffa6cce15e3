"""The summary of a run as plain data: what ``summary.json`` and ``--json`` hold, always in SI."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from moistwall.assess.budget import Budget, air_carried, budget
from moistwall.assess.condensation import WetHours, sheltered_outdoor_air, wet_hours
from moistwall.assess.drying import GapDrying, gap_drying
from moistwall.assess.first_year import start_drying
from moistwall.assess.layer_budget import CAUSES, LayerBudget, layer_budgets
from moistwall.assess.measure import Answers
from moistwall.assess.validity import beyond_ranges
from moistwall.result import Result
from moistwall.show.answers_summary import answers_data, verdict_data, wood_data
from moistwall.show.beyond import beyond_data
from moistwall.show.cautions import CAUTIONS
from moistwall.show.check_text import check_answers
from moistwall.show.names import place_name
from moistwall.show.steady_text import compare_with_hourly
from moistwall.show.zone import zone_data
from moistwall.study.judged import JudgedRun
from moistwall.study.whole_run import WholeRun, heat_of_both, heat_to_room


def summary(
    result: Result, whole: WholeRun | None = None, judged: JudgedRun | None = None
) -> dict[str, Any]:
    """Everything the printed report says, as numbers and texts.

    Parameters
    ----------
    result : Result
        A computed year.
    whole : WholeRun or None
        What else was run for the same assembly.
    judged : JudgedRun or None
        What criteria make of it.

    Returns
    -------
    dict
        Fit for JSON; keys name their units where a value has one.
    """
    gaps = gap_drying(result)
    outer = next((gap for gap in gaps if gap.kind in ("vented", "ventilated")), None)
    balance, solver = result.balance, result.solver
    run = WholeRun(result) if whole is None else whole
    return {
        "moistwall": result.version,
        "verdict": None if judged is None else verdict_data(run, judged),
        "section": {
            "name": result.section_name,
            "tilt_deg": result.tilt,
            "azimuth_deg": result.azimuth,
            "water_control": result.water_control,
            "seams": result.seams,
            "parts": [
                {
                    "name": part.name,
                    "kind": part.kind,
                    "material_kind": part.material,
                    "thickness_m": part.thickness,
                }
                for part in result.parts
            ],
        },
        "climate": {
            "name": result.climate_name,
            "place": result.climate_place,
            "source": result.climate_source,
            "notes": list(result.notes),
        },
        "balance": {
            "moisture_relative": balance.moisture_relative,
            "heat_relative": balance.heat_relative,
            "storage_drift": balance.storage_drift,
            "storage_drift_temperature_K": balance.storage_drift_temperature,
            "yearly_change_kg_m2": list(balance.yearly_change),
        },
        "solver": asdict(solver),
        "interfaces": _interfaces(result),
        "sheltered_outdoor_air": _wet(sheltered_outdoor_air(result)),
        **answers_data(Answers(result) if judged is None else judged.answers),
        "rainscreen": None if outer is None else _drying(outer),
        "gaps": [_drying(gap) for gap in gaps],
        "water_by_cause": _water(budget(result)),
        "water_by_layer": [_layer(layer) for layer in layer_budgets(result)],
        "air_carried": _carried(result),
        "start_drying": [asdict(layer) for layer in start_drying(result)],
        "studs": None if whole is None or whole.stud is None else _studs(whole, whole.stud),
        "stages": [
            {"label": label, "air_carried": _carried(one), "interfaces": _interfaces(one)}
            for label, one in (() if whole is None else whole.stages)
        ],
        "check": None if run.check is None else check_answers(run.check),
        "steady_beside_hourly": None
        if run.check is None or run.check.steady is None
        else compare_with_hourly(run.check.steady, result),
        "beyond_ranges": None
        if run.check is None
        else beyond_data(beyond_ranges(run.check.section, result)),
        "zone": zone_data(result),
        "ridge": None if run.ridge is None else _ridge(run.ridge),
        "drained_kg_m2": float(result.drained_cell.sum()),
        "defaults": list(result.defaults),
        "from_memory": list(result.from_memory),
        "cautions": list(CAUTIONS),
    }


def _interfaces(result: Result) -> list[dict[str, Any]]:
    return [
        {"short_name": place_name(result, place), **_wet(row)}
        for place, row in zip(result.places, wet_hours(result), strict=True)
    ]


def _ridge(ridge: Result) -> dict[str, Any]:
    return {"zone": zone_data(ridge), "interfaces": _interfaces(ridge)}


def _water(account: Budget) -> dict[str, Any]:
    return {
        "causes": [
            {
                "name": cause.name,
                "kind": cause.kind,
                "brought_kg_m2": cause.came,
                "took_kg_m2": cause.went,
                "net_by_month_kg_m2": [float(value) for value in cause.month],
            }
            for cause in account.causes
        ],
        "stored_kg_m2": account.stored,
        "missing_kg_m2": account.missing,
    }


def _layer(layer: LayerBudget) -> dict[str, Any]:
    columns = {
        f"{name}_kg_m2": [float(value) for value in layer.month[:, k]]
        for k, name in enumerate(CAUSES)
    }
    return {
        "layer": layer.part,
        **columns,
        "stored_kg_m2": layer.stored,
        "missing_kg_m2": layer.missing,
    }


def _carried(result: Result) -> dict[str, Any] | None:
    carried = air_carried(result)
    if carried is None:
        return None
    return {
        "air_inward_kg_m2": carried.air_inward,
        "air_outward_kg_m2": carried.air_outward,
        "water_inward_kg_m2": carried.inward,
        "water_outward_kg_m2": carried.outward,
        "left_kg_m2": dict(zip(carried.part, carried.left, strict=True)),
        "taken_kg_m2": dict(zip(carried.part, carried.taken, strict=True)),
    }


def _studs(whole: WholeRun, stud: Result) -> dict[str, Any]:
    return {
        "share": whole.stud_share,
        "interfaces": _interfaces(stud),
        "wood": wood_data(stud),
        "heat_to_room_J_m2": {
            "clear": [float(value) for value in heat_to_room(whole.clear)],
            "studs": [float(value) for value in heat_to_room(stud)],
            "both": [float(value) for value in heat_of_both(whole)],
        },
    }


def _wet(row: WetHours) -> dict[str, Any]:
    data = asdict(row)
    data["temperature_mean_degC"] = data.pop("temperature_mean")
    return data


def _drying(gap: GapDrying) -> dict[str, Any]:
    return {
        "gap": gap.name,
        "kind": gap.kind,
        "drying_potential_kg_m2": [float(value) for value in gap.potential_month],
        "removed_kg_m2": [float(value) for value in gap.removed_month],
        "removed_from_inner_face_kg_m2": [float(value) for value in gap.removed_from_inner_month],
        "wetting_hours": gap.wetting_hours,
        "air_changes_mean_1_h": gap.air_changes_mean,
    }
