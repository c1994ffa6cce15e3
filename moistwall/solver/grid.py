"""From a section to cells and faces: graded widths, skins, joints, and the arrays of the kernel.

A layer's cells grow from both of its faces towards its middle. A skin, a cell of no thickness that
holds dew and rain, stands wherever the section meets air: at both ends and on both sides of a gap.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from moistwall.air import vapor_film_from_convection
from moistwall.exposure import Leakage, Pour, RainLeak
from moistwall.material import Material
from moistwall.section import Film, Gap, Layer, Section
from moistwall.solver.kernel.layout import (
    END,
    GAP,
    JOINT,
    N_END_COLUMNS,
    N_FILM_POINTS,
    WITHIN,
    Cells,
    Faces,
    Tables,
    Topology,
)
from moistwall.solver.tables import SKIN_WIDTH, full_content, material_table, skin_table, stack

Array = NDArray[np.float64]
Table = tuple[Array, float, float]

FIRST_CELL = 0.0001
"""Width of the cell at a face of a layer in which liquid moves: there the humidity of the air reaches in
by a fraction of a millimeter from one hour to the next. [m]"""

FIRST_CELL_DRY = 0.002
"""The same where a layer stores next to no moisture (foam, wool, steel). [m]"""

GROWTH = 1.4
"""Largest ratio of neighboring widths. [-]"""

LEAST_CELLS = 6
"""Cells of a layer, at least."""

THICKEST_CELL = 0.012
"""Width of a cell, at most. [m]"""


def graded_widths(thickness: float, first: float) -> Array:
    """Widths that grow geometrically from both faces towards the middle.

    Parameters
    ----------
    thickness : float
        Thickness of the layer. [m]
    first : float
        Width at its faces; less in a layer too thin for it. [m]

    Returns
    -------
    (n_cells,) ndarray
        Widths, outside to inside, symmetrical, an even number. [m]
    """
    half = 0.5 * thickness
    if first * LEAST_CELLS // 2 >= half:
        return np.full(LEAST_CELLS, thickness / LEAST_CELLS)
    widths = [first]
    while sum(widths) < half:
        widths.append(min(widths[-1] * GROWTH, THICKEST_CELL))
    while len(widths) < LEAST_CELLS // 2:
        widths.append(widths[-1])
    scaled = np.array(widths)
    scaled *= half / scaled.sum()
    return np.concatenate((scaled, scaled[::-1]))


@dataclass(frozen=True)
class Side:
    """One side of a face that is not within a layer: a place of which the assessment speaks.

    Parameters
    ----------
    name : str
        Name of the interface, 'outer part | inner part'.
    side : {'a', 'b'}
        a is its outer side, b its inner side; a surface in air has one only.
    part : str
        The layer that this side belongs to.
    special : int
        Place of the face among the special ones; for a surface, of the joint behind its skin.
    cell : int
        Cell that touches it.
    skin : int
        The skin, where the side is a surface in air; else -1.
    position : float
        Depth from the outer face. [m]
    """

    name: str
    side: str
    part: str
    special: int
    cell: int
    skin: int
    position: float


@dataclass(frozen=True)
class Grid:
    """Cells and faces of one section, and the names that belong to them.

    Parameters
    ----------
    section : Section
        What it was made from.
    topology, cells, tables, faces
        Arrays of the kernel, one lane.
    x_cell : (n_cells,) ndarray
        Depth of each cell's point from the outer face. [m]
    part_cell : (n_cells,) ndarray of int
        Index into ``section.parts`` of the layer that a cell belongs to; a skin belongs to the layer
        behind it.
    sides : tuple of Side
        Every place that the assessment speaks of, from outside to inside.
    gap_special : tuple of int
        For each gap of the section, its place among the special faces.
    start_rh : (n_cells,) ndarray
        Relative humidity at the start. [-]
    start_content : (n_cells,) ndarray
        Water content at the start where it is given instead; NaN elsewhere. [kg/m3]
    """

    section: Section
    topology: Topology
    cells: Cells
    tables: Tables
    faces: Faces
    x_cell: Array
    part_cell: NDArray[np.int64]
    sides: tuple[Side, ...]
    gap_special: tuple[int, ...]
    start_rh: Array
    start_content: Array

    @property
    def n_cells(self) -> int:
        """Number of cells, skins included."""
        return int(self.x_cell.size)

    @property
    def open_special(self) -> tuple[int, ...]:
        """Special faces whose two sides may differ: gaps, and where water or air arrives by its own way.

        Not the ends, whose inner side is what counts.
        """
        topology = self.topology
        arrivals = {int(s) for s in (*topology.water_special, *topology.cut_special)}
        ends = {0, int(topology.special_face.size) - 1}
        return tuple(sorted((arrivals | set(self.gap_special)) - ends))

    @property
    def is_skin(self) -> NDArray[np.bool_]:
        """Which cells are skins."""
        return np.asarray(self.topology.is_skin == 1)


def film_curve(films: Sequence[Film]) -> Array:
    """Vapor resistance of films in series over the mean humidity across them.

    Parameters
    ----------
    films : sequence of Film
        From outside to inside; may be empty.

    Returns
    -------
    (N_FILM_POINTS,) ndarray
        Resistance at uniform relative humidities 0..1. [m2 s Pa/kg]
    """
    rh = np.linspace(0.0, 1.0, N_FILM_POINTS)
    total = np.zeros(N_FILM_POINTS)
    for film in films:
        total += 1.0 / np.interp(rh, film.rh, film.permeance)
    return total


class _Builder:
    """Collects cells and special faces from outside to inside."""

    def __init__(self, section: Section, refine: int, widths: Mapping[str, Array]) -> None:
        self.section, self.refine, self.widths = section, refine, widths
        self.rows: list[dict[str, float]] = []
        self.kinds: list[int] = []
        self.films: list[Array] = []
        self.gaps: list[Gap | None] = []
        self.entries: list[Table] = []
        self.capillary: list[bool] = []
        self.known: dict[object, int] = {}
        self.x = 0.0

    def face(self, kind: int, films: Sequence[Film] = (), gap: Gap | None = None) -> None:
        self.kinds.append(kind)
        if kind != WITHIN:
            self.films.append(film_curve(films))
            self.gaps.append(gap)

    def _entry(self, key: object, make: Callable[[], Table], capillary: bool) -> int:
        if key not in self.known:
            self.known[key] = len(self.entries)
            self.entries.append(make())
            self.capillary.append(capillary)
        return self.known[key]

    def _material(self, material: Material) -> int:
        return self._entry(id(material), lambda: material_table(material), material.capillary)

    def skin(self, holds: float, part: int, bare: bool) -> None:
        layer = self.section.parts[part]
        assert isinstance(layer, Layer)
        under = layer.material if bare and layer.material.capillary else None
        table = None if under is None else self.entries[self._material(under)]
        index = self._entry((holds, id(under)), lambda: skin_table(holds, table), False)
        self.rows.append(
            {
                "width": SKIN_WIDTH,
                "half": 0.0,
                "material": index,
                "holds": holds / SKIN_WIDTH,
                "full": holds / SKIN_WIDTH,
                "over_suction": float(under is not None and under.storage.over_suction),
                "x": self.x,
                "part": part,
                "skin": 1,
                "rh": layer.initial_rh,
                "content": np.nan,
            }
        )

    def layer(self, layer: Layer, part: int) -> None:
        material = layer.material
        index = self._material(material)
        first = FIRST_CELL if material.capillary else FIRST_CELL_DRY
        widths = self.widths.get(layer.name, graded_widths(layer.thickness, first))
        for k, coarse in enumerate(widths):
            for j in range(self.refine):
                width = float(coarse) / self.refine
                if k + j > 0:
                    self.face(WITHIN)
                self.rows.append(
                    {
                        "width": width,
                        "half": 0.5 * width,
                        "material": index,
                        "holds": material.storage.holds,
                        "full": full_content(material),
                        "heat_capacity": material.density * material.heat_capacity,
                        "conductivity_slope": material.conductivity_slope,
                        "conductivity_temperature": material.conductivity_temperature,
                        "permeability_slope": material.permeability_slope,
                        "over_suction": float(material.storage.over_suction),
                        "x": self.x + 0.5 * width,
                        "part": part,
                        "rh": layer.initial_rh,
                        "content": np.nan
                        if layer.initial_content is None
                        else layer.initial_content,
                    }
                )
                self.x += width

    def column(self, name: str) -> Array:
        return np.array([row.get(name, 0.0) for row in self.rows])


def build_grid(
    section: Section, refine: int = 1, widths: Mapping[str, Array] | None = None
) -> Grid:
    """Cells and faces of a section.

    Parameters
    ----------
    section : Section
        The section.
    refine : int
        Each cell is split into this many equal ones.
    widths : mapping of str to (n,) ndarray or None
        Widths of the cells of some layers, by name, outside to inside, that add up to the layer's
        thickness; the others get the default ones. [m]

    Returns
    -------
    Grid
    """
    build = _Builder(section, refine, widths or {})
    parts = section.parts
    films: list[Film] = []
    before = ""  # the layer last laid, or the air
    labels: list[tuple[str, list[str]]] = []  # of every joint: kind of place, names across it
    build.face(END)
    first = next(k for k, part in enumerate(parts) if isinstance(part, Layer))
    build.skin(section.outer.holds, first, bare=first == 0)
    for k, part in enumerate(parts):
        if isinstance(part, Film):
            films.append(part)
        elif isinstance(part, Layer):
            build.face(JOINT, films)
            labels.append(("joint", [before, *(film.name for film in films), part.name]))
            build.layer(part, k)
            films, before = [], part.name
        else:
            back = parts.index(section.layers[[x.name for x in section.layers].index(before)])
            ahead = next(j for j in range(k, len(parts)) if isinstance(parts[j], Layer))
            build.face(JOINT, films)
            labels.append(("joint", [before, *(film.name for film in films), part.name]))
            build.skin(section.gap_holds, back, bare=not films)
            build.face(GAP, (), part)
            labels.append(("gap", [part.name]))
            build.x += part.depth
            build.skin(section.gap_holds, ahead, bare=ahead == k + 1)
            films, before = [], part.name
    build.face(JOINT, films)
    labels.append(("joint", [before, *(film.name for film in films), ""]))
    last = next(k for k in reversed(range(len(parts))) if isinstance(parts[k], Layer))
    build.skin(section.inner.holds, last, bare=not films)
    build.face(END)
    return _finish(section, build, labels)


def _finish(section: Section, build: _Builder, labels: list[tuple[str, list[str]]]) -> Grid:
    n_cells = len(build.rows)
    kinds = np.array(build.kinds, dtype=np.int64)
    special_face = np.flatnonzero(kinds != WITHIN).astype(np.int64)
    special = np.full(n_cells + 1, -1, dtype=np.int64)
    special[special_face] = np.arange(special_face.size)
    is_skin = build.column("skin").astype(np.int64)
    part_cell = build.column("part").astype(np.int64)
    gap_number = -np.ones(special_face.size, dtype=np.int64)
    gap_special = [s for s, gap in enumerate(build.gaps) if gap is not None]
    for number, s in enumerate(gap_special):
        gap_number[s] = 2 * N_END_COLUMNS + number
    # air through the section comes from the innermost gap that meets outdoor air, or from outdoors
    open_gaps = [s for s, gap in enumerate(build.gaps) if gap is not None and gap.kind != "sealed"]
    first = int(special_face[open_gaps[-1]]) if open_gaps else 0
    carries_air = (np.arange(n_cells + 1) >= first).astype(np.int64)
    exposure = section.exposure
    wet = _places(exposure.waters, section, part_cell, is_skin, special)
    cut = _places(exposure.short_cuts, section, part_cell, is_skin, special)
    after = 2 * N_END_COLUMNS + len(gap_special)
    columns_wet = after + np.arange(len(exposure.waters))
    columns_cut = after + len(exposure.waters) + np.arange(len(exposure.short_cuts))
    topology = Topology(
        kinds,
        special,
        special_face,
        is_skin,
        gap_number,
        carries_air,
        *wet,
        columns_wet,
        *cut,
        columns_cut,
    )
    columns: dict[str, Any] = {name: build.column(name)[:, None] for name in Cells._fields}
    columns["material"] = columns["material"].astype(np.int64)
    cells = Cells(**columns)
    faces = Faces(
        film_resistance=np.array(build.films)[:, :, None],
        gap_depth=_of_gaps(build.gaps, lambda gap: gap.depth),
        gap_convection=_of_gaps(build.gaps, lambda gap: gap.convection),
        gap_vapor_film=_of_gaps(build.gaps, lambda gap: vapor_film_from_convection(gap.convection)),
        gap_emittance=np.array(
            [0.0 if gap is None else _effective_emittance(section, gap) for gap in build.gaps]
        )[:, None],
        gap_rise=_of_openings(build.gaps, "rise"),
        gap_length=_of_openings(build.gaps, "length"),
        gap_loss=_of_openings(build.gaps, "loss"),
        gap_friction=_of_openings(build.gaps, "friction"),
        cut_contact=np.array([[cut.contact] for cut in exposure.short_cuts]).reshape(-1, 1),
        # the room film holds radiation as well
        emittance=np.array([[section.outer.emittance], [0.0]]),
        absorptance=np.array([[section.outer.absorptance], [0.0]]),
    )
    x_cell = build.column("x")
    return Grid(
        section,
        topology,
        cells,
        stack(build.entries, build.capillary),
        faces,
        x_cell,
        part_cell,
        _sides(section, topology, labels, x_cell, part_cell, build),
        tuple(gap_special),
        build.column("rh"),
        build.column("content"),
    )


def _places(
    arrivals: Sequence[RainLeak | Pour | Leakage],
    section: Section,
    part_cell: NDArray[np.int64],
    is_skin: NDArray[np.int64],
    special: NDArray[np.int64],
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Special face beside the cell that each arrival meets, and 1 where the cell lies inside of it."""
    names = [part.name for part in section.parts]
    found = []
    for arrival in arrivals:
        assert arrival.spot is not None
        layer = np.flatnonzero((part_cell == names.index(arrival.spot.part)) & (is_skin == 0))
        if arrival.spot.face == "outer":
            face = int(layer[0])
            found.append((special[face - is_skin[face - 1]], 1))
        else:
            face = int(layer[-1]) + 1
            found.append((special[face + is_skin[face]], 0))
    table = np.array(found, dtype=np.int64).reshape(-1, 2)
    return np.ascontiguousarray(table[:, 0]), np.ascontiguousarray(table[:, 1])


