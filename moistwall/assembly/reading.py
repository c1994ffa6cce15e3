"""From an assembly file to an `Assembly`: every mistake is found before any is reported."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from moistwall.assembly.exposure_checking import check_loads
from moistwall.assembly.gaps import Array, read_hourly_air_changes
from moistwall.assembly.openings import faults_of_openings
from moistwall.assembly.paths import find_file, find_paths
from moistwall.assembly.places import Interface, find_entry_place
from moistwall.assembly.room_checking import check_room
from moistwall.assembly.schema import SLOPES, AssemblyFile, entry_kind, labeled
from moistwall.assembly.zone_checking import check_zones
from moistwall.errors import AssemblyError, Fault, InputError
from moistwall.library import Entry, find_entry
from moistwall.material import FilmMaterial, Material
from moistwall.names import plain_name
from moistwall.schema import MOST_ENTRIES, faults_from_validation, read_toml


@dataclass(frozen=True, repr=False)
class Assembly:
    """An assembly file that has been read and checked, with everything that it names.

    Parameters
    ----------
    data : dict
        The file as it was written, so that a variant of it can be read again.
    given : AssemblyFile
        Its values in SI.
    found : tuple of Material, FilmMaterial, FacedBoard or None
        What each entry of ``given.layer`` is made of; None for a gap.
    hourly_air : dict of int to (8760,) ndarray
        Hourly air changes of the gaps that have a file of them, by place in ``given.layer``. [1/h]
    water_control : int or None
        Place in ``given.layer`` of what keeps rain out.
    interfaces : dict of str to Interface
        Places that the tables of loads name, by the field that names them.
    stud_layer : int or None
        Place in ``given.layer`` of what studs interrupt.
    lumber : Material or None
        What the studs are made of.
    room_hours : tuple of (8760,) ndarray or None
        Temperature [degC] and relative humidity [-] of a room that has a file of them.
    file : str
        Name for messages.
    folder : Path
        Folder that paths in the file start from.
    """

    data: Mapping[str, Any]
    given: AssemblyFile
    found: tuple[Entry | None, ...]
    hourly_air: Mapping[int, Array]
    water_control: int | None
    interfaces: Mapping[str, Interface]
    stud_layer: int | None
    lumber: Material | None
    room_hours: tuple[Array, Array] | None
    file: str
    folder: Path

    def __repr__(self) -> str:
        entries = len(self.given.layer)
        return f"<Assembly {self.name!r}: {self.given.kind or 'wall'} of {entries} layers, films and gaps>"

    @property
    def name(self) -> str:
        """Name shown to people."""
        return self.given.name or Path(self.file).stem or "assembly"


def read_assembly(path: Path | str) -> Assembly:
    """Read an assembly file.

    Parameters
    ----------
    path : Path or str
        TOML file.

    Returns
    -------
    Assembly
        Read and checked.

    Raises
    ------
    AssemblyError
        With every mistake of the file and of the files that it names.
    """
    path = Path(path)
    return assembly_from_data(read_toml(path, AssemblyError), file=str(path), folder=path.parent)


def assembly_from_data(data: dict[str, Any], *, file: str = "", folder: Path = Path()) -> Assembly:
    """Check what an assembly file says.

    Parameters
    ----------
    data : dict
        Content of the file, as TOML gives it.
    file : str
        Name for messages.
    folder : Path
        Folder that paths in it start from.

    Returns
    -------
    Assembly
        Read and checked.

    Raises
    ------
    AssemblyError
        With every mistake.
    """
    given: AssemblyFile | None = None
    faults: list[Fault] = []
    try:
        given = AssemblyFile.model_validate(data)
    except ValidationError as error:
        faults += faults_from_validation(error, file, AssemblyFile)
    layer = data.get("layer")
    entries: list[Any] = layer if isinstance(layer, list) else []
    if len(entries) > MOST_ENTRIES:
        raise AssemblyError([one for one in faults if one.field == "layer"])
    folders = find_paths(data.get("materials"), folder, "materials", faults)
    found = [_find(entry, place, folders, faults) for place, entry in enumerate(entries)]
    hourly_air = {
        place: rates
        for place, entry in enumerate(entries)
        if (rates := _hourly(entry, place, folder, faults)) is not None
    }
    faults += _faults_of_order(entries) + _faults_of_ids(entries) + _faults_of_tables(data)
    faults += _faults_of_slope(given)
    control = data.get("water_control")
    wanted = control.get("layer") if isinstance(control, dict) else None
    water_control = None
    if isinstance(wanted, str):
        field, no_gap = "water_control.layer", "a gap keeps no rain out"
        water_control = find_entry_place(wanted, entries, found, field, faults, gap=no_gap)
    faults += faults_of_openings(entries)
    room_hours = check_room(data, folder, faults)
    check_zones(data, faults)
    loads = check_loads(data, entries, found, water_control, folders, faults)
    if given is None or faults:
        raise AssemblyError(_in_order([replace(one, file=one.file or file) for one in faults]))
    return Assembly(
        data=data,
        given=given,
        found=tuple(found),
        hourly_air=hourly_air,
        water_control=water_control,
        interfaces=loads.interfaces,
        stud_layer=loads.stud_layer,
        lumber=loads.lumber,
        room_hours=room_hours,
        file=file,
        folder=folder,
    )


def _in_order(faults: Sequence[Fault]) -> list[Fault]:
    """Sort faults from the head of the file through its layers, each once."""

    def place(fault: Fault) -> int:
        number = fault.field.removeprefix("layer[").partition("]")[0]
        return int(number) if fault.field.startswith("layer[") and number.isdecimal() else 0

    return sorted(dict.fromkeys(faults), key=place)


def _find(
    entry: object, place: int, folders: tuple[Path, ...], faults: list[Fault]
) -> Entry | None:
    """Return what an entry is made of, if it names something of its own kind."""
    kind = entry_kind(entry)
    if not isinstance(entry, dict) or kind is None or kind == "gap":
        return None
    name = entry[kind]
    if not isinstance(name, str):
        return None
    field = f"layer[{place + 1}].{kind}"
    try:
        found = find_entry(name, folders, field=field)
    except InputError as error:
        faults += [one if one.file else labeled(one, entry) for one in error.faults]
        return None
    if isinstance(found, FilmMaterial) and kind == "material":
        remedy = f'write film = "{name}", without a thickness'
        faults.append(labeled(Fault("", field, name, "is a film", remedy), entry))
    elif not isinstance(found, FilmMaterial) and kind == "film":
        remedy = f'write material = "{name}" and its thickness'
        faults.append(labeled(Fault("", field, name, "is no film", remedy), entry))
    return found


def _hourly(entry: object, place: int, folder: Path, faults: list[Fault]) -> Array | None:
    """Return the hourly air changes of a gap that has a file of them."""
    text = entry.get("air_changes_file") if isinstance(entry, dict) else None
    if not isinstance(text, str) or entry_kind(entry) != "gap":
        return None
    field = f"layer[{place + 1}].air_changes_file"
    path = find_file(text, folder, field, faults)
    if path is None:
        return None
    try:
        return read_hourly_air_changes(path)
    except InputError as error:
        faults += error.faults
        return None


def _faults_of_order(entries: Sequence[object]) -> list[Fault]:
    """Find gaps that are not between two layers, and an assembly without a layer."""
    kinds = [(place, entry_kind(entry)) for place, entry in enumerate(entries)]
    solid = [(place, kind) for place, kind in kinds if kind in ("material", "gap")]
    faults = []
    if entries and not any(kind in ("material", None) for _, kind in kinds):
        problem, remedy = "has no layer", 'give at least one entry with a "material"'
        faults.append(Fault("", "layer", "", problem, remedy))
    if any(kind is None for _, kind in kinds):
        return faults
    for (place, kind), side in zip(solid[:1] + solid[-1:], ("outer", "inner"), strict=False):
        if kind == "gap":
            problem = f"a gap cannot be the {side} end"
            fault = Fault("", f"layer[{place + 1}]", "", problem, "put a layer on both sides of it")
            faults.append(labeled(fault, entries[place]))
    for (_, outer), (place, inner) in pairwise(solid):
        if outer == inner == "gap":
            problem, remedy = "a gap cannot lie against another gap", "put a layer between them"
            fault = Fault("", f"layer[{place + 1}]", "", problem, remedy)
            faults.append(labeled(fault, entries[place]))
    return faults


def _faults_of_ids(entries: Sequence[object]) -> list[Fault]:
    """Find ids that are given twice."""
    faults: list[Fault] = []
    first: dict[str, int] = {}
    for place, entry in enumerate(entries, start=1):
        own = entry.get("id") if isinstance(entry, dict) else None
        if isinstance(own, str) and first.setdefault(plain_name(own), place) != place:
            problem = f"is the id of layer[{first[plain_name(own)]}] as well"
            faults.append(Fault("", f"layer[{place}].id", own, problem, "give each its own"))
    return faults


def _faults_of_tables(data: Mapping[str, Any]) -> list[Fault]:
    """Find what two keys of the head say together and should not."""
    faults = []
    if data.get("kind") == "roof" and "slope" not in data:
        remedy = 'write for instance slope = "4/12", or "0 deg" if it is flat'
        faults.append(Fault("", "slope", "", "is missing: a roof needs its slope", remedy))
    outside = data.get("outside")
    if isinstance(outside, dict) and "color" in outside and "absorptance" in outside:
        problem = "color and absorptance say the same thing"
        faults.append(
            Fault("", "outside.color", str(outside["color"]), problem, "give one of them")
        )
    return faults


def _faults_of_slope(given: AssemblyFile | None) -> list[Fault]:
    """Find an outer face that leans as no wall, roof or floor does."""
    if given is None or given.slope is None:
        return []
    kind = given.kind or "wall"
    low, high = SLOPES[kind]
    if low <= given.slope <= high:
        return []
    problem, remedy = f"is not the slope of a {kind}", f"give one from {low:g} to {high:g} deg"
    return [Fault("", "slope", f"{given.slope:.4g} deg", problem, remedy)]
