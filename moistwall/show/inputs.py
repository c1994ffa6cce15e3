"""What went into a run, for pages: each part with its main numbers, and where every number comes from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from moistwall.material import DRY_CUP_RH, WET_CUP_RH, Source
from moistwall.material_vapor import permeance_of
from moistwall.section import Film, Layer, Section
from moistwall.show.section import thickness_text
from moistwall.units import System, convert, unit_label

REMARKS = {
    "published": "published",
    "handbook": "handbook",
    "memory": "FROM MEMORY",
    "estimate": "ESTIMATE",
}
"""Words for the quality of a source; those to look at twice stand out without color."""


@dataclass(frozen=True)
class InputRow:
    """One part of a section as it went in.

    Parameters
    ----------
    name, made_of : str
        Its name, and its material in the library or its kind.
    cells : tuple of str
        Thickness, resistance, dry-cup and wet-cup permeance.
    sources : tuple of (str, str, str)
        Group of properties, quality in words, source.
    """

    name: str
    made_of: str
    cells: tuple[str, ...]
    sources: tuple[tuple[str, str, str], ...]


def input_heads(system: System) -> tuple[str, ...]:
    """Heads of the columns of `InputRow`.

    Parameters
    ----------
    system : {'ip', 'si'}
        Units to show.
    """
    perm = unit_label("permeance", system)
    return (
        "part",
        "made of",
        "thickness",
        f"R, {unit_label('thermal_resistance', system)}",
        f"dry cup, {perm}",
        f"wet cup, {perm}",
    )


def input_rows(section: Section, system: System) -> list[InputRow]:
    """Every part of a section with what it was given.

    Parameters
    ----------
    section : Section
        What was run.
    system : {'ip', 'si'}
        Units to show.

    Returns
    -------
    list of InputRow
        From outside to inside, facers included.
    """
    found = []
    for part in section.parts:
        if isinstance(part, Layer):
            material = part.material
            resistance = part.thickness / float(material.conductivity[0])
            cells = (
                thickness_text(part.thickness, system),
                f"{convert(resistance, 'thermal_resistance', system):.2f}",
                *(
                    _perms(permeance_of(material, part.thickness, rh), system)
                    for rh in (DRY_CUP_RH, WET_CUP_RH)
                ),
            )
            found.append(InputRow(part.name, material.name, cells, _told(material.sources)))
        elif isinstance(part, Film):
            dry, wet = (
                float(np.interp(rh, part.rh, part.permeance)) for rh in (DRY_CUP_RH, WET_CUP_RH)
            )
            cells = ("", "", _perms(dry, system), _perms(wet, system))
            found.append(InputRow(part.name, part.made_of, cells, _told(part.sources)))
        else:
            found.append(
                InputRow(
                    part.name,
                    f"{part.kind} gap",
                    (thickness_text(part.depth, system), "", "", ""),
                    (),
                )
            )
    return found


def _perms(permeance: float, system: System) -> str:
    return f"{convert(permeance, 'permeance', system):.3g}"


def _told(sources: Mapping[str, Source]) -> tuple[tuple[str, str, str], ...]:
    return tuple(
        (group.replace("_", " "), REMARKS[source.quality], source.text)
        for group, source in sources.items()
    )
