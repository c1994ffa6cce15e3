"""The parts of a section from the entries of a file: names, boards taken apart, gaps, wet starts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from moistwall.assembly.gaps import AIR_CHANGES, convection
from moistwall.assembly.notes import Notes, percent
from moistwall.assembly.openings import resolve_openings
from moistwall.assembly.places import spot_between
from moistwall.assembly.reading import Assembly
from moistwall.assembly.schema import AssemblyKind, GapEntry, LayerEntry
from moistwall.assembly.starting import ASSUMED_START, PRESETS, START_HUMIDITY, start_of
from moistwall.exposure import Framing, Spot
from moistwall.material import FacedBoard, FilmMaterial, Material
from moistwall.names import plain_name
from moistwall.section import Film, Gap, Layer, Part


@dataclass(frozen=True)
class Laid:
    """Parts of a section, and where each entry of the file begins among them.

    Parameters
    ----------
    parts : sequence of Layer, Film or Gap
        From outside to inside.
    starts : sequence of int
        Index in ``parts`` by place in the file; one more at the end, the number of parts.
    """

    parts: Sequence[Part]
    starts: Sequence[int]

    def spot(self, assembly: Assembly, field: str) -> tuple[Spot, str]:
        """Find the place that a field of the file names."""
        return spot_between(self.parts, self.starts[assembly.interfaces[field].inner])


def names_of_entries(assembly: Assembly) -> list[str]:
    """Give each entry a name of its own.

    Parameters
    ----------
    assembly : Assembly
        As read from its file.

    Returns
    -------
    list of str
        Ids, or what the entries are, numbered from the second on.
    """
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


def lay(
    assembly: Assembly,
    names: list[str],
    framing: Framing | None,
    kind: AssemblyKind,
    tilt: float,
    notes: Notes,
) -> Laid:
    """Lay the entries of a file from outside to inside.

    Parameters
    ----------
    assembly : Assembly
        As read from its file.
    names : list of str
        Name of each entry.
    framing : Framing or None
        Given, lumber takes the place of the layer that studs interrupt.
    kind : {'wall', 'roof', 'floor'}
        What the section is.
    tilt : float
        Angle between the outer face and the ground. [deg]
    notes : Notes
        Takes what is assumed.

    Returns
    -------
    Laid
        Boards with their facers, gaps with their air, layers with their water at the start.
    """
    given = assembly.given
    preset = given.start.preset if given.start else None
    parts: list[Part] = []
    starts: list[int] = []
    assumed = False
    for place, (entry, found) in enumerate(zip(given.layer, assembly.found, strict=True)):
        starts.append(len(parts))
        name = names[place]
        if isinstance(entry, GapEntry):
            parts.append(_gap(entry, name, assembly, place, kind, tilt, notes))
            continue
        if isinstance(found, FilmMaterial):
            parts.append(_film(found, name, notes))
            continue
        if not isinstance(entry, LayerEntry) or found is None:
            continue
        board: Material | FacedBoard = found
        start, humidity = entry.start, entry.start_humidity
        if framing is not None and place == assembly.stud_layer:
            assert given.studs is not None
            assert assembly.lumber is not None
            board, start, humidity = assembly.lumber, given.studs.start, None
        inward = place >= (assembly.water_control or 0)
        wet = start_of(_core(board), start, humidity, preset, inward=inward)
        parts += _layer(Layer(name, _core(board), entry.thickness, *wet), board, notes)
        assumed = assumed or (wet is ASSUMED_START)
    if preset is not None:
        water, source = PRESETS[preset]
        notes.defaults.append(f"start, {preset}: {water} ({source})")
    if assumed:
        notes.defaults.append(
            f"start: pores of layers without a start of their own at {percent(START_HUMIDITY)} "
            "relative humidity (estimate)"
        )
    return Laid(parts, [*starts, len(parts)])


def _core(found: Material | FacedBoard) -> Material:
    """Return what has the thickness."""
    return found.core if isinstance(found, FacedBoard) else found


def _layer(layer: Layer, found: Material | FacedBoard, notes: Notes) -> list[Part]:
    """Return a layer between the films that its board comes with."""
    notes.sources(layer.material.name, layer.material.sources)
    if isinstance(found, Material):
        return [layer]
    parts: list[Part] = [layer]
    if found.outside is not None:
        parts.insert(0, _film(found.outside, f"{layer.name} outer facer", notes, facer=True))
    if found.inside is not None:
        parts.append(_film(found.inside, f"{layer.name} inner facer", notes, facer=True))
    return parts


def _film(found: FilmMaterial, name: str, notes: Notes, *, facer: bool = False) -> Film:
    """Return a film as the section has it."""
    notes.sources(found.name, found.sources)
    return Film(
        name,
        found.rh,
        found.permeance,
        found.emittance,
        found.absorptance,
        facer,
        found.name,
        found.mold_class,
        found.sources,
    )


def _gap(
    entry: GapEntry,
    name: str,
    assembly: Assembly,
    place: int,
    kind: AssemblyKind,
    tilt: float,
    notes: Notes,
) -> Gap:
    """Return a gap, with the air and the convection of its kind where none is given."""
    rate, source = AIR_CHANGES[entry.gap]
    ways = resolve_openings(entry, name, kind, tilt, notes)
    air_changes = assembly.hourly_air.get(place, entry.air_changes)
    if ways is not None:
        air_changes = 0.0
    elif air_changes is None:
        air_changes = rate
        if entry.gap != "sealed":
            notes.defaults.append(f"{name}: {rate:g} air changes per hour ({source})")
    coefficient, source = convection(entry.gap, entry.depth)
    notes.defaults.append(f"{name}: convection {coefficient:.2g} W/(m2 K) at each face ({source})")
    return Gap(name, entry.depth, entry.gap, coefficient, air_changes, ways)
