"""The section: an assembly resolved to frozen SI numbers, from outside to inside.

It is the only thing that the loads, the solver and the assessment accept. No text of
units, no files.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from moistwall.errors import AssemblyError, Fault
from moistwall.exposure import NOTHING, Exposure, Framing, Openings
from moistwall.material import Material, Source
from moistwall.room import RoomForm
from moistwall.zone import Zone

Array = NDArray[np.float64]
GapKind = Literal["sealed", "drained", "vented", "ventilated"]
Seams = Literal["taped", "lapped", "open"]


@dataclass(frozen=True)
class Layer:
    """A material with a thickness.

    Parameters
    ----------
    name : str
        Name shown to people; unique in the section.
    material : Material
        What it is made of.
    thickness : float
        Thickness. [m]
    initial_rh : float
        Relative humidity of its pore air at the start of the first year. [-]
    initial_content : float or None
        Its water content then, instead, where it starts wet; may lie above saturation, up to what the
        material holds. [kg/m3]
    """

    name: str
    material: Material
    thickness: float
    initial_rh: float = 0.7
    initial_content: float | None = None


@dataclass(frozen=True)
class Film:
    """A sheet or coat: a permeance and next to no storage.

    Parameters
    ----------
    name : str
        Name shown to people; unique in the section.
    rh : (n,) ndarray
        Mean relative humidities across it at which permeance is given, rising. [-]
    permeance : (n,) ndarray
        Permeance at them; linear between, constant beyond. [kg/(m2 s Pa)]
    emittance, absorptance : float or None
        Surface properties where it is the face of a gap or of the section; None keeps those of
        the layer behind it. [-]
    facer : bool
        True if it is the facer of a board, and not laid by itself.
    made_of, mold_class : str
        Its name in the library, and the sensitivity class of its surface; empty if not given.
    sources : dict of str to Source
        Where its numbers come from, by group of properties.
    """

    name: str
    rh: Array
    permeance: Array
    emittance: float | None = None
    absorptance: float | None = None
    facer: bool = False
    made_of: str = ""
    mold_class: str = ""
    sources: dict[str, Source] = field(default_factory=dict)


@dataclass(frozen=True)
class Gap:
    """An air space between two layers.

    Parameters
    ----------
    name : str
        Name shown to people; unique in the section.
    depth : float
        Depth. [m]
    kind : {'sealed', 'drained', 'vented', 'ventilated'}
        How it meets outdoor air.
    convection : float
        Convective coefficient of each of its two faces. [W/(m2 K)]
    air_changes : float or (n_hours,) ndarray
        Outdoor air through it, in gap volumes an hour; 0 if sealed. An array holds the mean of
        each hour of the year. [1/h]
    openings : Openings or None
        Where outdoor air gets in and out, for a flow from stack and wind; then ``air_changes`` is
        not used.
    """

    name: str
    depth: float
    kind: GapKind
    convection: float
    air_changes: float | Array = 0.0
    openings: Openings | None = None


Part = Layer | Film | Gap


@dataclass(frozen=True)
class Face:
    """The surface between the section and the air at one of its ends.

    Parameters
    ----------
    emittance, absorptance : float
        Long-wave emittance and solar absorptance. [-]
    holds : float
        Dew or rain that stays on it before it runs down. [kg/m2]
    """

    emittance: float = 0.9
    absorptance: float = 0.6
    holds: float = 0.1


@dataclass(frozen=True)
class Section:
    """Layers, films and gaps from outside to inside, with the faces at both ends.

    Parameters
    ----------
    name : str
        Name shown to people.
    parts : tuple of Layer, Film or Gap
        From outside to inside.
    outer, inner : Face
        The two end faces.
    tilt : float
        Angle between the outer face and the ground: 90 for a wall, 0 for a flat roof. [deg]
    azimuth : float
        Direction that the outer face looks to, clockwise from north. [deg]
    water_control : str
        Name of the part that keeps rain out; empty if none is named. Of a board with facers or a
        coating it is the outermost part, since rain meets that one.
    room_temperature : float or (8760,) ndarray
        Air temperature inside, one value or at the end of each hour. [degC]
    room_rh : float or (8760,) ndarray
        Relative humidity inside, likewise. [-]
    room_film : float
        Heat transfer coefficient of the inner face, convection and radiation together. [W/(m2 K)]
    room_vapor_film : float
        Vapor transfer coefficient of the inner face. [kg/(m2 s Pa)]
    gap_holds : float
        Dew or rain that stays on a face of a gap before it runs down. [kg/m2]
    defaults : tuple of str
        What was not given and therefore assumed, in words.
    from_memory : tuple of str
        Which values rest on memory alone, in words.
    seams : {'taped', 'lapped', 'open'} or None
        How the sheets of the water-control layer meet; None if there is none.
    exposure : Exposure
        Rain, leaks and wet events.
    framing : Framing or None
        Set if this is the path through the studs.
    room : RoomForm or None
        What sets the room's air by the weather, in place of ``room_temperature`` and ``room_rh``.
    zone : Zone or None
        Air at one end whose state is balanced. Of a room, the fields before are the first guess; beside
        an attic or a crawl space they are the room that it borders on.

    Raises
    ------
    AssemblyError
        If the parts cannot stand in this order.
    """

    name: str
    parts: tuple[Part, ...]
    outer: Face = field(default_factory=Face)
    inner: Face = field(default_factory=Face)
    tilt: float = 90.0
    azimuth: float = 180.0
    water_control: str = ""
    room_temperature: float | Array = 23.9
    room_rh: float | Array = 0.5
    room_film: float = 8.0
    room_vapor_film: float = 2.0e-8
    gap_holds: float = 0.1
    defaults: tuple[str, ...] = ()
    from_memory: tuple[str, ...] = ()
    seams: Seams | None = None
    exposure: Exposure = NOTHING
    framing: Framing | None = None
    room: RoomForm | None = None
    zone: Zone | None = None

    def __post_init__(self) -> None:
        faults: list[Fault] = []
        where = f"section '{self.name}'"
        if not any(isinstance(part, Layer) for part in self.parts):
            faults.append(Fault(where, "parts", "", "has no layer", "give at least one layer"))
        names = [part.name for part in self.parts]
        for name in sorted({name for name in names if names.count(name) > 1}):
            faults.append(Fault(where, "parts", name, "two parts have the same name"))
        solid = [part for part in self.parts if not isinstance(part, Film)]
        for before, after in pairwise(solid):
            if isinstance(before, Gap) and isinstance(after, Gap):
                faults.append(
                    Fault(where, after.name, "", "a gap must not lie against another gap")
                )
        for end in solid[:1] + solid[-1:]:
            if isinstance(end, Gap):
                faults.append(
                    Fault(where, end.name, "", "a gap must have a layer on both of its sides")
                )
        if self.water_control and self.water_control not in names:
            faults.append(
                Fault(where, "water_control", self.water_control, "names no part of the section")
            )
        wetted = [(leak.name, leak.spot) for leak in self.exposure.rain_leaks]
        wetted += [(pour.name, pour.spot) for pour in self.exposure.pours]
        if self.exposure.leakage is not None and self.exposure.leakage.spot is not None:
            wetted.append(("leakage", self.exposure.leakage.spot))
        layers = [layer.name for layer in self.layers]
        faults += [
            Fault(where, name, spot.part, "names no layer of the section")
            for name, spot in wetted
            if spot.part not in layers
        ]
        below = self.zone is not None and self.zone.kind == "crawl space"
        if below and (self.outer.emittance != 0.0 or self.outer.absorptance != 0.0):
            problem = (
                "must neither radiate nor take up sun: the film of the crawl space holds radiation"
            )
            faults.append(
                Fault(where, "outer", "", problem, "give both emittance and absorptance 0")
            )
        if faults:
            raise AssemblyError(faults)

    def __repr__(self) -> str:
        """Say what it is, in a line."""
        return f"<Section {self.name!r}: {len(self.parts)} layers, films and gaps>"

    @property
    def layers(self) -> tuple[Layer, ...]:
        """The layers, from outside to inside."""
        return tuple(part for part in self.parts if isinstance(part, Layer))

    @property
    def gaps(self) -> tuple[Gap, ...]:
        """The gaps, from outside to inside."""
        return tuple(part for part in self.parts if isinstance(part, Gap))
