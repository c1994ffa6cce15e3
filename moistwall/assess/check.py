"""All that can be said of an assembly without simulating it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from moistwall.assess.code_rows import CodeRow, code_rows, kind_of_section
from moistwall.assess.drying_paths import DryingPaths, drying_paths
from moistwall.assess.fasteners import Fasteners
from moistwall.assess.steady import Steady, steady_year
from moistwall.assess.thermal import Thermal, thermal
from moistwall.climate.record import Climate
from moistwall.section import Section


@dataclass(frozen=True)
class Check:
    """What was found.

    Parameters
    ----------
    section : Section
        The clear path.
    thermal : Thermal
        Resistances, with the studs if there are any.
    drying : tuple of DryingPaths
        Ways out of every layer that moisture harms, on the clear path.
    codes : tuple of CodeRow
        What a model code asks for, as information.
    steady : Steady or None
        The monthly dew-point calculation on the clear path; None without a year.
    """

    section: Section
    thermal: Thermal
    drying: tuple[DryingPaths, ...]
    codes: tuple[CodeRow, ...]
    steady: Steady | None


def check_paths(
    paths: Sequence[Section], climate: Climate | None = None, fasteners: Fasteners | None = None
) -> Check:
    """Check an assembly without simulating it.

    Parameters
    ----------
    paths : sequence of Section
        The clear path; then the one through the studs, if there are any.
    climate : Climate or None
        A year for the monthly dew-point calculation.
    fasteners : Fasteners or None
        Metal through the foam outside of the frame.

    Returns
    -------
    Check

    Raises
    ------
    AssemblyError
        If there is no foam for the fasteners.
    """
    section = paths[0]
    return Check(
        section=section,
        thermal=thermal(paths, fasteners),
        drying=drying_paths(section),
        codes=code_rows(kind_of_section(section.tilt)),
        steady=None if climate is None else steady_year(section, climate),
    )
