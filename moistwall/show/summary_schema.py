"""The JSON schema of ``summary.json``: every key, its kind, and no key besides."""

from __future__ import annotations

import dataclasses
import types
import typing
from typing import Any

from moistwall.assess.air_spaces import Surfaces
from moistwall.assess.code_rows import CodeRow
from moistwall.assess.condensation import WetHours
from moistwall.assess.criteria import QUANTITIES, WORDS
from moistwall.assess.first_year import StartDrying
from moistwall.assess.layer_budget import CAUSES
from moistwall.assess.mold import CLASSES
from moistwall.result import SolverReport
from moistwall.show.answers_summary import UNITS

Schema = dict[str, Any]

TEXT: Schema = {"type": "string"}
NUMBER: Schema = {"type": "number"}
SHARE: Schema = {"type": "number", "minimum": 0.0, "maximum": 1.0}
TRUTH: Schema = {"type": "boolean"}
COUNT: Schema = {"type": "integer", "minimum": 0}
HOURS: Schema = {"type": "integer", "minimum": 0, "maximum": 8760}
MONTH: Schema = {"type": "integer", "minimum": 1, "maximum": 12}
WORD: Schema = {"enum": list(WORDS)}
INDEX: Schema = {"type": "number", "minimum": 0.0, "maximum": 6.0001}


def result_json_schema() -> Schema:
    """Give the JSON schema of the summary of a run.

    Returns
    -------
    dict
        JSON schema, draft 2020-12. Arrays are ordered from outside to inside; those of twelve begin in January.
    """
    wet = _of_dataclass(WetHours)
    wet["properties"]["temperature_mean_degC"] = wet["properties"].pop("temperature_mean")
    wet["required"] = list(wet["properties"])
    interface = _table(short_name=TEXT, **wet["properties"])
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "summary.json of moistwall run",
        **_table(
            moistwall=TEXT,
            verdict=_or_null(_whole_verdict()),
            section=_table(
                name=TEXT,
                tilt_deg=NUMBER,
                azimuth_deg=NUMBER,
                water_control=TEXT,
                seams=TEXT,
                parts=_list(_table(name=TEXT, kind=TEXT, material_kind=TEXT, thickness_m=NUMBER)),
            ),
            climate=_table(name=TEXT, place=TEXT, source=TEXT, notes=_list(TEXT)),
            balance=_table(
                moisture_relative=NUMBER,
                heat_relative=NUMBER,
                storage_drift=NUMBER,
                storage_drift_temperature_K=NUMBER,
                yearly_change_kg_m2=_list(NUMBER),
            ),
            solver=_of_dataclass(SolverReport),
            interfaces=_list(interface),
            sheltered_outdoor_air=wet,
            mold=_list(_mold(short_name=TEXT)),
            mold_outdoors=_list(_mold()),
            wood=_list(_wood()),
            running_month=_list(_table(name=TEXT, side=TEXT, **_running_month())),
            running_month_outdoors=_table(**_running_month()),
            attic_air=_list(
                _table(
                    gap=TEXT,
                    limits_degC=_list(NUMBER, 3),
                    hours_over=_list(HOURS, 3),
                    hours_over_first_by_month=_list(NUMBER, 12),
                    highest_degC=NUMBER,
                    highest_month=MONTH,
                    mean_degC=NUMBER,
                    outdoor_highest_degC=NUMBER,
                )
            ),
            rainscreen=_or_null(_gap()),
            gaps=_list(_gap()),
            water_by_cause=_table(
                causes=_list(
                    _table(
                        name=TEXT,
                        kind=TEXT,
                        brought_kg_m2=NUMBER,
                        took_kg_m2=NUMBER,
                        net_by_month_kg_m2=_list(NUMBER, 12),
                    )
                ),
                stored_kg_m2=NUMBER,
                missing_kg_m2=NUMBER,
            ),
            water_by_layer=_list(
                _table(
                    layer=TEXT,
                    **{f"{cause}_kg_m2": _list(NUMBER, 12) for cause in CAUSES},
                    stored_kg_m2=NUMBER,
                    missing_kg_m2=NUMBER,
                )
            ),
            air_carried=_or_null(_carried()),
            start_drying=_list(_of_dataclass(StartDrying)),
            studs=_or_null(
                _table(
                    share=SHARE,
                    interfaces=_list(interface),
                    wood=_list(_wood()),
                    heat_to_room_J_m2=_table(
                        **{path: _list(NUMBER, 12) for path in ("clear", "studs", "both")}
                    ),
                )
            ),
            stages=_list(
                _table(label=TEXT, air_carried=_or_null(_carried()), interfaces=_list(interface))
            ),
            check=_or_null(_check()),
            steady_beside_hourly=_or_null(TEXT),
            beyond_ranges=_or_null(
                _list(
                    _table(
                        layer=TEXT,
                        number=TEXT,
                        quantity={"enum": ["temperature", "humidity"]},
                        range=_list(NUMBER, 2),
                        reached=_list(NUMBER, 2),
                        hours=HOURS,
                    )
                )
            ),
            zone=_or_null(_zone()),
            ridge=_or_null(_table(zone=_zone(), interfaces=_list(interface))),
            drained_kg_m2=NUMBER,
            defaults=_list(TEXT),
            from_memory=_list(TEXT),
            cautions=_list(TEXT),
        ),
    }


