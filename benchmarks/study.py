"""What a study costs beside its kernel: many variants end to end, with every summary on the disk.

    python benchmarks/study.py [--variants N] [--threads N] [--assembly NAME] [--climate NAME]

Direction and room are varied. The share of the kernel is what it took of the time that all threads had, both
measured in the same run: at 75 % the study runs at three quarters of the bare kernel's throughput. The rest is
reading and checking the file, sun and rain on the wall, the answers (mold, wood, verdict), and files. Memory is
that of the process after each quarter of the variants.
"""

from __future__ import annotations

import argparse
import os
import resource
import tempfile
import time
from pathlib import Path

from common import machine, table

from moistwall.assembly import read_assembly
from moistwall.cli.study_options import timed_run
from moistwall.library import data_folder, read_year
from moistwall.study.engine import StudyProgress, local_crew, run_jobs
from moistwall.study.store import open_store
from moistwall.study.sweep import plan_sweep
from moistwall.study.vary import read_vary

DIRECTIONS = 8


def peak_megabytes() -> float:
    """Largest memory that the process has had. [MB]"""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0


def run(variants: int, threads: int, name: str, place: str) -> None:
    """Run a study and print where its time went.

    Parameters
    ----------
    variants : int
        About how many; a multiple of the eight directions.
    threads : int
        How many run them.
    name, place : str
        Shipped assembly, and year.
    """
    base = read_assembly(data_folder("examples") / f"{name}.toml")
    year = read_year(place, field="--climate")
    steps = max(variants // DIRECTIONS, 2)
    fields = [
        read_vary("facing = " + ", ".join(f"{45 * k} deg" for k in range(DIRECTIONS))),
        read_vary(
            "room.temperature = "
            + ", ".join(f"{68 + 10 * k / steps:.4f} degF" for k in range(steps))
        ),
    ]
    plan = plan_sweep(base, fields, {place: year})
    timed_run(plan.jobs(), {place: year})  # compiles
    memory: list[float] = []

    def told(progress: StudyProgress) -> None:
        if progress.done * 4 >= plan.total * (len(memory) + 1):
            memory.append(peak_megabytes())

    with tempfile.TemporaryDirectory() as folder, local_crew(threads) as crew:
        store = open_store(Path(folder) / "study", plan.head, resume=False)
        began = time.perf_counter()
        kernel, wall_years, failed = 0.0, 0.0, 0
        for done in run_jobs(
            plan.jobs(),
            {place: year},
            crew,
            total=plan.total,
            around=plan.around,
            store=store,
            tell=told,
        ):
            if done.summary is None:
                failed += 1
                continue
            kernel += float(done.summary["kernel_seconds"])
            wall_years += float(done.summary["wall_years"])
        took = time.perf_counter() - began
        files = len(list((Path(folder) / "study" / "variants").iterdir()))
    print(machine())
    print(
        f"{plan.total} variants of {name}, {place}, {threads} threads, {failed} failed, {files} files"
    )
    rows = [
        ("end to end", f"{took:.1f} s", f"{wall_years / took / threads:.2f}"),
        ("kernel alone", f"{kernel / threads:.1f} s", f"{wall_years / kernel:.2f}"),
    ]
    print(table(("", "time", "wall-years/s and core"), rows))
    print(f"share of the kernel: {100.0 * kernel / (threads * took):.1f} %")
    print("memory after each quarter: " + ", ".join(f"{one:.0f} MB" for one in memory))


def main() -> None:
    """Read the options and run."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--variants", type=int, default=64)
    parser.add_argument("--threads", type=int, default=os.cpu_count() or 1)
    parser.add_argument("--assembly", default="heron-point-wall-all-loads")
    parser.add_argument("--climate", default="mobile")
    given = parser.parse_args()
    run(given.variants, given.threads, given.assembly, given.climate)


if __name__ == "__main__":
    main()
