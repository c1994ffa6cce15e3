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
    "find_climate_path",
    "find_film",
    "find_material",
    "load_section",
    "read_climate",
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
