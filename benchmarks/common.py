"""What the benchmarks share: the wall, its year, the machine, errors, tables, the picture.

The wall is fiber cement 8 mm, polyiso 50, OSB 12, mineral wool 140, gypsum board 12.5, from the shipped
library; the year is Miami's, with sun on a wall that faces west. Its faces do not radiate, no rain falls:
every solver can be given exactly this problem, on the same cells.
"""

from __future__ import annotations

import os
import platform
import time
from collections.abc import Callable, Sequence
from pathlib import Path

import numba
import numpy as np
from numpy.typing import NDArray

from moistwall.climate.read import read_climate
from moistwall.library import find_climate_path, find_material
from moistwall.section import Face, Layer, Section
from moistwall.solver.boundary import boundary_rows, loads_of
from moistwall.solver.grid import Grid
from moistwall.solver.lanes import join_lanes
from moistwall.solver.march import Accuracy, March

Array = NDArray[np.float64]

HOURS = 8760
START_TEMPERATURE = 24.0
LARGEST_T, LARGEST_RH = 0.1, 0.25
"""Errors that count as one: both targets together. [K], [% RH]"""

LAYERS = (
    ("siding", "fiber cement", 0.008),
    ("foam", "polyiso core under foil", 0.05),
    ("sheathing", "OSB", 0.012),
    ("wool", "mineral wool batt", 0.14),
    ("lining", "gypsum board", 0.0125),
)


def five_layers(azimuth: float = 270.0, foam: float = 0.05) -> Section:
    """The wall; direction [deg] and thickness of the foam [m] may vary."""
    parts = [
        Layer(name, find_material(material), foam if name == "foam" else thickness)
        for name, material, thickness in LAYERS
    ]
    return Section(
        "five layers",
        tuple(parts),
        outer=Face(emittance=0.0, absorptance=0.6),
        inner=Face(emittance=0.0),
        azimuth=azimuth,
    )


def year_of(section: Section) -> Array:
    """Loads of the Miami year, (8761, n_columns)."""
    return boundary_rows(section, read_climate(find_climate_path("miami")))


def march_of(
    grids: Sequence[Grid], rows: Sequence[Array], accuracy: Accuracy | None = None
) -> March:
    """One lane for each grid and its loads."""
    section = grids[0].section
    loads = loads_of(
        list(rows), list(range(len(rows))), len(section.gaps), len(section.exposure.waters)
    )
    return March(join_lanes(grids), loads, accuracy, START_TEMPERATURE)


def seconds(function: Callable[[], object], repeats: int = 3) -> float:
    """Least processor time of several calls, other work on the machine left out. [s]"""
    best = np.inf
    for _ in range(repeats):
        started = time.process_time()
        function()
        best = min(best, time.process_time() - started)
    return float(best)


def errors(
    found: tuple[Array, Array], exact: tuple[Array, Array], kept: NDArray[np.bool_]
) -> tuple[float, float, float, float]:
    """Largest and root mean square error of T [K] and of humidity [%], after the first day, in layers."""
    values: list[float] = []
    for a, b, unit in zip(found, exact, (1.0, 100.0), strict=True):
        off = np.abs(a[24 : b.shape[0], kept] - b[24 : a.shape[0], kept]) * unit
        values += [float(off.max()), float(np.sqrt(np.mean(off**2)))]
    return values[0], values[1], values[2], values[3]


def in_targets(error: tuple[float, float, float, float]) -> float:
    """The larger of both errors in units of its target: 1 is 0.1 K or 0.25 % RH."""
    return max(error[0] / LARGEST_T, error[2] / LARGEST_RH)


def machine() -> str:
    """What this runs on, in a line."""
    name = platform.processor() or platform.machine()
    info = Path("/proc/cpuinfo")
    if info.exists():
        for line in info.read_text().splitlines():
            if line.startswith("model name"):
                name = line.split(":", 1)[1].strip()
                break
    busy = f", load {os.getloadavg()[0]:.1f}" if hasattr(os, "getloadavg") else ""
    return (
        f"{name}, {os.cpu_count()} processors{busy}; Python {platform.python_version()}, "
        f"numpy {np.__version__}, numba {numba.__version__}"
    )


def table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """A table in columns: words to the left, the rest to the right."""
    widths = [max(len(row[k]) for row in (head, *rows)) for k in range(len(head))]
    lines = []
    for row in (head, *rows):
        cells = [
            cell.ljust(width) if k == 0 else cell.rjust(width)
            for k, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        lines.append("  ".join(cells).rstrip())
    return "\n".join(lines)
