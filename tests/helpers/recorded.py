"""Numbers of the examples' first Miami year, as they were recorded: what they are, how far they may move."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path
from typing import Any

import numpy as np
from heron_point import example, miami

from moistwall.assess.zone_air import LIMITS_RH, zone_year
from moistwall.library import data_folder
from moistwall.result import Result
from moistwall.simulate import simulate
from moistwall.study.beside import ridge_strip
from moistwall.study.measures import measure

FOLDER = Path(__file__).parents[1] / "recorded"
MOVES = FOLDER / "moves.json"

PREFIX = "heron-point-"

TOLERANCES = {
    "hours": 2.0,
    "mold_index": 0.01,
    "mold_index_quick": 0.01,
    "nearness": 0.01,
    "verdict": 0.0,
    "attic_hot_hours": 2.0,
}
"""How far a number may be off what was recorded, by its name or its end; of all others 1 in 1000 and 1e-6. A run
gives the same bytes again on one machine; processors and libraries differ in the last digits, and counts of
hours turn on them."""


def examples() -> list[str]:
    """Names of the examples, those of zones included, without what all begin with."""
    folder = data_folder("examples")
    paths = [*folder.glob(f"{PREFIX}*.toml"), *(folder / "zones").glob(f"{PREFIX}*.toml")]
    return sorted(path.stem.removeprefix(PREFIX) for path in paths)


def numbers(name: str) -> dict[str, float]:
    """Numbers of the first year of an example, of its zone, and of the strip along its ridge."""
    section = example(name)
    result = simulate(section, miami(), most_years=1)
    found = dict(measure(result).numbers)
    found["mean_temperature"] = float(result.temperature_cell.mean())
    found["mean_humidity_percent"] = 100.0 * float(result.rh_cell.mean())
    found["stored_water_end"] = float(result.water_cell[1].sum())
    found["run_off"] = float(np.sum(result.drained_cell))
    found["heat_through_outer_face_MJ"] = float(result.heat_a[:, 0].sum()) / 1e6
    found |= zone_numbers(result)
    strip = ridge_strip(section, result)
    if strip is not None:
        ridge = simulate(strip, miami(), most_years=1)
        told = {**measure(ridge).numbers, **zone_numbers(ridge)}
        found |= {f"ridge_{key}": value for key, value in told.items()}
    return {key: float(f"{value:.9g}") for key, value in sorted(found.items())}


def zone_numbers(result: Result) -> dict[str, float]:
    """Numbers of a zone: means of its air, hours over limits, water and heat by cause; none without one."""
    year = zone_year(result)
    if year is None:
        return {}
    found = {
        "zone_temperature": float(year.temperature.mean()),
        "zone_dew_point": float(year.dew_point.mean()),
        "zone_humidity_percent": 100.0 * float(year.rh.mean()),
        "zone_runs": float(year.running_month.mean()),
        "zone_dehumidifier_runs": float(year.drying_month.mean()),
    }
    for limit, hours in zip(LIMITS_RH, year.hours_over, strict=True):
        found[f"zone_over_{100 * limit:.0f}_hours"] = float(hours)
    for one in year.objects:
        found[f"zone_{one.name.replace(' ', '_')}_dew_hours"] = float(one.hours)
    for one in year.water:
        found[f"zone_water_{one.name.replace(' ', '_')}_kg"] = float(one.month.sum())
    for one in year.heat:
        found[f"zone_heat_{one.name.replace(' ', '_')}_MJ"] = float(one.month.sum()) / 1e6
    return found


def tolerance(key: str, value: float) -> float:
    """How far a number may be off."""
    for end, allowed in TOLERANCES.items():
        if key == end or key.endswith(f"_{end}") or (end == "hours" and key.startswith("hours_")):
            return allowed
    return max(1e-3 * abs(value), 1e-6)


def recorded(name: str) -> dict[str, list[float]]:
    """Value and tolerance of each number of an example, as they were recorded."""
    found: dict[str, list[float]] = json.loads(
        (FOLDER / f"{name}.json").read_text(encoding="utf-8")
    )
    return found


def digest() -> str:
    """Fingerprint of all that is recorded."""
    content = b"".join(
        path.name.encode() + path.read_bytes()
        for path in sorted(FOLDER.glob("*.json"))
        if path != MOVES
    )
    return hashlib.sha256(content).hexdigest()


def moves() -> list[dict[str, Any]]:
    """Why numbers were recorded, each time: the entry of the changelog, and the fingerprint then."""
    found: list[dict[str, Any]] = json.loads(MOVES.read_text(encoding="utf-8"))
    return found
