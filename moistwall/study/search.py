"""Running the values that a search asks for: variants of one file, kept like those of any study."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial
from typing import Any

from moistwall.assembly import Assembly
from moistwall.assess.criteria import Criteria
from moistwall.climate.record import Climate
from moistwall.errors import InputError
from moistwall.study.changing import changed
from moistwall.study.engine import Crew, all_done, run_jobs
from moistwall.study.job import Job, compute, fingerprint, own_materials
from moistwall.study.pinned import pin
from moistwall.study.store import FILES, Store, digest
from moistwall.study.sweep import faults_of
from moistwall.study.vary import text_of


class Searcher:
    """Runs values of one field, in one year.

    Parameters
    ----------
    base : Assembly
        The file.
    path, unit : str
        Field, and the unit of its values.
    climates : mapping of str to Climate
        One year by its label.
    rules : Criteria or None
        What verdicts are by; None for the criteria that come with moistwall.
    """

    def __init__(
        self,
        base: Assembly,
        path: str,
        unit: str,
        climates: Mapping[str, Climate],
        rules: Criteria | None = None,
    ) -> None:
        self._base, self._path, self._unit, self._climates = base, path, unit, climates
        self._around = fingerprint(climates, own_materials(base.data, base.folder), rules)
        self._pins = pin(climates, [(base.data, base.folder)])
        self._run_one = partial(compute, rules=rules)
        self._crew: Crew | None = None
        self._store: Store | None = None
        self._ran = 0
        self.failures: list[str] = []
        self.notes: list[str] = []

    def text(self, value: float) -> str:
        """Write a value as the file would hold it."""
        return text_of(value, self._unit)

    def check(self, low: float, high: float) -> None:
        """Refuse ends that the file could not hold.

        Parameters
        ----------
        low, high : float
            The ends.

        Raises
        ------
        InputError
            With every mistake.
        """
        changed(self._base, [(self._path, self.text(high))])
        faults = [
            fault
            for value in (low, high)
            for fault in faults_of(self._base, [(self._path, self.text(value))])
        ]
        if faults:
            raise InputError(list(dict.fromkeys(faults)))

    def head(self, wanted: str, between: Sequence[str], criterion: str) -> dict[str, Any]:
        """What tells this study from another.

        Parameters
        ----------
        wanted : str
            'least' or 'most'.
        between : sequence of str
            The ends.
        criterion : str
            What is to hold.
        """
        return {
            "kind": wanted,
            "assembly": self._base.name,
            "content": digest(self._base.data),
            "vary": [self._path, *between],
            "criterion": criterion,
            "climates": list(self._climates),
            "around": self._around,
            FILES: self._pins.named(),
        }

    def begin(self, crew: Crew, store: Store | None) -> None:
        """Say who runs, and where finished variants are kept.

        Parameters
        ----------
        crew : Crew
            Who runs.
        store : Store or None
            Where they are kept.
        """
        self._crew, self._store = crew, store

    def run(self, values: Sequence[float]) -> list[dict[str, float] | None]:
        """Run values of the field.

        Parameters
        ----------
        values : sequence of float
            In the unit of the search.

        Returns
        -------
        list of dict or None
            Numbers of each; None if it failed.
        """
        variants = []
        for value in values:
            change = (self._path, self.text(value))
            data, notes = changed(self._base, [change])
            self.notes += [note for note in notes if note not in self.notes]
            variants.append((f"{change[0]} = {change[1]}", data, (change,), notes))
        return self._run(variants)

    def run_data(
        self, variants: Sequence[tuple[str, dict[str, Any]]]
    ) -> list[dict[str, float] | None]:
        """Run files that differ in something else.

        Parameters
        ----------
        variants : sequence of (str, dict)
            Title and content of each.

        Returns
        -------
        list of dict or None
            Numbers of each; None if it failed.
        """
        return self._run([(title, data, (), ()) for title, data in variants])

    def _run(
        self,
        variants: Sequence[
            tuple[str, dict[str, Any], tuple[tuple[str, str], ...], tuple[str, ...]]
        ],
    ) -> list[dict[str, float] | None]:
        assert self._crew is not None, "a search was not begun"
        (climate,) = self._climates
        base = self._base
        jobs = [
            Job(self._ran + k, title, data, base.file, base.folder, climate, changes, notes)
            for k, (title, data, changes, notes) in enumerate(variants)
        ]
        self._ran += len(jobs)
        found = all_done(
            run_jobs(
                jobs,
                self._climates,
                self._crew,
                total=len(jobs),
                around=self._around,
                store=self._store,
                pins=self._pins,
                run=self._run_one,
            )
        )
        self.failures += [f"{done.job.title}: {done.failure}" for done in found if done.failure]
        return [done.measures if done.summary else None for done in found]
