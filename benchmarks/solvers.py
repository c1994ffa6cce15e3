"""One wall-year by moistwall and by general-purpose solvers: time against error, on the same grid.

    python benchmarks/solvers.py [--hours N] [--picture FILE.png]

Errors after the first day, against SUNDIALS CVODE at 1e-8, are told twice: of all cells of all layers, and of
the two cells at the faces of the sheathing, where the wall is judged. CVODE and
LSODA are given a compiled right-hand side with three bands; now and then CVODE loses one cell of foam for
an hour (it stores next to nothing until it is wet), which fills its column of largest humidity, so that
speeds are compared at equal root mean square errors. LSODA and BDF of scipy run a part of the
year, FiPy two days of three layers in which no liquid moves (scripts/fipy_case.py), scaled to the year, as
the table says.
"""

from __future__ import annotations

import argparse
import sys
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from common import (
    HOURS,
    Array,
    errors,
    five_layers,
    in_targets,
    machine,
    march_of,
    seconds,
    table,
    year_of,
)
from rates import BANDS, Rates
from scipy.integrate import solve_ivp

from moistwall.solver.grid import build_grid
from moistwall.solver.march import Accuracy

ROOT = Path(__file__).resolve().parent.parent
TOLERANCES = (64.0, 16.0, 8.0, 4.0, 2.0, 1.0, 0.5, 0.25, 0.1, 0.03, 0.01)


Errors = tuple[float, float, float, float]
EVERYWHERE, SHEATHING = range(2)
WHERE = ("all cells", "faces of the sheathing")


@dataclass
class Run:
    """A solver's time for a year, and its errors everywhere and at the faces of the sheathing."""

    name: str
    seconds: float
    error: tuple[Errors, ...]
    note: str = ""

    def cells(self, where: int) -> list[str]:
        """Its row of the table."""
        t_max, t_rms, rh_max, rh_rms = self.error[where]
        numbers = [f"{self.seconds:.3g}", f"{t_max:.4f}", f"{t_rms:.5f}", f"{rh_max:.4f}"]
        targets = f"{in_targets(self.error[where]):.3g}"
        return [self.name, *numbers, f"{rh_rms:.5f}", targets, self.note]


def by_cvode(rates: Rates, hours: int, rtol: float) -> tuple[float, Array]:
    """SUNDIALS CVODE, variable order BDF, banded: seconds and the states at the hour marks."""
    from sksundae.cvode import CVODE  # type: ignore[import-untyped]

    solver = CVODE(
        rates.fill, rtol=rtol, atol=rtol, linsolver="band", lband=BANDS, uband=BANDS,
        max_num_steps=1_000_000,
    )  # fmt: skip
    started = time.process_time()
    found = solver.solve(np.arange(hours + 1.0), rates.start.copy())
    spent = time.process_time() - started
    if not found.success:
        raise SystemExit(found.message)
    return spent, found.y[1:]


def by_scipy(rates: Rates, hours: int, rtol: float, method: str) -> tuple[float, Array]:
    """Run scipy's LSODA or BDF."""
    bands = {"lband": BANDS, "uband": BANDS} if method == "LSODA" else {"jac_sparsity": band(rates)}
    started = time.process_time()
    found = solve_ivp(
        rates, (0.0, float(hours)), rates.start.copy(), method=method, rtol=rtol, atol=rtol,
        t_eval=np.arange(1.0, hours + 1.0), **bands,
    )  # fmt: skip
    if not found.success:
        raise SystemExit(found.message)
    return time.process_time() - started, found.y.T


def band(rates: Rates) -> Array:
    """Where the Jacobian is not 0."""
    n = rates.start.size
    k = np.arange(n)
    return (np.abs(k[:, None] - k[None, :]) <= BANDS).astype(float)


def fipy_run() -> Run:
    """FiPy on its own two days, against moistwall at a hundredth of its tolerance on a fine grid."""
    sys.path.insert(0, str(ROOT / "scripts"))
    import tomllib

    import fipy_case  # type: ignore[import-not-found]

    from moistwall.verify.problem import read_problem
    from moistwall.verify.run import run_problem

    path = ROOT / "tests" / "verification" / "wall-48h.toml"
    data = tomllib.loads(path.read_text(encoding="utf-8"))
    started = time.process_time()
    found = fipy_case.solve(data, steps=1, n=20)
    spent = (time.process_time() - started) * HOURS / 48
    exact = run_problem(read_problem(path), refine=2, accuracy=Accuracy(0.01)).series
    t, rh = (
        np.array([np.array(found[name]) - exact[name] for name in exact if name.startswith(first)])[
            :, 24:
        ]
        for first in ("t_", "rh_")
    )
    error = (
        float(np.abs(t).max()), float(np.sqrt(np.mean(t**2))),
        100.0 * float(np.abs(rh).max()), 100.0 * float(np.sqrt(np.mean(rh**2))),
    )  # fmt: skip
    return Run("FiPy, 60 cells, a step an hour", spent, (error,), "vapor only, 48 h scaled")


