"""What a look-up and an elimination cost on this machine at least, and how far the kernel is from that.

    python benchmarks/floor.py

The least look-up reads two rows of one table and the saturation pressure of a cell; the least elimination
solves the block-tridiagonal system, 2 x 2, of which every entry is given. The kernel also sets that system
up, judges the corrections and steers the steps.
"""

from __future__ import annotations

import time

import numpy as np
from common import five_layers, machine, march_of, seconds, table, year_of
from numba import njit

from moistwall.solver.grid import build_grid
from moistwall.solver.kernel.moist import saturation

TURNS = 2000


@njit(error_model="numpy")
def look_ups(values, per_step, temperature, m, out, turns):  # type: ignore[no-untyped-def]
    """Six properties, their slopes and the saturation pressure of every cell and lane, ``turns`` times."""
    n, lanes = m.shape
    for _ in range(turns):
        for i in range(n):
            for lane in range(lanes):
                x = m[i, lane] * per_step
                k = min(max(int(x), 0), values.shape[0] - 2)
                f = x - k
                for c in range(6):
                    slope = values[k + 1, c] - values[k, c]
                    out[2 * c, i, lane] = values[k, c] + f * slope
                    out[2 * c + 1, i, lane] = slope * per_step
                p, p_t = saturation(temperature[i, lane])
                out[12, i, lane] = p
                out[13, i, lane] = p_t


@njit(error_model="numpy")
def eliminations(rows, upper, x, turns):  # type: ignore[no-untyped-def]
    """Solve the system ``turns`` times; rows are LHH..RM as in the kernel."""
    n, lanes = x.shape[1], x.shape[2]
    for _ in range(turns):
        for i in range(n):
            for lane in range(lanes):
                a, b, c, d = rows[4, i, lane], rows[5, i, lane], rows[6, i, lane], rows[7, i, lane]
                f, g = rows[12, i, lane], rows[13, i, lane]
                if i > 0:
                    la, lb, lc, ld = (
                        rows[0, i, lane],
                        rows[1, i, lane],
                        rows[2, i, lane],
                        rows[3, i, lane],
                    )
                    ua, ub = upper[0, i - 1, lane], upper[1, i - 1, lane]
                    uc, ud = upper[2, i - 1, lane], upper[3, i - 1, lane]
                    a -= la * ua + lb * uc
                    b -= la * ub + lb * ud
                    c -= lc * ua + ld * uc
                    d -= lc * ub + ld * ud
                    f -= la * x[0, i - 1, lane] + lb * x[1, i - 1, lane]
                    g -= lc * x[0, i - 1, lane] + ld * x[1, i - 1, lane]
                inverse = 1.0 / (a * d - b * c)
                x[0, i, lane] = (d * f - b * g) * inverse
                x[1, i, lane] = (a * g - c * f) * inverse
                ua, ub, uc, ud = (
                    rows[8, i, lane],
                    rows[9, i, lane],
                    rows[10, i, lane],
                    rows[11, i, lane],
                )
                upper[0, i, lane] = (d * ua - b * uc) * inverse
                upper[1, i, lane] = (d * ub - b * ud) * inverse
                upper[2, i, lane] = (a * uc - c * ua) * inverse
                upper[3, i, lane] = (a * ud - c * ub) * inverse
        for i in range(n - 2, -1, -1):
            for lane in range(lanes):
                t, m = x[0, i + 1, lane], x[1, i + 1, lane]
                x[0, i, lane] -= upper[0, i, lane] * t + upper[1, i, lane] * m
                x[1, i, lane] -= upper[2, i, lane] * t + upper[3, i, lane] * m


def main() -> None:
    """Measure and print."""
    grid = build_grid(five_layers())
    loads = year_of(grid.section)
    n = grid.n_cells
    random = np.random.default_rng(1)
    lines = []
    for lanes in (1, 16):
        rows = random.uniform(-0.1, 0.1, (14, n, lanes))
        rows[4], rows[7] = 2.0, 2.0
        upper, x, out = np.zeros((4, n, lanes)), np.zeros((2, n, lanes)), np.zeros((14, n, lanes))
        m, t = random.uniform(0.5, 0.9, (n, lanes)), random.uniform(10.0, 30.0, (n, lanes))
        values, per = grid.tables.values[0], float(grid.tables.per_step[0])
        look_ups(values, per, t, m, out, 1)
        eliminations(rows, upper, x, 1)
        turns = TURNS // lanes
        scale = 1e9 / (turns * n * lanes)
        look = seconds(lambda: look_ups(values, per, t, m, out, turns)) * scale  # noqa: B023
        solve = seconds(lambda: eliminations(rows, upper, x, turns)) * scale  # noqa: B023
        kernel = np.inf
        for _ in range(3):
            march = march_of([grid] * lanes, [loads] * lanes)
            started = time.process_time()
            passes = march.hours(0, 4380 // lanes).counts[2].sum()
            kernel = min(kernel, (time.process_time() - started) * 1e9 / passes / n)
        floor = look + solve
        lines.append(
            [
                str(lanes),
                f"{look:.1f}",
                f"{solve:.1f}",
                f"{floor:.1f}",
                f"{kernel:.1f}",
                f"{kernel / floor:.1f}",
            ]
        )
    print(machine())
    print(f"{n} cells; nanoseconds a cell, lane and pass")
    head = ["lanes", "look-up", "elimination", "floor", "kernel", "kernel / floor"]
    print(table(head, lines))


if __name__ == "__main__":
    main()
