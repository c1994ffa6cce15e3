"""From an assembly to a section: boards taken apart, names made unique, defaults put in and listed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from moistwall.assembly.exposure_resolving import framing_share, resolve_exposure
from moistwall.assembly.exposure_schema import Studs
from moistwall.assembly.fields import COMPASS
from moistwall.assembly.laying import lay, names_of_entries
from moistwall.assembly.notes import Notes, percent
from moistwall.assembly.reading import Assembly, read_assembly
from moistwall.assembly.room_resolving import resolve_room
from moistwall.assembly.schema import (
    AssemblyFile,
    AssemblyKind,
    Color,
)
from moistwall.assembly.zone_resolving import resolve_zone
from moistwall.errors import AssemblyError, Fault
from moistwall.exposure import Framing
from moistwall.material import Material
from moistwall.names import did_you_mean, plain_name
from moistwall.section import Face, Film, Layer, Part, Section
from moistwall.units import format_quantity

ABSORPTANCE: dict[Color, float] = {
    "white": 0.30,
    "light": 0.45,
    "medium": 0.65,
    "dark": 0.85,
    "black": 0.95,
}
"""Solar absorptance of a painted surface some years old, by its color: common practice, no source.
[-]"""

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


def resolve(assembly: Assembly, *, stage: str | None = None, studs: bool = False) -> Section:
    """Resolve an assembly to the numbers that are computed with.

    Parameters
    ----------
    assembly : Assembly
        As read from its file.
    stage : str or None
        Label of the blower-door test to use; None takes the last one.
    studs : bool
        True for the path through the studs.

    Returns
    -------
    Section
        Parts from outside to inside. A board with facers becomes a layer between films that are
        called "<board> outer facer" and "<board> inner facer". What was assumed stands in
        ``defaults``, what is known from memory alone in ``from_memory``.

    Raises
    ------
    AssemblyError
        If there is no test with the label, or no studs.
    """
    given, notes = assembly.given, Notes()
    test = _stage(assembly, stage)
    if studs and given.studs is None:
        problem, remedy = "there are none in this file", "add a table [studs]"
        raise AssemblyError(Fault(assembly.file, "studs", "", problem, remedy))
    kind = given.kind or "wall"
    if given.kind is None:
        notes.defaults.append("kind: a wall")
    tilt, azimuth = _orientation(given, kind, notes)
    if given.water_control is None:
        notes.defaults.append("water control: no layer is named as the one that keeps rain out")
    names = names_of_entries(assembly)
    framing = None
    if studs and given.studs is not None:
        framing, names = _framing(assembly, given.studs, names, notes)
    laid = lay(assembly, names, framing, kind, tilt, notes)
    water_control = ""
    if assembly.water_control is not None:
        water_control = laid.parts[laid.starts[assembly.water_control]].name
    outer = _outer_face(given, laid.parts, notes)
    room = resolve_room(assembly, notes)
    resistance = _room_side(kind, notes)
    zone = resolve_zone(assembly, tilt, notes, air=framing is None)
    if zone is not None and zone.kind == "crawl space":
        outer = replace(outer, emittance=0.0, absorptance=0.0)
    exposure = resolve_exposure(assembly, laid, kind, test, notes, air=framing is None)
    if framing is not None and given.leakage is not None:
        notes.defaults.append("leakage: none through the studs")
    return Section(
        name=f"{assembly.name}, at the studs" if framing else assembly.name,
        parts=tuple(laid.parts),
        outer=outer,
        inner=Face(holds=outer.holds),
        tilt=tilt,
        azimuth=azimuth,
        water_control=water_control,
        seams=given.water_control.seams if given.water_control else None,
        **room,
        room_film=1.0 / resistance,
        room_vapor_film=ROOM_VAPOR_FILM,
        gap_holds=outer.holds,
        defaults=tuple(notes.defaults),
        from_memory=tuple(notes.from_memory),
        exposure=exposure,
        framing=framing,
        zone=zone,
    )


def load_section(path: Path | str) -> Section:
    """Read an assembly file and resolve its clear path, at the last of its blower-door tests.

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


