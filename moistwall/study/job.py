"""One variant: what is to be run, what tells it from any other, and what is kept of it."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from moistwall import __version__
from moistwall.assembly import assembly_from_data, resolve
from moistwall.assess.criteria import Criteria
from moistwall.assess.thermal import thermal
from moistwall.climate.limits import HOURLY
from moistwall.climate.record import Climate
from moistwall.library import material_files
from moistwall.section import Section
from moistwall.simulate import Progress, simulate
from moistwall.study.beside import ridge_strip
from moistwall.study.measures import criteria, measure
from moistwall.study.scaling import Scale, scaled

FORMAT = "moistwall variant 1"


class Stopped(Exception):  # noqa: N818 - no error: it was asked for
    """A run was told to stop."""


@dataclass(frozen=True)
class Job:
    """A variant to be run.

    Parameters
    ----------
    number : int
        Place in the study, from 0.
    title : str
        What to call it.
    data : dict
        Content of its assembly file.
    file : str
        Name of the file that it is a variant of, for messages.
    folder : Path
        Folder that paths in it start from.
    climate : str
        Label of its year.
    changes : tuple of (str, str)
        Path and value of what is varied.
    notes : tuple of str
        What followed from that.
    scales : tuple of Scale
        Properties of materials that differ from the library.
    """

    number: int
    title: str
    data: Mapping[str, Any]
    file: str
    folder: Path
    climate: str
    changes: tuple[tuple[str, str], ...] = ()
    notes: tuple[str, ...] = ()
    scales: tuple[Scale, ...] = ()

    def key(self, around: str) -> str:
        """Name that no other variant has.

        Parameters
        ----------
        around : str
            Fingerprint of all that is not in the variant: its year, the library, this version.
        """
        scales = [(one.material, one.field, repr(one.factor)) for one in self.scales]
        told = json.dumps([self.data, self.climate, scales, around], sort_keys=True)
        return hashlib.sha256(told.encode("utf-8")).hexdigest()[:24]


def fingerprint(
    climates: Mapping[str, Climate],
    folders: tuple[Path, ...] = (),
    rules: Criteria | None = None,
) -> str:
    """Fingerprint of the years, the materials, the criteria and this version of moistwall.

    Parameters
    ----------
    climates : mapping
        Years by label.
    folders : tuple of Path
        Folders or files with materials of one's own.
    rules : Criteria or None
        What verdicts are by; None for the criteria that come with moistwall.

    Returns
    -------
    str
    """
    found = hashlib.sha256(__version__.encode())
    for label in sorted(climates):
        found.update(label.encode("utf-8"))
        found.update(bytes_of_year(climates[label]))
    for path in material_files(folders):
        found.update(path.read_bytes())
    found.update(repr((rules or criteria()).criteria).encode("utf-8"))
    return found.hexdigest()


def bytes_of_year(climate: Climate) -> bytes:
    """All that a year holds, to be hashed.

    Parameters
    ----------
    climate : Climate
        The year.
    """
    place = repr((climate.latitude, climate.longitude, climate.elevation)).encode()
    series = [getattr(climate, name) for name in HOURLY]
    return place + b"".join(b"-" if one is None else one.tobytes() for one in series)


def own_materials(data: Mapping[str, Any], folder: Path) -> tuple[Path, ...]:
    """Folders and files of materials that an assembly file names.

    Parameters
    ----------
    data : mapping
        Content of the file.
    folder : Path
        Folder that its paths start from.
    """
    return tuple(folder / text for text in data.get("materials", ()))


def sections_of(job: Job) -> list[Section]:
    """The clear path of a variant, and the one through its studs if there are any.

    Parameters
    ----------
    job : Job
        The variant.

    Raises
    ------
    InputError
        If the variant is no assembly.
    """
    assembly = assembly_from_data(dict(job.data), file=job.file, folder=job.folder)
    paths = [resolve(assembly)]
    if assembly.given.studs is not None:
        paths.append(resolve(assembly, studs=True))
    return [scaled(path, job.scales) for path in paths]


def compute(
    job: Job,
    climate: Climate,
    stop: Callable[[], bool] | None = None,
    *,
    rules: Criteria | None = None,
) -> dict[str, Any]:
    """Run a variant and keep what a study needs of it.

    Parameters
    ----------
    job : Job
        The variant; its clear path is run, and counted along the ridge where its attic has one told apart.
    climate : Climate
        Its year.
    stop : callable or None
        Asked now and then whether to stop.
    rules : Criteria or None
        What the verdict is by; None for the criteria that come with moistwall.

    Returns
    -------
    dict
        Fit for JSON.

    Raises
    ------
    MoistwallError
        As `moistwall.simulate.simulate`, or if the variant is no assembly.
    Stopped
        If it was told to.
    """

    def told(progress: Progress) -> None:
        if stop is not None and stop():
            raise Stopped

    told(Progress(0, 0))
    paths = sections_of(job)
    result = simulate(paths[0], climate, tell=told)
    ridge = ridge_strip(paths[0], result)
    if ridge is not None:
        result = simulate(ridge, climate, tell=told)
    found = measure(result, rules)
    measures = dict(found.numbers)
    measures["r_value"] = round(thermal(paths).combined, 9)
    return {
        "format": FORMAT,
        "number": job.number,
        "title": job.title,
        "climate": job.climate,
        "changes": [list(change) for change in job.changes],
        "scales": [[one.material, one.field, one.factor] for one in job.scales],
        "notes": list(job.notes),
        "measures": measures,
        "worst": found.worst + (", along the ridge" if ridge is not None else ""),
        "verdict": found.verdict,
        "decided_by": found.decided_by,
        "moisture_balance": result.balance.moisture_relative,
        "heat_balance": result.balance.heat_relative,
        "wall_years": result.solver.wall_years,
        "kernel_seconds": result.solver.seconds,
    }