def at_error(runs: list[Run], level: float, where: int, which: int) -> float:
    """Seconds at an error, between the runs on either side (straight in logarithms)."""
    ordered = sorted(runs, key=lambda run: run.error[where][which])
    x = np.log([run.error[where][which] for run in ordered])
    # the least time that reaches each error or less
    y = np.log(np.minimum.accumulate([run.seconds for run in ordered]))
    return float(np.exp(np.interp(np.log(level), x, y)))


def picture(groups: dict[str, list[Run]], path: str) -> None:
    """Time against error, both logarithmic."""
    import matplotlib

    matplotlib.use("Agg")
    import matplotlib.pyplot as plt

    figure, both = plt.subplots(1, 2, figsize=(11, 5), sharey=True, layout="constrained")
    for where, axes in enumerate(both):
        for marker, (name, runs) in zip("osD^v", groups.items(), strict=False):
            told = [run for run in runs if len(run.error) > where]
            if told:
                axes.loglog(
                    [run.error[where][1] for run in told],
                    [run.seconds for run in told],
                    marker=marker,
                    label=name,
                )
        axes.set_xlabel("error of temperature, root mean square [K]")
        axes.set_title(WHERE[where])
        axes.grid(alpha=0.3, which="both")
    both[0].set_ylabel("processor time of one wall-year [s]")
    both[0].legend()
    figure.savefig(path, dpi=110)
    print(f"picture: {path}")


def main() -> None:
    """Run all of them and print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])  # type: ignore[union-attr]
    parser.add_argument("--hours", type=int, default=HOURS, help="hours of CVODE and moistwall")
    parser.add_argument("--picture", help="file of the log-log plot")
    parser.add_argument("--no-fipy", action="store_true")
    given = parser.parse_args()
    hours = given.hours
    grid = build_grid(five_layers())
    rows = year_of(grid.section)
    sheathing = np.flatnonzero(
        grid.part_cell == [p.name for p in grid.section.parts].index("sheathing")
    )
    at_faces = np.zeros(grid.n_cells, dtype=bool)
    at_faces[[sheathing[0], sheathing[-1]]] = True
    places = (~grid.is_skin, at_faces)
    print(machine())
    print(f"{grid.n_cells} cells, {hours} h")
    rates = Rates(grid, rows)
    rates(0.0, rates.start)  # compiled before the clock starts
    scale = HOURS / hours

    exact_seconds, y = by_cvode(rates, hours, 1e-8)
    exact = rates.states(y)

    def all_errors(found: tuple[Array, Array]) -> tuple[Errors, ...]:
        return tuple(errors(found, exact, kept) for kept in places)

    print(f"reference: CVODE at 1e-8, {exact_seconds * scale:.1f} s a year")
    ours: list[Run] = []
    for tolerance in TOLERANCES:
        accuracy = Accuracy(tolerance)
        march = march_of([grid], [rows], accuracy)
        record = march.hours(0, hours)
        spent = seconds(lambda a=accuracy: march_of([grid], [rows], a).hours(0, hours))
        error = all_errors((record.temperature[..., 0], record.humidity[..., 0]))
        passes = record.counts[2, 0] * scale
        note = f"{record.counts[0, 0] * scale:,.0f} steps, {passes:,.0f} passes"
        ours.append(Run(f"moistwall, tolerance {tolerance:g}", spent * scale, error, note))
    groups = {"moistwall": ours, "SUNDIALS CVODE": []}
    for rtol in (1e-3, 1e-4, 1e-5):
        spent, y = by_cvode(rates, hours, rtol)
        run = Run(f"CVODE, banded, {rtol:g}", spent * scale, all_errors(rates.states(y)))
        groups["SUNDIALS CVODE"].append(run)
    for method, part in (("LSODA", 720), ("BDF", 120)):
        part = min(part, hours)
        runs = []
        for rtol in (1e-3, 1e-4, 1e-5):
            spent, y = by_scipy(rates, part, rtol, method)
            error = all_errors(rates.states(y))
            name = f"scipy {method}, {'banded' if method == 'LSODA' else 'sparse'}, {rtol:g}"
            runs.append(Run(name, spent * HOURS / part, error, f"{part} h scaled"))
        groups[f"scipy {method}"] = runs
    if not given.no_fipy:
        groups["FiPy"] = [fipy_run()]
    head = ["solver", "s a year", "T max [K]", "T rms", "RH max [%]", "RH rms", "targets", ""]
    for where, place in enumerate(WHERE):
        told = {k: [run for run in v if len(run.error) > where] for k, v in groups.items()}
        print(f"\n{place}:")
        print(table(head, [run.cells(where) for runs in told.values() for run in runs]))
        for name, runs in told.items():
            if name == "moistwall" or not runs:
                continue
            for which, words, unit in ((1, "temperature", "K"), (3, "humidity", "%")):
                lines = []
                for run in runs:
                    level = run.error[where][which]
                    own = at_error(ours, level, where, which)
                    lines.append(f"{run.seconds / own:,.0f}x at {level:.2g} {unit}")
                print(f"{name} takes, at its rms error of {words}: {', '.join(lines)}")
    if given.picture:
        picture(groups, given.picture)


if __name__ == "__main__":
    main()