def _of_openings(gaps: list[Gap | None], name: str) -> Array:
    return _of_gaps(gaps, lambda gap: 0.0 if gap.openings is None else getattr(gap.openings, name))


def _of_gaps(gaps: list[Gap | None], value: object) -> Array:
    return np.array([0.0 if gap is None else value(gap) for gap in gaps])[:, None]  # type: ignore[operator]


def surface_emittance(section: Section, gap: Gap, step: int) -> float:
    """Emittance of a gap's outer (step -1) or inner (step 1) face: the nearest part that gives one.

    Parameters
    ----------
    section : Section
        The section that holds the gap.
    gap : Gap
        The gap.
    step : int
        -1 looks outward from the gap, 1 inward.

    Returns
    -------
    float
        [-]
    """
    k = section.parts.index(gap) + step
    while True:
        part = section.parts[k]
        if isinstance(part, Layer):
            return part.material.emittance
        if isinstance(part, Film) and part.emittance is not None:
            return part.emittance
        k += step


def _effective_emittance(section: Section, gap: Gap) -> float:
    """Effective emittance of two parallel faces: 1 / (1/e1 + 1/e2 - 1)."""
    outer, inner = surface_emittance(section, gap, -1), surface_emittance(section, gap, 1)
    return 1.0 / (1.0 / outer + 1.0 / inner - 1.0)


def _sides(
    section: Section,
    topology: Topology,
    labels: list[tuple[str, list[str]]],
    x_cell: Array,
    part_cell: NDArray[np.int64],
    build: _Builder,
) -> tuple[Side, ...]:
    """Name the two sides of every joint between layers, and the surface at every skin."""
    found: list[Side] = []
    widths = build.column("half")
    for s, (kind, names) in enumerate(labels, start=1):
        if kind == "gap":
            continue
        j = int(topology.special_face[s])
        i = j - 1
        shown = [
            name or "outdoor air" if n == 0 else name or "room air" for n, name in enumerate(names)
        ]
        label = " | ".join(shown)
        part = [section.parts[part_cell[cell]].name for cell in (i, j)]
        x = float(x_cell[i] + widths[i])
        film = len(names) > 2
        for side, cell, other in (("a", i, j), ("b", j, i)):
            if topology.is_skin[cell] == 1:
                # a bare surface is one place; behind a coat the skin and the layer are two
                found.append(Side(label, side, part[side == "b"], s, other, cell, x))
            elif not (topology.is_skin[other] == 1 and not film):
                found.append(Side(label, side, part[side == "b"], s, cell, -1, x))
    return tuple(found)
