"""moistwall: does this enclosure stay dry, hour by hour, in a hot-humid climate?

>>> import moistwall as mw
>>> result = mw.run("heron-point-wall", "mobile")  # doctest: +SKIP
>>> print(mw.report(result))  # doctest: +SKIP

docs/python.md tells the rest. The public names below are looked up in their modules when they are first used,
so that importing the package costs nothing.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from moistwall.api import change, judge, load, report, run
    from moistwall.assembly import Assembly, load_section, resolve
    from moistwall.assess.condensation import wet_hours
    from moistwall.assess.verdict import Verdict
    from moistwall.assess.weather import wall_weather
    from moistwall.climate.read import read_climate
    from moistwall.climate.record import Climate
    from moistwall.errors import (
        AssemblyError,
        BalanceError,
        ClimateError,
        ConvergenceError,
        CriteriaError,
        InputError,
        MaterialError,
        MoistwallError,
        ResultError,
        UnitError,
    )
    from moistwall.library import find_climate_path, find_film, find_material, read_year
    from moistwall.material import FilmMaterial, Material
    from moistwall.result import Result
    from moistwall.section import Face, Film, Gap, Layer, Section
    from moistwall.show.climate_pictures import dew_point_figure, drive_figure, walls_figure
    from moistwall.show.frames import climate_frame, criteria_frame, hourly_frame, place_frame
    from moistwall.show.humidity import humidity_figure
    from moistwall.show.pictures import picture_files
    from moistwall.show.result_pictures import (
        depth_figure,
        drying_figure,
        places_figure,
        water_figure,
    )
    from moistwall.show.section import section_figure
    from moistwall.show.study_pictures import (
        compare_figure,
        dry_out_figure,
        ensemble_figure,
        sweep_figure,
    )

__version__ = "0.1.0"

__all__ = [
    "Assembly",
    "AssemblyError",
    "BalanceError",
    "Climate",
    "ClimateError",
    "ConvergenceError",
    "CriteriaError",
    "Face",
    "Film",
    "FilmMaterial",
    "Gap",
    "InputError",
    "Layer",
    "Material",
    "MaterialError",
    "MoistwallError",
    "Result",
    "ResultError",
    "Section",
    "UnitError",
    "Verdict",
    "__version__",
    "change",
    "climate_frame",
    "compare_figure",
    "criteria_frame",
    "depth_figure",
    "dew_point_figure",
    "drive_figure",
    "dry_out_figure",
    "drying_figure",
    "ensemble_figure",
    "find_climate_path",
    "find_film",
    "find_material",
    "hourly_frame",
    "humidity_figure",
    "judge",
    "load",
    "load_section",
    "picture_files",
    "place_frame",
    "places_figure",
    "read_climate",
    "read_year",
    "report",
    "resolve",
    "run",
    "section_figure",
    "sweep_figure",
    "wall_weather",
    "walls_figure",
    "water_figure",
    "wet_hours",
]

_PLACES = {
    "Assembly": "moistwall.assembly",
    "AssemblyError": "moistwall.errors",
    "BalanceError": "moistwall.errors",
    "Climate": "moistwall.climate.record",
    "ClimateError": "moistwall.errors",
    "ConvergenceError": "moistwall.errors",
    "CriteriaError": "moistwall.errors",
    "Face": "moistwall.section",
    "Film": "moistwall.section",
    "FilmMaterial": "moistwall.material",
    "Gap": "moistwall.section",
    "InputError": "moistwall.errors",
    "Layer": "moistwall.section",
    "Material": "moistwall.material",
    "MaterialError": "moistwall.errors",
    "MoistwallError": "moistwall.errors",
    "Result": "moistwall.result",
    "ResultError": "moistwall.errors",
    "Section": "moistwall.section",
    "UnitError": "moistwall.errors",
    "Verdict": "moistwall.assess.verdict",
    "change": "moistwall.api",
    "climate_frame": "moistwall.show.frames",
    "compare_figure": "moistwall.show.study_pictures",
    "criteria_frame": "moistwall.show.frames",
    "depth_figure": "moistwall.show.result_pictures",
    "dew_point_figure": "moistwall.show.climate_pictures",
    "drive_figure": "moistwall.show.climate_pictures",
    "dry_out_figure": "moistwall.show.study_pictures",
    "drying_figure": "moistwall.show.result_pictures",
    "ensemble_figure": "moistwall.show.study_pictures",
    "find_climate_path": "moistwall.library",
    "find_film": "moistwall.library",
    "find_material": "moistwall.library",
    "hourly_frame": "moistwall.show.frames",
    "humidity_figure": "moistwall.show.humidity",
    "judge": "moistwall.api",
    "load": "moistwall.api",
    "load_section": "moistwall.assembly",
    "picture_files": "moistwall.show.pictures",
    "place_frame": "moistwall.show.frames",
    "places_figure": "moistwall.show.result_pictures",
    "read_climate": "moistwall.climate.read",
    "read_year": "moistwall.library",
    "report": "moistwall.api",
    "resolve": "moistwall.assembly",
    "run": "moistwall.api",
    "section_figure": "moistwall.show.section",
    "sweep_figure": "moistwall.show.study_pictures",
    "wall_weather": "moistwall.assess.weather",
    "walls_figure": "moistwall.show.climate_pictures",
    "water_figure": "moistwall.show.result_pictures",
    "wet_hours": "moistwall.assess.condensation",
}
"""Module of each public name."""


def __getattr__(name: str) -> Any:
    """Look a public name up in its module when it is first used."""
    if name not in _PLACES:
        known = (
            "docs/python.md tells what it has: load, change, run, judge, report, frames, figures"
        )
        raise AttributeError(f"module 'moistwall' has no attribute '{name}'; {known}")
    value = getattr(import_module(_PLACES[name]), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    """List the public names."""
    return sorted(__all__)
