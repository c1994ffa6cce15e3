"""Ensemble: many draws of what is not known, as chances with intervals, and which input matters.

Draws are a Latin hypercube, so that each input is spread evenly over its distribution. The interval of a
chance is that of as many independent draws (Clopper and Pearson 1934), which is not too narrow here.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from moistwall.assembly import Assembly
from moistwall.assess.criteria import Criteria
from moistwall.climate.record import Climate
from moistwall.errors import Fault, InputError
from moistwall.study.changing import changed
from moistwall.study.engine import Done
from moistwall.study.job import Job, fingerprint, own_materials
from moistwall.study.measures import Criterion
from moistwall.study.pinned import Pins, pin
from moistwall.study.store import FILES, digest
from moistwall.study.uncertain import Uncertain

Array = NDArray[np.float64]

LEAST_DRAWS = 8
"""Draws from which an ensemble says anything at all."""

CONFIDENCE = 0.95
"""Of the intervals of chances, and of what is told apart from chance. [-]"""


@dataclass(frozen=True)
class Ensemble:
    """What is to be drawn.

    Parameters
    ----------
    base : Assembly
        The assembly.
    inputs : tuple of Uncertain
        What is not known.
    draws, seed : int
        How many draws, and where the row of chances starts.
    climates : dict of str to Climate
        One year by its label.
    around : str
        Fingerprint of the year, the materials and this version.
    rules : Criteria or None
        What verdicts are by; None for the criteria that come with moistwall.
    pins : Pins
        What its files held when it was planned.
    """

    base: Assembly
    inputs: tuple[Uncertain, ...]
    draws: int
    seed: int
    climates: Mapping[str, Climate]
    around: str = field(default="", repr=False)
    rules: Criteria | None = None
    pins: Pins = field(default_factory=Pins, repr=False)

    @property
    def total(self) -> int:
        """Variants to run: the draws."""
        return self.draws

    @property
    def head(self) -> dict[str, Any]:
        """What tells this study from another."""
        return {
            "kind": "ensemble",
            "assembly": self.base.name,
            "content": digest(self.base.data),
            "inputs": [[one.name, one.low, one.mode, one.high, one.unit] for one in self.inputs],
            "draws": self.draws,
            "seed": self.seed,
            "climates": list(self.climates),
            "around": self.around,
            FILES: self.pins.named(),
        }

    def chances(self) -> Array:
        """Chances of every draw: a (n_draws, n_inputs) Latin hypercube, the same for the same seed."""
        from scipy.stats.qmc import LatinHypercube

        found: Array = LatinHypercube(len(self.inputs), rng=self.seed).random(self.draws)
        return found

    def jobs(self) -> Iterator[Job]:
        """Every draw."""
        (climate,) = self.climates
        for k, row in enumerate(self.chances()):
            pairs = list(zip(self.inputs, map(float, row), strict=True))
            changes = tuple(one.change(chance) for one, chance in pairs if not one.material)
            scales = tuple(one.scale(chance) for one, chance in pairs if one.material)
            data, _ = changed(self.base, changes)
            base = self.base
            yield Job(
                k, f"draw {k + 1}", data, base.file, base.folder, climate, changes, (), scales
            )


def plan_ensemble(
    base: Assembly,
    inputs: Sequence[Uncertain],
    draws: int,
    seed: int,
    climates: Mapping[str, Climate],
    rules: Criteria | None = None,
) -> Ensemble:
    """Plan an ensemble.

    Parameters
    ----------
    base : Assembly
        The assembly.
    inputs : sequence of Uncertain
        What is not known.
    draws, seed : int
        How many draws, and where the row of chances starts.
    climates : mapping of str to Climate
        One year by its label.
    rules : Criteria or None
        What verdicts are by; None for the criteria that come with moistwall.

    Returns
    -------
    Ensemble

    Raises
    ------
    InputError
        If there are too few draws, or nothing to draw.
    """
    if draws < LEAST_DRAWS:
        problem, remedy = "is too few to say anything", f"draw {LEAST_DRAWS} or more"
        raise InputError(Fault("", "--draws", str(draws), problem, remedy))
    if not inputs:
        raise InputError(Fault(base.file, "", "", "has nothing that is uncertain"))
    around = fingerprint(climates, own_materials(base.data, base.folder), rules)
    pins = pin(climates, [(base.data, base.folder)])
    return Ensemble(base, tuple(inputs), draws, seed, climates, around, rules, pins)


@dataclass(frozen=True)
class Chance:
    """How often something came out.

    Parameters
    ----------
    count, total : int
        Draws in which it did, of all that were run.
    low, high : float
        Interval of its chance. [-]
    """

    count: int
    total: int
    low: float
    high: float

    @property
    def share(self) -> float:
        """Share of the draws. [-]"""
        return self.count / self.total


def chance_of(count: int, total: int) -> Chance:
    """Chance of something that came out so often.

    Parameters
    ----------
    count, total : int
        Draws in which it did, of all.

    Returns
    -------
    Chance
        With the interval of Clopper and Pearson (1934), Biometrika 26, 404-413.
    """
    from scipy.stats import binomtest

    interval = binomtest(count, total).proportion_ci(CONFIDENCE, method="exact")
    return Chance(count, total, float(interval.low), float(interval.high))


def convergence(met: Sequence[bool]) -> list[Chance]:
    """Chance after an eighth, a quarter, half and all of the draws.

    Parameters
    ----------
    met : sequence of bool
        Whether each draw keeps to the criterion, in their order.

    Returns
    -------
    list of Chance
    """
    counts = sorted({max(len(met) // share, 1) for share in (8, 4, 2, 1)})
    return [chance_of(sum(met[:count]), count) for count in counts]


def quantiles(values: Sequence[float]) -> tuple[float, float, float]:
    """Value passed by 95, 50 and 5 of a hundred draws.

    Parameters
    ----------
    values : sequence of float
        One a draw.
    """
    low, middle, high = np.quantile(np.array(values), [0.05, 0.5, 0.95])
    return float(low), float(middle), float(high)


@dataclass(frozen=True)
class Influence:
    """How an input goes with an answer.

    Parameters
    ----------
    name : str
        The input.
    rank_correlation : float
        Of Spearman, from -1 to 1. [-]
    told_apart : bool
        Whether it is more than chance makes of inputs that do nothing.
    """

    name: str
    rank_correlation: float
    told_apart: bool


def influences(plan: Ensemble, found: Sequence[Done], measure: str) -> list[Influence]:
    """Which input matters for a number, the strongest first.

    Parameters
    ----------
    plan : Ensemble
        What was drawn.
    found : sequence of Done
        What came of it; failed draws are left out.
    measure : str
        The number.

    Returns
    -------
    list of Influence
        Empty if the number is the same in all draws.
    """
    from scipy.stats import norm, spearmanr

    kept = [done for done in found if measure in done.measures]
    answers = np.array([done.measures[measure] for done in kept])
    if len(kept) < 3 or np.ptp(answers) == 0.0:
        return []
    chances = plan.chances()[[done.job.number for done in kept]]
    # of inputs that do nothing, rho spreads as 1/sqrt(n - 1); all of them together are to stay below
    tail = (1.0 - CONFIDENCE) / (2.0 * len(plan.inputs))
    least = float(norm.isf(tail)) / np.sqrt(len(kept) - 1.0)
    rows = []
    for k, one in enumerate(plan.inputs):
        rho = float(spearmanr(chances[:, k], answers).statistic)
        rows.append(Influence(one.name, rho, abs(rho) > least))
    return sorted(rows, key=lambda row: -abs(row.rank_correlation))


def kept_to(found: Sequence[Done], criterion: Criterion) -> list[bool]:
    """Whether each draw that was run keeps to a criterion.

    Parameters
    ----------
    found : sequence of Done
        In the order of the study.
    criterion : Criterion
        What is to hold.
    """
    return [criterion.met(done.measures) for done in found if criterion.measure in done.measures]
