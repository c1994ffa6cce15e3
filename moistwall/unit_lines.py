"""What a unit is in SI: pint says it once, and it is kept, as importing pint takes longer than a year of one wall.

Every conversion of `KINDS` is a straight line, SI value = offset + slope times number; the offset is 0 for all but
temperatures.
"""

from __future__ import annotations

from functools import cache
from importlib.metadata import version
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from moistwall import unit_kinds
from moistwall.kept import kept_array, key_of
from moistwall.unit_kinds import KINDS

if TYPE_CHECKING:
    import pint

Array = NDArray[np.float64]

PERM = 57.45e-12
"""One US perm at 23 degC (ASTM E96). [kg/(m2 s Pa)]"""

INCH_OF_R = "Btu*inch/hour/foot^2/delta_degF"
"""Unit of the conductivity of what has an R-value of 1 an inch."""

FAR = 1e6
"""Number from which the slope of a temperature is taken, so that its offset does not cost digits."""


class Line(NamedTuple):
    """How a number in a unit becomes its value in SI: ``offset + slope * number``."""

    slope: float
    offset: float


def line_of(kind: str, unit: str) -> Line:
    """Tell how a unit becomes SI.

    Parameters
    ----------
    kind : str
        Name in `KINDS`.
    unit : str
        A unit of this kind as pint spells it, or `INCH_OF_R`.

    Returns
    -------
    Line
    """
    return _lines()[kind, unit]


@cache
def _lines() -> dict[tuple[str, str], Line]:
    """All lines, from where they are kept."""
    pairs = [
        (name, unit) for name, kind in KINDS.items() for unit in dict.fromkeys(kind.units.values())
    ]
    pairs.append(("conductivity", INCH_OF_R))
    sources = [Path(one).read_bytes() for one in (__file__, unit_kinds.__file__)]
    key = key_of([*sources, version("pint").encode()])
    table = kept_array("units", key, (len(pairs), 2), lambda: _by_pint(pairs))
    return {pair: Line(float(a), float(b)) for pair, (a, b) in zip(pairs, table, strict=True)}


def _by_pint(pairs: list[tuple[str, str]]) -> Array:
    """Ask pint for slope and offset of each unit."""
    registry = _registry()

    def si(number: float, kind: str, unit: str) -> float:
        return float(registry.Quantity(number, unit).to(KINDS[kind].si).magnitude)

    rows = []
    for kind, unit in pairs:
        offset = si(0.0, kind, unit)
        slope = (si(FAR, kind, unit) - offset) / FAR if offset else si(1.0, kind, unit)
        rows.append((slope, offset))
    return np.array(rows)


def _registry() -> pint.UnitRegistry[Any]:
    """Build a registry with the units of the trade."""
    import pint

    registry: pint.UnitRegistry[Any] = pint.UnitRegistry(autoconvert_offset_to_baseunit=False)
    registry.define(f"perm = {PERM!r} * kilogram / meter ** 2 / second / pascal")
    registry.define("calendar_year = 365 * day")
    registry.define("ounce_per_square = ounce / (100 * foot ** 2)")
    # The trade counts water by volume: a liter weighs a kilogram.
    registry.define("pint_of_water = pint / liter * kilogram")
    return registry
