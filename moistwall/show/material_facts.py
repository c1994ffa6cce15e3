"""What is said of a material in a line: R, permeance, class, water at 80 %, mold, quality."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from moistwall.library import Entry, find_entry, find_record
from moistwall.material import (
    DRY_CUP_RH,
    MOLD_CLASSES,
    WET_CUP_RH,
    FacedBoard,
    FilmMaterial,
    Material,
    Quality,
    Source,
)
from moistwall.material_file import FilmFile, MaterialRecord, read_material_record
from moistwall.material_vapor import VaporClass, permeance_of, vapor_class
from moistwall.names import plain_name

QUALITIES: tuple[Quality, ...] = ("published", "handbook", "memory", "estimate")
"""From the best to the least."""

JUDGED = ("conductivity", "vapor", "storage")
"""Groups whose quality is told in the list: what decides how wet a section gets."""

INCH = 0.0254
"""Thickness at which a material is told that gives no usual one. [m]"""


@dataclass(frozen=True)
class MaterialFacts:
    """A material, film or faced board in short; SI.

    Parameters
    ----------
    record : MaterialRecord
        What its file says.
    entry : Material, FilmMaterial or FacedBoard
        What it is.
    thickness : float or None
        Usual thickness; None for a film. [m]
    conductivity : float or None
        Of the dry material or core; None for a film. [W/(m K)]
    permeance_dry, permeance_wet : float
        Dry cup and wet cup at that thickness, facers and all. [kg/(m2 s Pa)]
    vapor_class : str
        Vapor-retarder class of the dry cup.
    content_80 : float or None
        Water content at 80 % relative humidity; None for a film and where nothing is sorbed. [kg/m3]
    moisture_80 : float or None
        The same of wood, in dry mass. [kg/kg]
    mold_class : str
        Of the most sensitive face.
    quality : str
        The least among conductivity, permeability and storage.
    """

    record: MaterialRecord
    entry: Entry
    thickness: float | None
    conductivity: float | None
    permeance_dry: float
    permeance_wet: float
    vapor_class: VaporClass
    content_80: float | None
    moisture_80: float | None
    mold_class: str
    quality: Quality

    @property
    def sort(self) -> str:
        """Whether it is a material, a film or a board."""
        return self.record.entry.type

    def speaks_of(self, words: str) -> bool:
        """Whether every one of some words stands in its name, kind, aliases, note or caution."""
        told = self.record.entry
        text = plain_name(
            " ".join((told.name, self.entry.kind, self.sort, *told.aliases, told.note or ""))
        )
        return all(word in text for word in plain_name(words).split())


def material_facts(name: str) -> MaterialFacts:
    """What is said of a material in a line.

    Parameters
    ----------
    name : str
        Name or alias of a material, film or faced board.

    Returns
    -------
    MaterialFacts

    Raises
    ------
    MaterialError
        If nothing has the name, or its file is wrong.
    """
    return facts_of(find_record(name), find_entry(name))


def facts_of_file(path: Path) -> MaterialFacts:
    """What is said in a line of a material of one's own; see `material_facts`.

    Parameters
    ----------
    path : Path
        Its file; what a board names stands in the library.

    Returns
    -------
    MaterialFacts

    Raises
    ------
    MaterialError
        With every mistake of the file.
    """
    name = read_material_record(path).entry.name
    return facts_of(find_record(name, [path]), find_entry(name, [path]))


def facts_of(record: MaterialRecord, entry: Entry) -> MaterialFacts:
    """What is said in a line of an entry whose file was read.

    Parameters
    ----------
    record : MaterialRecord
        What its file says.
    entry : Material, FilmMaterial or FacedBoard
        What it is.

    Returns
    -------
    MaterialFacts
    """
    told = record.entry
    thickness = None if isinstance(told, FilmFile) else told.usual_thickness or INCH
    dry, wet = (permeance_of(entry, thickness or INCH, rh) for rh in (DRY_CUP_RH, WET_CUP_RH))
    core = core_of(entry)
    sorbs = core is not None and core.storage.free > 0.02
    content = (
        float(core.storage.content(np.log(np.array([0.8])))[0])
        if core is not None and sorbs
        else None
    )
    return MaterialFacts(
        record=record,
        entry=entry,
        thickness=thickness,
        conductivity=float(core.conductivity[0]) if core is not None else None,
        permeance_dry=dry,
        permeance_wet=wet,
        vapor_class=vapor_class(dry),
        content_80=content,
        moisture_80=content / core.density if content and core is not None and core.wood else None,
        mold_class=_mold_class(entry),
        quality=_quality(entry),
    )


def core_of(entry: Entry) -> Material | None:
    """What of an entry has a thickness; None for a film."""
    if isinstance(entry, FacedBoard):
        return entry.core
    return None if isinstance(entry, FilmMaterial) else entry


def parts_of(entry: Entry) -> tuple[Material | FilmMaterial, ...]:
    """What an entry is made of, from outside to inside, each once."""
    if not isinstance(entry, FacedBoard):
        return (entry,)
    parts: dict[str, Material | FilmMaterial] = {}
    for part in (entry.outside, entry.core, entry.inside):
        if part is not None:
            parts.setdefault(part.name, part)
    return tuple(parts.values())


def worst_quality(sources: list[Source]) -> Quality:
    """The least quality among some sources."""
    return max((source.quality for source in sources), key=QUALITIES.index)


def _quality(entry: Entry) -> Quality:
    return worst_quality(
        [
            source
            for part in parts_of(entry)
            for group, source in part.sources.items()
            if group in JUDGED
        ]
    )


def _mold_class(entry: Entry) -> str:
    faces: tuple[Material | FilmMaterial, ...] = (
        (entry.outside or entry.core, entry.inside or entry.core)
        if isinstance(entry, FacedBoard)
        else (entry,)
    )
    given = [face.mold_class for face in faces if face.mold_class]
    return min(given, key=MOLD_CLASSES.index) if given else ""