def _zone() -> Schema:
    """The zone of air at one end, balanced."""
    year = _list(NUMBER, 12)
    causes = _list(_table(cause=TEXT, by_month=year))
    return _table(
        kind={"enum": ["room", "attic", "crawl space"]},
        area_m2=NUMBER,
        volume_m3=NUMBER,
        temperature_by_month_degC=year,
        dew_point_by_month_degC=year,
        rh_by_month=year,
        limits_rh=_list(SHARE, 3),
        hours_over=_list(HOURS, 3),
        hours_over_first_by_month=year,
        longest_over_first=HOURS,
        highest_rh=NUMBER,
        lowest_rh=NUMBER,
        water_by_month_kg=causes,
        heat_by_month_J=causes,
        water_stored_kg=NUMBER,
        heat_stored_J=NUMBER,
        cooling_demand_by_month=year,
        dehumidifier_running_by_month=year,
        cold_objects=_list(
            _table(name=TEXT, mean_temperature_degC=NUMBER, hours=HOURS, hours_by_month=year)
        ),
        coil_freezing_hours=HOURS,
        balance=_table(
            moisture_relative=NUMBER,
            heat_relative=NUMBER,
            drift_temperature_K=NUMBER,
            drift_rh=NUMBER,
            marches_per_hour=NUMBER,
        ),
    )


def _table(**keys: Schema) -> Schema:
    """An object that has these keys and no others."""
    return {
        "type": "object",
        "properties": keys,
        "required": list(keys),
        "additionalProperties": False,
    }


def _list(item: Schema, length: int | None = None) -> Schema:
    if length is None:
        return {"type": "array", "items": item}
    return {"type": "array", "items": item, "minItems": length, "maxItems": length}


def _or_null(schema: Schema) -> Schema:
    return {"anyOf": [schema, {"type": "null"}]}


def _of_dataclass(kind: type) -> Schema:
    """The object that `dataclasses.asdict` makes of a dataclass."""
    hints = typing.get_type_hints(kind)
    return _table(
        **{
            field.name: _of_type(hints[field.name], HOURS if "hours" in field.name else COUNT)
            for field in dataclasses.fields(kind)
        }
    )


def _of_type(hint: Any, count: Schema) -> Schema:
    if hint in (str, bool, int, float):
        return {str: TEXT, bool: TRUTH, int: count, float: NUMBER}[hint]
    members = typing.get_args(hint)
    if typing.get_origin(hint) is typing.Literal:
        return {"enum": list(members)}
    if typing.get_origin(hint) in (typing.Union, types.UnionType):
        (one,) = (member for member in members if member is not types.NoneType)
        return _or_null(_of_type(one, count))
    if typing.get_origin(hint) is tuple:
        if members[-1] is Ellipsis:
            return _list(_of_type(members[0], count))
        kinds = [_of_type(member, count) for member in members]
        return {"type": "array", "prefixItems": kinds, "items": False, "minItems": len(kinds)}
    raise TypeError(f"{hint} has no schema")


def _mold(**more: Schema) -> Schema:
    years = _list(INDEX, 3)
    return _table(
        **more,
        name=TEXT,
        side=TEXT,
        part=TEXT,
        outboard=TRUTH,
        of=TEXT,
        **{"class": {"enum": list(CLASSES)}},
        class_assumed=TRUTH,
        growing_hours=HOURS,
        peak_year=years,
        end_year=years,
        peak_year_quick=years,
        end_year_quick=years,
        peak_range=_list(INDEX, 2),
        rising=TRUTH,
    )


def _wood() -> Schema:
    return _table(
        layer=TEXT,
        slice={"enum": ["whole", "outer face", "inner face"]},
        outboard=TRUTH,
        mean_kg_kg=NUMBER,
        highest_kg_kg=NUMBER,
        highest_range_kg_kg=_list(NUMBER, 2),
        highest_month=MONTH,
        limits_kg_kg=_list(NUMBER, 3),
        equivalent_rh=_list(SHARE, 3),
        hours_over=_list(HOURS, 3),
        longest_over=_list(HOURS, 3),
        fastener_hours=HOURS,
        fastener_longest=HOURS,
    )


def _running_month() -> dict[str, Schema]:
    return {"highest_rh": NUMBER, "hours": HOURS, "hours_metal": HOURS}


def _gap() -> Schema:
    return _table(
        gap=TEXT,
        kind={"enum": ["sealed", "drained", "vented", "ventilated"]},
        drying_potential_kg_m2=_list(NUMBER, 12),
        removed_kg_m2=_list(NUMBER, 12),
        removed_from_inner_face_kg_m2=_list(NUMBER, 12),
        wetting_hours=HOURS,
        air_changes_mean_1_h=NUMBER,
    )


