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

from moistwall.material import Material
from moistwall.section import Film, Gap, Layer, Section
from moistwall.solver.gap_faces import gap_arrays
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
from moistwall.solver.places import Side, arrival_places, name_sides
from moistwall.solver.tables import (
    SKIN_WIDTH,
    brims,
    full_content,
    material_table,
    skin_table,
    stack,
)

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
    wet = arrival_places(exposure.waters, section, part_cell, is_skin, special)
    cut = arrival_places(exposure.short_cuts, section, part_cell, is_skin, special)
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
    material = columns["material"] = columns["material"].astype(np.int64)
    tables = stack(build.entries, build.capillary)
    columns["per_step"], columns["saturated"] = (
        tables.per_step[material],
        tables.saturated[material],
    )
    columns["brim"] = brims(tables, material, columns["holds"])
    columns["liquid"] = np.where(is_skin[:, None] == 1, 2, tables.capillary[material])
    cells = Cells(**columns)
    faces = Faces(
        film_resistance=np.array(build.films)[:, :, None],
        **gap_arrays(section, build.gaps),
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
        tables,
        faces,
        x_cell,
        part_cell,
        name_sides(section, topology, labels, x_cell, part_cell, build.column("half")),
        tuple(gap_special),
        build.column("rh"),
        build.column("content"),
    )
