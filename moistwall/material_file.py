"""Material files: one TOML file for each material, film or faced board of the library.

A file is checked whole: what pydantic finds in it, what does not fit together, and the rules of
`material_checks`, whatever of it could be read. All mistakes are reported together.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any

from pydantic import TypeAdapter, ValidationError

from moistwall.errors import Fault, InputError, MaterialError
from moistwall.material import FilmMaterial, Material, Source
from moistwall.material_checks import Subject, check
from moistwall.material_parts import Faults, parts_of
from moistwall.material_schema import (
    FILE_TYPES,
    AnyFile,
    BoardFile,
    FilmFile,
    MaterialFile,
    Sourced,
)
from moistwall.material_spread import Spread
from moistwall.schema import faults_from_validation, read_toml

__all__ = [
    "BoardFile",
    "FilmFile",
    "MaterialFile",
    "MaterialRecord",
    "check_material_file",
    "read_material_file",
    "read_material_record",
]


@dataclass(frozen=True)
class MaterialRecord:
    """All that a file says, beside what it becomes.

    Parameters
    ----------
    path : Path
        The file.
    entry : MaterialFile, FilmFile or BoardFile
        Its tables, numbers in SI.
    content : dict
        The same as it stands in the file, numbers as text with the units of their source.
    built : Material, FilmMaterial or None
        What it becomes; None for a faced board, which still has to be put together.
    spreads : tuple of Spread
        How far sources lie apart.
    warnings : tuple of Fault
        What is unusual, but can be.
    """

    path: Path
    entry: AnyFile
    content: dict[str, Any]
    built: Material | FilmMaterial | None
    spreads: tuple[Spread, ...] = ()
    warnings: tuple[Fault, ...] = ()


def read_material_file(path: Path) -> Material | FilmMaterial | BoardFile:
    """Read one file of the library.

    Parameters
    ----------
    path : Path
        TOML file; its folder names the kind.

    Returns
    -------
    Material, FilmMaterial or BoardFile
        What it describes. A board still has to be put together from what it names.

    Raises
    ------
    MaterialError
        With every mistake of the file.
    """
    record = read_material_record(path)
    if isinstance(record.entry, BoardFile):
        return record.entry
    assert record.built is not None
    return record.built


def read_material_record(path: Path) -> MaterialRecord:
    """Read one file of the library with all that it says.

    Parameters
    ----------
    path : Path
        TOML file; its folder names the kind.

    Returns
    -------
    MaterialRecord
        What it says and what it becomes.

    Raises
    ------
    MaterialError
        With every mistake of the file.
    """
    record, faults, _ = _read(path)
    if record is None or faults:
        raise MaterialError(faults)
    return record


def check_material_file(path: Path) -> tuple[list[Fault], list[Fault]]:
    """Check one file.

    Parameters
    ----------
    path : Path
        TOML file; its folder names the kind.

    Returns
    -------
    faults, warnings : list of Fault
        What is wrong, and what is unusual but can be. A board is checked alone, not against the
        files of what it names.
    """
    try:
        _, faults, warnings = _read(path)
    except InputError as error:
        return list(error.faults), []
    return faults, warnings


def _read(path: Path) -> tuple[MaterialRecord | None, list[Fault], list[Fault]]:
    file, kind = str(path), path.resolve().parent.name
    content = read_toml(path, MaterialError)
    given = content.get("type")
    if not isinstance(given, str) or given not in FILE_TYPES:
        problem = "is missing" if given is None else "is not a type of file"
        remedy = "write " + " or ".join(f'type = "{one}"' for one in FILE_TYPES)
        raise MaterialError(
            Fault(file, "type", "" if given is None else str(given), problem, remedy)
        )
    model = FILE_TYPES[given]
    faults = Faults(file)
    entry: AnyFile | None = None
    try:
        entry = model.model_validate(content)
        groups = {name: getattr(entry, name) for name in model.model_fields}
    except ValidationError as error:
        faults += faults_from_validation(error, file, model)
        groups = _sound_groups(model, content)
    if model is BoardFile:
        record = MaterialRecord(path, entry, content, None) if entry else None
        return record, faults, []
    assert not isinstance(entry, BoardFile)
    parts = parts_of(groups, kind, model is FilmFile, faults)
    # a group that is wrong in itself is not judged by the rules as well
    broken = {fault.field.partition(".")[0].partition("[")[0] for fault in faults}
    found = [one for one in check(parts) if one.field.partition(".")[0] not in broken]
    faults += [one.fault(file) for one in found if one.refused]
    warnings = [one.fault(file) for one in found if not one.refused]
    if faults or entry is None:
        return None, faults, warnings
    built = faults.building("", lambda: _built(entry, parts))
    record = MaterialRecord(path, entry, content, built, parts.spreads, tuple(warnings))
    return record, faults, warnings


def _sound_groups(model: type[Any], content: dict[str, Any]) -> dict[str, Any]:
    """Read what can be read of a file with mistakes, group by group."""
    groups: dict[str, Any] = {}
    for name, field in model.model_fields.items():
        if name not in content:
            continue
        try:
            annotation: Any = Annotated[field.annotation, field]
            groups[name] = TypeAdapter(annotation).validate_python(content[name])
        except ValidationError:
            continue
    return groups


def _built(entry: MaterialFile | FilmFile, parts: Subject) -> Material | FilmMaterial:
    assert parts.vapor is not None
    surface = (
        {"emittance": entry.surface.emittance, "absorptance": entry.surface.absorptance}
        if entry.surface
        else {}
    )
    if isinstance(entry, FilmFile):
        return FilmMaterial(
            name=entry.name,
            kind=parts.kind,
            rh=parts.vapor[0],
            permeance=parts.vapor[1],
            mold_class=parts.mold_class,
            sources=_sources(entry),
            **surface,
        )
    assert parts.conductivity is not None
    assert parts.storage is not None
    return Material(
        name=entry.name,
        kind=parts.kind,
        density=entry.density.value,
        heat_capacity=entry.heat_capacity.value,
        conductivity_content=parts.conductivity[0],
        conductivity=parts.conductivity[1],
        vapor_rh=parts.vapor[0],
        vapor_permeability=parts.vapor[1],
        storage=parts.storage,
        diffusivity=parts.diffusivity,
        conductivity_slope=entry.conductivity.per_kelvin,
        conductivity_temperature=entry.conductivity.at,
        permeability_slope=entry.vapor.per_kelvin,
        mold_class=parts.mold_class,
        wood=entry.wood,
        sources=_sources(entry),
        **surface,
    )


def _sources(entry: MaterialFile | FilmFile) -> dict[str, Source]:
    groups = ((name, getattr(entry, name)) for name in type(entry).model_fields)
    return {name: group.origin() for name, group in groups if isinstance(group, Sourced)}