def _carried() -> Schema:
    by_layer: Schema = {"type": "object", "additionalProperties": NUMBER}
    return _table(
        air_inward_kg_m2=NUMBER,
        air_outward_kg_m2=NUMBER,
        water_inward_kg_m2=NUMBER,
        water_outward_kg_m2=NUMBER,
        left_kg_m2=by_layer,
        taken_kg_m2=by_layer,
    )


def _check() -> Schema:
    way = _table(
        to=TEXT,
        parts=_list(TEXT),
        permeance_kg_m2sPa=_or_null(NUMBER),
        tightest=_or_null(TEXT),
        **{"class": TEXT},
    )
    drying = _table(
        layer=TEXT,
        material=TEXT,
        own_permeance_kg_m2sPa=NUMBER,
        outward=way,
        inward=way,
        ways=TEXT,
        cannot_dry=TRUTH,
        near=TRUTH,
    )
    return _table(
        drying=_list(drying),
        cannot_dry=_list(TEXT),
        thermal=_thermal(),
        code_rows=_list(_of_dataclass(CodeRow)),
        steady=_or_null(_steady()),
    )


def _thermal() -> Schema:
    return _table(
        surfaces=_of_dataclass(Surfaces),
        left_out=_list(TEXT),
        parts=_list(_table(name=TEXT, resistance_m2K_W=NUMBER)),
        labelled_parts=_list(TEXT),
        labelled_m2K_W=NUMBER,
        clear_m2K_W=NUMBER,
        stud_m2K_W=_or_null(NUMBER),
        stud_share=SHARE,
        parallel_paths_m2K_W=NUMBER,
        joined_layers_m2K_W=NUMBER,
        combined_m2K_W=NUMBER,
        combined_error=NUMBER,
        within_method=TRUTH,
        fasteners_W_m2K=NUMBER,
        transmittance_W_m2K=NUMBER,
        decrement=NUMBER,
        lag_h=NUMBER,
        periodic_transmittance_W_m2K=NUMBER,
        inner_capacity_J_m2K=NUMBER,
    )


def _steady() -> Schema:
    year = _list(NUMBER, 12)
    return _table(
        climate=TEXT,
        first_month=_or_null(MONTH),
        accumulates=TRUTH,
        surface_saturated=TRUTH,
        outdoor_temperature_degC=year,
        outdoor_vapor_Pa=year,
        room_temperature_degC=year,
        room_vapor_Pa=year,
        stored_kg_m2={"type": "object", "additionalProperties": year},
        entered_kg_m2=year,
        left_kg_m2=year,
        nodes=_list(_table(name=TEXT, depth_m=NUMBER, temperature_degC=year, rh=year)),
        surface_factor=NUMBER,
        surface_rh=year,
        needed_surface_factor=_list(_or_null(NUMBER), 12),
    )


def _whole_verdict() -> Schema:
    finding = _table(
        word=WORD,
        value=NUMBER,
        range=_list(NUMBER, 2),
        outdoor=_or_null(NUMBER),
        nearness=NUMBER,
        season_months=_or_null(_list(MONTH, 2)),
        rising=TRUTH,
        interface=_or_null(TEXT),
        side=_or_null({"enum": ["a", "b"]}),
        layer=TEXT,
        slice=TEXT,
        outboard=TRUTH,
    )
    criterion = _table(
        name=TEXT,
        quantity={"enum": list(QUANTITIES)},
        unit={"enum": list(dict.fromkeys(UNITS.values()))},
        limit=NUMBER,
        marginal=NUMBER,
        comparison={"enum": ["below", "above"]},
        threshold=_or_null(NUMBER),
        counts=TRUTH,
        everywhere=TRUTH,
        kinds=_list(TEXT),
        source=TEXT,
        quality={"enum": ["published", "handbook", "memory", "estimate"]},
        word=_or_null(WORD),
        worst=_or_null(finding),
        findings=_list(finding),
    )
    path: dict[str, Schema] = {"overall": WORD, "criteria": _list(criterion)}
    named = _table(criterion=TEXT, at_studs=TRUTH)
    return _table(
        overall=WORD,
        criteria_name=TEXT,
        criteria_note=TEXT,
        clear=_table(**path),
        studs=_or_null(_table(**path)),
        ridge=_or_null(_table(**path)),
        rooms=_list(_table(room=TEXT, **path)),
        worst=_list(named),
        decisive=_or_null(named),
        cause=_or_null(
            _table(kind=TEXT, layer=TEXT, amount_kg_m2=NUMBER, share=SHARE, names=_list(TEXT))
        ),
        remedy=_or_null(_table(kind=TEXT, what=TEXT, share=NUMBER)),
        confidence=_or_null(
            _table(distance=NUMBER, words_of_bracket=_list(WORD, 2), from_memory=_list(TEXT))
        ),
    )