def load_stages(path: Path | str | Assembly) -> list[tuple[str, Section]]:
    """Read an assembly file and resolve its clear path at each of its blower-door tests.

    Parameters
    ----------
    path : Path, str or Assembly
        TOML file, or one that has been read.

    Returns
    -------
    list of (str, Section)
        Label and section, in the order of the file; one with an empty label if it has no series.

    Raises
    ------
    AssemblyError
        With every mistake of the file and of the files that it names.
    """
    assembly = path if isinstance(path, Assembly) else read_assembly(path)
    tests = assembly.given.leakage.test if assembly.given.leakage else []
    if not tests:
        return [("", resolve(assembly))]
    return [(test.label, resolve(assembly, stage=test.label)) for test in tests]


def load_paths(path: Path | str | Assembly, *, stage: str | None = None) -> list[Section]:
    """Read an assembly file and resolve each path of heat through it.

    Parameters
    ----------
    path : Path, str or Assembly
        TOML file, or one that has been read.
    stage : str or None
        Label of the blower-door test to use; None takes the last one.

    Returns
    -------
    list of Section
        The clear path; then the one through the studs, if there are any, with its share of the area
        in ``framing``.

    Raises
    ------
    AssemblyError
        With every mistake of the file and of the files that it names, or if there is no such test.
    """
    assembly = path if isinstance(path, Assembly) else read_assembly(path)
    paths = [resolve(assembly, stage=stage)]
    if assembly.given.studs is not None:
        paths.append(resolve(assembly, stage=stage, studs=True))
    return paths


def _stage(assembly: Assembly, wanted: str | None) -> int:
    """Return the place of a blower-door test by its label; the last one if none is wanted."""
    tests = assembly.given.leakage.test if assembly.given.leakage else []
    if wanted is None:
        return len(tests) - 1
    labels = [test.label for test in tests]
    for place, label in enumerate(labels):
        if plain_name(label) == plain_name(wanted):
            return place
    problem = "is the label of no blower-door test in this file"
    remedy = did_you_mean(wanted, labels)
    raise AssemblyError(Fault(assembly.file, "leakage.test", wanted, problem, remedy))


def _framing(
    assembly: Assembly, studs: Studs, names: list[str], notes: Notes
) -> tuple[Framing, list[str]]:
    """Return what the studs are, and the names of the entries with theirs in place of one."""
    place, lumber = assembly.stud_layer, assembly.lumber
    assert place is not None, "studs without a layer were not refused"
    assert lumber is not None, "studs of nothing were not refused"
    framing = Framing(names[place], lumber.name, framing_share(studs, notes))
    own, number = "studs", 1
    while plain_name(own) in map(plain_name, names):
        number += 1
        own = f"studs {number}"
    return framing, [own if k == place else name for k, name in enumerate(names)]


def _orientation(given: AssemblyFile, kind: AssemblyKind, notes: Notes) -> tuple[float, float]:
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


def _outer_face(given: AssemblyFile, parts: Sequence[Part], notes: Notes) -> Face:
    """Return the outer face: as given, else as the outermost film or layer has it."""
    emittance, absorptance = _bare_face(parts)
    of = f"as of {parts[0].name}"
    outside = given.outside
    if outside.absorptance is not None:
        absorptance = outside.absorptance
    elif outside.color is not None:
        absorptance = ABSORPTANCE[outside.color]
        notes.defaults.append(
            f"outer face: solar absorptance {percent(absorptance)} for the color {outside.color} "
            "(common practice, no source)"
        )
    else:
        notes.defaults.append(f"outer face: solar absorptance {percent(absorptance)}, {of}")
    if outside.emittance is not None:
        emittance = outside.emittance
    else:
        notes.defaults.append(f"outer face: long-wave emittance {percent(emittance)}, {of}")
    holds = given.surfaces_hold
    if holds is None:
        holds = SURFACES_HOLD
        notes.defaults.append(
            f"faces of gaps and ends: hold {format_quantity(holds, 'area_water', 'si')} of water "
            "before it runs down (Straube and Smegal 2007: 35 to 150 g/m2, from memory)"
        )
    return Face(emittance, absorptance, holds)


def _room_side(kind: AssemblyKind, notes: Notes) -> float:
    """Return the surface resistance on the room's side. [m2 K/W]"""
    resistance, direction = ROOM_RESISTANCE[kind]
    notes.defaults.append(
        f"room side: surface resistance {resistance:g} m2 K/W (ISO 6946, {direction}, from memory)"
    )
    notes.defaults.append(
        f"room side: vapor transfer {ROOM_VAPOR_FILM:g} kg/(m2 s Pa) (Lewis relation at 3 W/(m2 K) "
        "of convection)"
    )
    return resistance
