"""From an assembly to a section: boards taken apart, names made unique, defaults put in and listed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from moistwall.assembly.gaps import AIR_CHANGES, convection
from moistwall.assembly.reading import Assembly, read_assembly
from moistwall.assembly.schema import (
    COMPASS,
    AssemblyFile,
    AssemblyKind,
    Color,
    GapEntry,
    LayerEntry,
)
from moistwall.material import FacedBoard, FilmMaterial, Material, Source
from moistwall.names import plain_name
from moistwall.section import Face, Film, Gap, Layer, Part, Section
from moistwall.units import format_quantity, quantity

ABSORPTANCE: dict[Color, float] = {
    "white": 0.30,
    "light": 0.45,
    "medium": 0.65,
    "dark": 0.85,
    "black": 0.95,
}
"""Solar absorptance of a painted surface some years old, by its color: common practice, no source.
[-]"""

ROOM_TEMPERATURE, ROOM_HUMIDITY = "75 degF", "50 %"
"""Air inside where none is given: common practice for an air-conditioned classroom, no source."""

START_HUMIDITY = 0.7
"""Relative humidity of the pores at the start of the first year: estimate. [-]"""

SURFACES_HOLD = 0.1
"""Water that stays on a face before it runs down: within 0.035 to 0.15, left on drainage surfaces
in Straube and Smegal 2007, from memory. [kg/m2]"""

UPRIGHT: dict[AssemblyKind, float] = {"wall": 90.0, "floor": 180.0}
"""Angle between outer face and ground where none is given; a roof must give its own. [deg]"""

ROOM_RESISTANCE: dict[AssemblyKind, tuple[float, str]] = {
    "wall": (0.13, "horizontal heat flow"),
    "roof": (0.17, "heat flow down"),
    "floor": (0.10, "heat flow up"),
}
"""Surface resistance on the room side (ISO 6946, from memory), for the direction in which heat flows
into an air-conditioned room. [m2 K/W]"""

ROOM_VAPOR_FILM = 2.0e-8
"""Vapor transfer coefficient on the room side: 7e-9 times 3 W/(m2 K) of convection by the Lewis
relation, rounded. [kg/(m2 s Pa)]"""

_REMARKS = {"memory": "from memory", "estimate": "estimate"}


@dataclass
class _Notes:
    """What the report says about inputs: assumed values, and values that rest on memory alone."""

    defaults: list[str] = field(default_factory=list)
    from_memory: dict[str, None] = field(default_factory=dict)

    def sources(self, name: str, sources: dict[str, Source]) -> None:
        """List the values of one material that rest on memory or on an estimate."""
        for quality, remark in _REMARKS.items():
            values = [
                what.replace("_", " ")
                for what, source in sources.items()
                if source.quality == quality
            ]
            if values:
                self.from_memory[f"{name}: {', '.join(values)} ({remark})"] = None


def resolve(assembly: Assembly) -> Section:
    """Resolve an assembly to the numbers that are computed with.

    Parameters
    ----------
    assembly : Assembly
        As read from its file.

    Returns
    -------
    Section
        Parts from outside to inside. A board with facers becomes a layer between films that are
        called "<board> outer facer" and "<board> inner facer". What was assumed stands in
        ``defaults``, what is known from memory alone in ``from_memory``.
    """
    given, notes = assembly.given, _Notes()
    kind = given.kind or "wall"
    if given.kind is None:
        notes.defaults.append("kind: a wall")
    tilt, azimuth = _orientation(given, kind, notes)
    if given.water_control is None:
        notes.defaults.append("water control: no layer is named as the one that keeps rain out")
    names = _names(assembly)
    parts: list[Part] = []
    water_control = ""
    for place, (entry, found) in enumerate(zip(given.layer, assembly.found, strict=True)):
        before = len(parts)
        if isinstance(entry, GapEntry):
            parts.append(_gap(entry, names[place], assembly, place, notes))
        elif isinstance(found, FilmMaterial):
            parts.append(_film(found, names[place], notes))
        elif isinstance(entry, LayerEntry) and found is not None:
            parts += _layer(entry, found, names[place], notes)
        if place == assembly.water_control:
            water_control = parts[before].name
    if any(isinstance(one, LayerEntry) and one.start_humidity is None for one in given.layer):
        notes.defaults.append(
            f"start: pores of layers without a start_humidity at {_percent(START_HUMIDITY)} "
            "relative humidity (estimate)"
        )
    outer = _outer_face(given, parts, notes)
    temperature, humidity, resistance = _room(given, kind, notes)
    return Section(
        name=assembly.name,
        parts=tuple(parts),
        outer=outer,
        inner=Face(holds=outer.holds),
        tilt=tilt,
        azimuth=azimuth,
        water_control=water_control,
        seams=given.water_control.seams if given.water_control else None,
        room_temperature=temperature,
        room_rh=humidity,
        room_film=1.0 / resistance,
        room_vapor_film=ROOM_VAPOR_FILM,
        gap_holds=outer.holds,
        defaults=tuple(notes.defaults),
        from_memory=tuple(notes.from_memory),
    )


def load_section(path: Path | str) -> Section:
    """Read an assembly file and resolve it.

    Parameters
    ----------
    path : Path or str
        TOML file.

    Returns
    -------
    Section
        See `resolve`.

    Raises
    ------
    AssemblyError
        With every mistake of the file and of the files that it names.
    """
    return resolve(read_assembly(path))


def _percent(share: float) -> str:
    """Return a share as people read it."""
    return format_quantity(share, "share", "si").replace(".0 %", " %")


def _names(assembly: Assembly) -> list[str]:
    """Give each entry a name of its own: its id, or what it is, numbered from the second on."""
    entries = assembly.given.layer
    taken = {plain_name(entry.id) for entry in entries if entry.id}
    names = []
    for entry, found in zip(entries, assembly.found, strict=True):
        if entry.id:
            names.append(entry.id)
            continue
        base = f"{entry.gap} gap" if isinstance(entry, GapEntry) else found.name if found else ""
        name, number = base, 1
        while plain_name(name) in taken:
            number += 1
            name = f"{base} {number}"
        taken.add(plain_name(name))
        names.append(name)
    return names


def _layer(entry: LayerEntry, found: Material | FacedBoard, name: str, notes: _Notes) -> list[Part]:
    """Return the layer of an entry, between the films that its board comes with."""
    start = START_HUMIDITY if entry.start_humidity is None else entry.start_humidity
    if isinstance(found, Material):
        notes.sources(found.name, found.sources)
        return [Layer(name, found, entry.thickness, start)]
    notes.sources(found.core.name, found.core.sources)
    parts: list[Part] = [Layer(name, found.core, entry.thickness, start)]
    if found.outside is not None:
        parts.insert(0, _film(found.outside, f"{name} outer facer", notes, facer=True))
    if found.inside is not None:
        parts.append(_film(found.inside, f"{name} inner facer", notes, facer=True))
    return parts


def _film(found: FilmMaterial, name: str, notes: _Notes, *, facer: bool = False) -> Film:
    """Return a film as the section has it."""
    notes.sources(found.name, found.sources)
    return Film(name, found.rh, found.permeance, found.emittance, found.absorptance, facer)


def _gap(entry: GapEntry, name: str, assembly: Assembly, place: int, notes: _Notes) -> Gap:
    """Return a gap, with the air and the convection of its kind where none is given."""
    rate, source = AIR_CHANGES[entry.gap]
    air_changes = assembly.hourly_air.get(place, entry.air_changes)
    if air_changes is None:
        air_changes = rate
        if entry.gap != "sealed":
            notes.defaults.append(f"{name}: {rate:g} air changes per hour ({source})")
    coefficient, source = convection(entry.gap, entry.depth)
    notes.defaults.append(f"{name}: convection {coefficient:.2g} W/(m2 K) at each face ({source})")
    return Gap(name, entry.depth, entry.gap, coefficient, air_changes)


def _orientation(given: AssemblyFile, kind: AssemblyKind, notes: _Notes) -> tuple[float, float]:
    """Return tilt and azimuth of the outer face. [deg]"""
    tilt = given.slope
    if tilt is None:
        tilt = UPRIGHT[kind]
        posture = "outer face upright" if kind == "wall" else "outer face looks down"
        notes.defaults.append(f"slope: {tilt:g} deg ({kind}: {posture})")
    azimuth = given.facing
    if azimuth is None:
        azimuth = COMPASS["south"]
        if 0.0 < tilt < 180.0:
            notes.defaults.append("facing: south, 180 deg clockwise from north")
    return tilt, azimuth


def _bare_face(parts: Sequence[Part]) -> tuple[float, float]:
    """Return emittance and absorptance of the outermost films, or of the layer behind them. [-]"""
    films: list[Film] = []
    for part in parts:
        if isinstance(part, Layer):
            faces: list[Film | Material] = [*films, part.material]
            emittance = next(one.emittance for one in faces if one.emittance is not None)
            absorptance = next(one.absorptance for one in faces if one.absorptance is not None)
            return emittance, absorptance
        if isinstance(part, Film):
            films.append(part)
    raise AssertionError("a section without a layer was not refused")


def _outer_face(given: AssemblyFile, parts: Sequence[Part], notes: _Notes) -> Face:
    """Return the outer face: as given, else as the outermost film or layer has it."""
    emittance, absorptance = _bare_face(parts)
    of = f"as of {parts[0].name}"
    outside = given.outside
    if outside.absorptance is not None:
        absorptance = outside.absorptance
    elif outside.color is not None:
        absorptance = ABSORPTANCE[outside.color]
        notes.defaults.append(
            f"outer face: solar absorptance {_percent(absorptance)} for the color {outside.color} "
            "(common practice, no source)"
        )
    else:
        notes.defaults.append(f"outer face: solar absorptance {_percent(absorptance)}, {of}")
    if outside.emittance is not None:
        emittance = outside.emittance
    else:
        notes.defaults.append(f"outer face: long-wave emittance {_percent(emittance)}, {of}")
    holds = given.surfaces_hold
    if holds is None:
        holds = SURFACES_HOLD
        notes.defaults.append(
            f"faces of gaps and ends: hold {format_quantity(holds, 'area_water', 'si')} of water "
            "before it runs down (Straube and Smegal 2007: 35 to 150 g/m2, from memory)"
        )
    return Face(emittance, absorptance, holds)


def _room(given: AssemblyFile, kind: AssemblyKind, notes: _Notes) -> tuple[float, float, float]:
    """Return the room's temperature [degC], humidity [-] and surface resistance [m2 K/W]."""
    temperature, humidity = given.room.temperature, given.room.humidity
    if temperature is None:
        temperature = quantity(ROOM_TEMPERATURE, "temperature")
        notes.defaults.append(f"room: {ROOM_TEMPERATURE} all year (common practice, no source)")
    if humidity is None:
        humidity = quantity(ROOM_HUMIDITY, "share")
        notes.defaults.append(
            f"room: {ROOM_HUMIDITY} relative humidity all year (common practice, no source)"
        )
    resistance, direction = ROOM_RESISTANCE[kind]
    notes.defaults.append(
        f"room side: surface resistance {resistance:g} m2 K/W (ISO 6946, {direction}, from memory)"
    )
    notes.defaults.append(
        f"room side: vapor transfer {ROOM_VAPOR_FILM:g} kg/(m2 s Pa) (Lewis relation at 3 W/(m2 K) "
        "of convection)"
    )
    return temperature, humidity, resistance
