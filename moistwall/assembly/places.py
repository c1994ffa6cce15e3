"""Places in an assembly by the names of their neighbors, and the surface or cell that they stand for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from moistwall.assembly.schema import entry_kind, entry_label
from moistwall.errors import Fault
from moistwall.exposure import Spot
from moistwall.library import Entry
from moistwall.material import Material
from moistwall.names import did_you_mean, plain_name
from moistwall.section import Film, Gap, Layer, Part

ENDS: dict[str, int] = {"outside": -1, "room": 1}
"""Words for the air at the two ends."""


@dataclass(frozen=True)
class Interface:
    """Where two neighbors of a file meet.

    Parameters
    ----------
    inner : int
        Place in the file of the inner one; the number of entries for the room.
    names : tuple of str
        What the file calls the two, outer one first.
    """

    inner: int
    names: tuple[str, str]


def find_entry_place(
    wanted: str,
    entries: Sequence[object],
    found: Sequence[Entry | None],
    field: str,
    faults: list[Fault],
    *,
    gap: str = "",
) -> int | None:
    """Find an entry by its id, or by what it is.

    Parameters
    ----------
    wanted : str
        What the file says.
    entries : sequence
        Entries of ``[[layer]]`` as the file has them.
    found : sequence of Material, FilmMaterial, FacedBoard or None
        What each is made of.
    field : str
        Where the name stands, for the message.
    faults : list of Fault
        Takes the fault, if there is one.
    gap : str
        What is wrong with a gap; empty if a gap may be meant.

    Returns
    -------
    int or None
        Place in ``entries``; None if there is not exactly one.
    """
    name = plain_name(wanted)
    labels = [entry_label(entry) for entry in entries]
    ids = [str(entry.get("id", "")) if isinstance(entry, dict) else "" for entry in entries]
    made_of = [[label, one.name if one else ""] for label, one in zip(labels, found, strict=True)]
    matching = [k for k, own in enumerate(ids) if plain_name(own) == name] or [
        k for k, names in enumerate(made_of) if name in map(plain_name, names)
    ]
    if not matching:
        known = [label for label in labels if label]
        what = "layer or film" if gap else "layer, film or gap"
        problem = f"names no {what} of this file"
        remedy = did_you_mean(wanted, known) or f"give the id or the name of a {what}"
        faults.append(Fault("", field, wanted, problem, remedy))
        return None
    if len(matching) > 1:
        numbers = " and ".join(f"layer[{k + 1}]" for k in matching)
        problem = f"could be {numbers}"
        faults.append(Fault("", field, wanted, problem, "give the one that is meant an id"))
        return None
    if gap and entry_kind(entries[matching[0]]) == "gap":
        faults.append(Fault("", field, wanted, gap, "name a layer or film"))
        return None
    return matching[0]


def find_interface(
    pair: Sequence[str],
    entries: Sequence[object],
    found: Sequence[Entry | None],
    field: str,
    faults: list[Fault],
) -> Interface | None:
    """Find where two neighbors meet.

    Parameters
    ----------
    pair : sequence of str
        Their names, outer one first; 'outside' and 'room' are the air at the ends.
    entries, found, field, faults
        As for `find_entry_place`.

    Returns
    -------
    Interface or None
        None if there is no such place.
    """
    places: list[int | None] = []
    for number, wanted in enumerate(pair, start=1):
        end = ENDS.get(plain_name(wanted))
        if end is not None:
            places.append(-1 if end < 0 else len(entries))
        else:
            where = f"{field}[{number}]"
            places.append(find_entry_place(wanted, entries, found, where, faults))
    outer, inner = places
    if outer is None or inner is None:
        return None
    value = " and ".join(pair)
    if outer >= inner:
        remedy = f'write ["{pair[1]}", "{pair[0]}"]' if outer > inner else "name two neighbors"
        problem = "are not in order from outside to inside"
        if outer == inner:
            problem = "are one and the same"
        faults.append(Fault("", field, value, problem, remedy))
        return None
    if inner > outer + 1:
        names = [entry_label(one) for one in entries[outer + 1 : inner]]
        problem = "do not touch: between them lies " + ", ".join(names)
        remedy = f'name two that touch, such as ["{pair[0]}", "{names[0]}"]'
        faults.append(Fault("", field, value, problem, remedy))
        return None
    return Interface(inner, (pair[0], pair[1]))


@dataclass(frozen=True)
class _Neighbor:
    """What lies on one side of a place: a layer's face, or air, and how many films come first."""

    layer: Layer | None
    face: Literal["outer", "inner"]
    films: int


def spot_between(parts: Sequence[Part], at: int) -> tuple[Spot, str]:
    """Find the surface or cell that stands for the place before a part.

    Parameters
    ----------
    parts : sequence of Layer, Film or Gap
        Parts of a section.
    at : int
        Index of the part on the inner side; their number for the room's side of the last one.

    Returns
    -------
    spot : Spot
        Of two layers that touch the place, the face of the more absorbent one. A film keeps the place
        to its own side; if films lie on both sides, as facers do, they are not counted on.
    words : str
        What was decided, for people.
    """
    outer = _neighbor(parts[:at][::-1], "inner")
    inner = _neighbor(parts[at:], "outer")
    sides = [side for side in (outer, inner) if side.layer is not None]
    if len(sides) == 1:
        (side,) = sides
        in_air = inner if side is outer else outer
        return _spot(side, under_films=in_air.films > 0)
    touching = [side for side in sides if side.films == 0]
    if len(touching) == 1:
        return _spot(touching[0])
    wetter = max(reversed(sides), key=lambda side: _absorbency(side.layer))
    spot, words = _spot(wetter)
    words += ", which takes up more water than its neighbor"
    return spot, words + (" (its film is not counted on)" if not touching else "")


def _neighbor(parts: Sequence[Part], face: Literal["outer", "inner"]) -> _Neighbor:
    """Walk from a place through films to a layer or to air."""
    films = 0
    for part in parts:
        if isinstance(part, Layer):
            return _Neighbor(part, face, films)
        if isinstance(part, Gap):
            break
        assert isinstance(part, Film)
        films += 1
    return _Neighbor(None, face, films)


def _spot(side: _Neighbor, *, under_films: bool = False) -> tuple[Spot, str]:
    assert side.layer is not None
    behind = ", behind its film" if under_films else ""
    words = f"the {side.face} face of {side.layer.name}{behind}"
    return Spot(side.layer.name, side.face, under_films), words


def _absorbency(layer: Layer | None) -> tuple[float, float]:
    """Order of layers by the water they take: integral of liquid diffusivity, then what they hold."""
    assert layer is not None
    material: Material = layer.material
    if material.diffusivity is None:
        return 0.0, material.storage.holds
    content = np.linspace(0.0, material.storage.free, 401)
    return float(np.trapezoid(material.diffusivity(content), content)), material.storage.holds
