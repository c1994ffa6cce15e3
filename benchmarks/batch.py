"""Many variants side by side: wall-years a second and core, dry and with all loads.

    python benchmarks/batch.py [--lanes N] [--most N] [--tolerance X] [--cells]

Variants differ in direction and in the color of their outer face. ``dry`` is the wall of solvers.py; ``all
loads`` the Heron Point wall with rain, a rain leak, a vented gap and sky. Every hour that is marched
counts, those of spin-up as well. Below stands the total error, in space and time, at all joints and at those of
the sheathing, where the wall is judged. Where a year of all variants would take too long a part of it is run and
scaled. Bytes are compared between one lane and many, and between one thread and several. With ``--cells``
the time of one wall over its number of cells is shown instead.
"""

from __future__ import annotations

import argparse
import hashlib
import os
import time
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import numpy as np
from common import (
    HOURS,
    Array,
    errors,
    five_layers,
    in_targets,
    machine,
    march_of,
    table,
    year_of,
)

from moistwall.assembly import load_section
from moistwall.library import data_folder
from moistwall.section import Section
from moistwall.solver.grid import Grid, build_grid
from moistwall.solver.march import Accuracy, March

MOST_WALL_HOURS = 16 * HOURS
"""Wall-hours of a row of the table, at most."""

ABSORPTANCES = (0.25, 0.4, 0.5, 0.6, 0.7, 0.8, 0.85, 0.9)
AZIMUTHS = (0.0, 45.0, 90.0, 135.0, 180.0, 225.0, 270.0, 315.0)


def all_loads() -> Section:
    """The Heron Point wall with everything that acts on it."""
    return load_section(data_folder("examples") / "heron-point-wall-all-loads.toml")


