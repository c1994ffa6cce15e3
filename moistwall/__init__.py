"""moistwall: does this enclosure stay dry, hour by hour, in a hot-humid climate?

The public names below are looked up in their modules when they are first used, so that importing the
package costs nothing.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from moistwall.assembly import load_section
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
    from moistwall.library import find_climate_path, find_film, find_material
    from moistwall.material import FilmMaterial, Material
    from moistwall.result import Result
    from moistwall.section import Face, Film, Gap, Layer, Section
    from moistwall.show.climate_pictures import dew_point_figure, drive_figure, walls_figure
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
    "__version__",
    "compare_figure",
    "depth_figure",
    "dew_point_figure",
    "drive_figure",
    "dry_out_figure",
    "drying_figure",
    "ensemble_figure",
    "find_climate_path",
    "find_film",
    "find_material",
    "humidity_figure",
    "load_section",
    "picture_files",
    "places_figure",
    "read_climate",
    "section_figure",
    "sweep_figure",
    "walls_figure",
    "water_figure",
]

_PLACES = {
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
    "find_climate_path": "moistwall.library",
    "find_film": "moistwall.library",
    "find_material": "moistwall.library",
    "load_section": "moistwall.assembly",
    "read_climate": "moistwall.climate.read",
    "compare_figure": "moistwall.show.study_pictures",
    "depth_figure": "moistwall.show.result_pictures",
    "dew_point_figure": "moistwall.show.climate_pictures",
    "drive_figure": "moistwall.show.climate_pictures",
    "dry_out_figure": "moistwall.show.study_pictures",
    "drying_figure": "moistwall.show.result_pictures",
    "ensemble_figure": "moistwall.show.study_pictures",
    "humidity_figure": "moistwall.show.humidity",
    "picture_files": "moistwall.show.pictures",
    "places_figure": "moistwall.show.result_pictures",
    "section_figure": "moistwall.show.section",
    "sweep_figure": "moistwall.show.study_pictures",
    "walls_figure": "moistwall.show.climate_pictures",
    "water_figure": "moistwall.show.result_pictures",
}
"""Module of each public name."""


def __getattr__(name: str) -> Any:
    """Look a public name up in its module when it is first used."""
    if name not in _PLACES:
        raise AttributeError(f"module 'moistwall' has no attribute '{name}'")
    value = getattr(import_module(_PLACES[name]), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    """List the public names beside what is loaded already."""
    return sorted({*globals(), *__all__})
