"""A file of stages: what happens to a wet wall, roof or floor until it is closed again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from pydantic import Field, ValidationError

from moistwall.assembly.exposure_schema import Duration, Preset
from moistwall.assembly.fields import Humidity, Name, Temperature, Wet, Wetness
from moistwall.assembly.starting import content_of, fault_of_start, preset_content
from moistwall.errors import AssemblyError, Fault
from moistwall.schema import StrictModel, faults_from_validation, read_toml
from moistwall.section import Layer, Section


class StageRoom(StrictModel):
    """The air inside during a stage."""

    temperature: Temperature | None = None
    humidity: Humidity | None = None


class StageEntry(StrictModel):
    """One stage: what is taken out, the room, and how long it lasts or what it waits for."""

    name: Name = Field(description="What the report calls it")
    remove: list[Name] = Field([], description="Layers, films and gaps that are out during it")
    room: StageRoom = StageRoom()
    lasts: Duration | None = None
    until: Wet | None = None
    layer: Name | None = Field(None, description="The layer that 'until' looks at")


class StagesFile(StrictModel):
    """Stages in the order of time."""

    start: Preset | None = Field(None, description="What the layers hold when the first begins")
    stage: list[StageEntry] = Field(min_length=1, max_length=50)


@dataclass(frozen=True)
class Stage:
    """A stage, resolved but for the section that it acts on.

    Parameters
    ----------
    name : str
        What the report calls it.
    remove : tuple of str
        Parts that are out during it.
    room_temperature, room_rh : float or None
        The air inside; None leaves it as the section has it. [degC], [-]
    days : int or None
        How long it lasts, in whole days rounded up.
    layer, until : str and Wetness, or None
        The layer that it waits for, and how wet that may be.
    """

    name: str
    remove: tuple[str, ...]
    room_temperature: float | None
    room_rh: float | None
    days: int | None
    layer: str | None
    until: Wetness | None


def read_stages(path: Path | str) -> tuple[Preset | None, list[Stage]]:
    """Read a file of stages.

    Parameters
    ----------
    path : Path or str
        TOML file.

    Returns
    -------
    preset : str or None
        What the layers hold at the start.
    stages : list of Stage
        In the order of time.

    Raises
    ------
    AssemblyError
        With every mistake of the file.
    """
    data = read_toml(Path(path), AssemblyError)
    try:
        given = StagesFile.model_validate(data)
    except ValidationError as error:
        raise AssemblyError(faults_from_validation(error, str(path), StagesFile)) from None
    faults = []
    for k, entry in enumerate(given.stage, start=1):
        where = f"stage[{k}]"
        if (entry.lasts is None) == (entry.until is None):
            problem = "lasts a time and waits as well" if entry.lasts else "neither lasts nor waits"
            remedy = 'give lasts = "3 days", or until = "16 %MC" and layer = "..."'
            faults.append(Fault(str(path), where, entry.name, problem, remedy))
        if (entry.until is None) != (entry.layer is None):
            problem, remedy = "until and layer belong together", "give both or neither"
            faults.append(Fault(str(path), where, entry.name, problem, remedy))
    if faults:
        raise AssemblyError(faults)
    return given.start, [
        Stage(
            entry.name,
            tuple(entry.remove),
            entry.room.temperature,
            entry.room.humidity,
            None if entry.lasts is None else max(round(entry.lasts / 86400.0 + 0.49), 1),
            entry.layer,
            entry.until,
        )
        for entry in given.stage
    ]


def wetted(
    section: Section, layers: Sequence[str], wetness: Wetness, fields: tuple[str, str]
) -> Section:
    """Give some layers of a section the same water at the start.

    Parameters
    ----------
    section : Section
        The section.
    layers : sequence of str
        Names of layers.
    wetness : Wetness
        Their water.
    fields : (str, str)
        Where layers and water were asked for, for messages.

    Returns
    -------
    Section

    Raises
    ------
    AssemblyError
        If a name is no layer of the section, or a layer cannot hold so much.
    """
    known = {layer.name: layer for layer in section.layers}
    faults = []
    parts = list(section.parts)
    for name in layers:
        if name not in known:
            remedy = f"its layers: {', '.join(known)}"
            faults.append(Fault("", fields[0], name, "is no layer of this section", remedy))
            continue
        layer = known[name]
        fault = fault_of_start(wetness, layer.material, fields[1])
        if fault is not None:
            faults.append(fault)
            continue
        content = content_of(wetness, layer.material)
        rh = wetness.value if content is None else layer.initial_rh
        parts[parts.index(layer)] = replace(layer, initial_rh=rh, initial_content=content)
    if faults:
        raise AssemblyError(faults)
    return replace(section, parts=tuple(parts))


def preset_section(section: Section, preset: Preset) -> Section:
    """Give the layers of a section what a preset says.

    Parameters
    ----------
    section : Section
        The section.
    preset : str
        One of the presets of an assembly file.

    Returns
    -------
    Section
    """
    names = [part.name for part in section.parts]
    control = names.index(section.water_control) if section.water_control else 0
    parts = []
    for k, part in enumerate(section.parts):
        if isinstance(part, Layer):
            content = preset_content(preset, part.material, inward=k >= control)
            part = part if content is None else replace(part, initial_content=content)
        parts.append(part)
    return replace(section, parts=tuple(parts))