class Variants:
    """Variants of a section, made as they are asked for.

    Parameters
    ----------
    section : Section
        What they are variants of.
    """

    def __init__(self, section: Section) -> None:
        self.section = section
        self.rows: dict[float, Array] = {}

    def one(self, k: int) -> tuple[Grid, Array]:
        """Grid and loads of variant k."""
        azimuth = AZIMUTHS[k % 8]
        absorptance = ABSORPTANCES[k // 8 % 8] - 1e-3 * (k // 64)
        section = replace(
            self.section,
            azimuth=azimuth,
            outer=replace(self.section.outer, absorptance=absorptance),
        )
        if azimuth not in self.rows:
            self.rows[azimuth] = year_of(section)
        return build_grid(section), self.rows[azimuth]


def marches(variants: Variants, count: int, lanes: int, accuracy: Accuracy) -> list[March]:
    """Marches of ``count`` variants, ``lanes`` of them in each."""
    made = []
    for first in range(0, count, lanes):
        some = [variants.one(k) for k in range(first, min(first + lanes, count))]
        made.append(march_of([grid for grid, _ in some], [rows for _, rows in some], accuracy))
    return made


def finished(given: Sequence[March], hours: int, threads: int) -> tuple[float, float, list[str]]:
    """Processor and wall-clock seconds, and a fingerprint of every lane's year."""
    kernel = 0.0

    def run(march: March) -> list[str]:
        nonlocal kernel
        started = time.thread_time()
        record = march.hours(0, hours)
        kernel += time.thread_time() - started
        arrays = (record.temperature, record.humidity, record.flow, record.enthalpy)
        return [
            hashlib.sha256(
                b"".join(np.ascontiguousarray(a[..., k]).tobytes() for a in arrays)
            ).hexdigest()
            for k in range(record.temperature.shape[-1])
        ]

    clock = time.perf_counter()
    if threads == 1:
        prints = [run(march) for march in given]
    else:
        with ThreadPoolExecutor(threads) as pool:
            prints = list(pool.map(run, given))
    return kernel, time.perf_counter() - clock, [one for some in prints for one in some]


def over_cells() -> None:
    """Time of one dry wall over its number of cells, and over hours."""
    rows = []
    section = five_layers()
    loads = year_of(section)
    for refine in (1, 2, 4, 7, 14):
        for hours in (1095, 2190):
            march = march_of([build_grid(section, refine)], [loads])
            started = time.process_time()
            record = march.hours(0, hours)
            spent = time.process_time() - started
            cells, passes = record.temperature.shape[1], int(record.counts[2, 0])
            per = spent / passes / cells * 1e9
            rows.append([str(cells), str(hours), f"{spent:.3f}", f"{passes:,}", f"{per:.1f}"])
    print(table(["cells", "hours", "s", "passes", "ns a cell and pass"], rows))


def total_errors(section: Section, accuracy: Accuracy) -> str:
    """Error of the default grid against seven times the cells at a tenth of the default tolerance."""
    loads = year_of(section)
    coarse, fine = build_grid(section), build_grid(section, 7)
    found, exact = (
        march_of([grid], [loads], one).hours(0, HOURS)
        for grid, one in ((coarse, accuracy), (fine, Accuracy(0.1)))
    )
    sides = [side for side in coarse.sides if side.skin < 0]
    places = [(side.special, 0 if side.side == "a" else 1) for side in sides]
    one, other = [
        (
            np.stack([r.side_temperature[:, s, 0] for s, _ in places], 1),
            np.stack([r.side_humidity[:, s, k, 0] for s, k in places], 1),
        )
        for r in (found, exact)
    ]
    lines = [f"{coarse.n_cells} cells against {fine.n_cells}, tolerance {accuracy.tolerance:g}:"]
    at_sheathing = np.array(["sheathing" in side.name for side in sides])
    for words, kept in (
        ("all joints", np.ones(len(sides), dtype=bool)),
        ("faces of the sheathing", at_sheathing),
    ):
        error = errors(one, other, kept)
        lines.append(
            f"  {words}: T {error[0]:.3f} K, RH {error[2]:.2f} % at most, "
            f"{in_targets(error):.2f} of the targets"
        )
    return "\n".join(lines)


def main() -> None:
    """Run the batches and print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])  # type: ignore[union-attr]
    parser.add_argument("--lanes", type=int, default=16, help="variants in one march")
    parser.add_argument("--most", type=int, default=512, help="variants at most")
    parser.add_argument("--tolerance", type=float, default=1.0, help="tolerance in time")
    parser.add_argument("--cells", action="store_true", help="show time over cells and hours")
    given = parser.parse_args()
    print(machine())
    if given.cells:
        over_cells()
        return
    accuracy = Accuracy(given.tolerance)
    rows = []
    for name, section in (("dry", five_layers()), ("all loads", all_loads())):
        variants = Variants(section)
        n_cells = variants.one(0)[0].n_cells
        alone: list[str] = []
        for count in (1, 8, 64, 512):
            if count > given.most:
                continue
            hours = min(HOURS, MOST_WALL_HOURS // count)
            for threads in (1, os.cpu_count() or 1) if count > given.lanes else (1,):
                some = marches(variants, count, given.lanes, accuracy)
                kernel, clock, prints = finished(some, hours, threads)
                years = count * hours / HOURS
                if count <= given.lanes:
                    # the first touch of memory can cost as much as the march
                    again = marches(variants, count, given.lanes, accuracy)
                    kernel = min(kernel, finished(again, hours, 1)[0])
                if threads == 1:
                    alone = prints
                    _, _, single = finished(
                        [march_of([g], [r], accuracy) for g, r in [variants.one(count - 1)]],
                        hours,
                        1,
                    )
                    same = single[0] == prints[-1]
                else:
                    same = prints == alone
                per = years / (kernel if threads == 1 else clock)
                rows.append(
                    [
                        f"{name}, {n_cells} cells", str(count), str(hours), str(threads),
                        f"{1.0 / per:.3f}", f"{per:.2f}", "yes" if same else "NO",
                    ]
                )  # fmt: skip
                print(rows[-1], flush=True)
    head = ["load", "variants", "hours", "threads", "s a wall-year", "wall-years/s", "same bytes"]
    print(table(head, rows))
    print(total_errors(five_layers(), accuracy))


if __name__ == "__main__":
    main()
