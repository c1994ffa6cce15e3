"""A lesson computed: both designs at every moment, the variants, and the numbers that sentences need."""

from __future__ import annotations

import hashlib
import json
import os
import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from moistwall.air import dew_point_from_vapor_pressure
from moistwall.assembly import Assembly, resolve
from moistwall.assess.condensation import LEAST_GAIN
from moistwall.assess.criteria import WORDS
from moistwall.assess.drying import gap_drying
from moistwall.climate.hours import HOURS
from moistwall.climate.record import Climate
from moistwall.lesson.columns import (
    Step,
    columns,
    control_column,
    drop_mass,
    extra_water,
    steps,
)
from moistwall.lesson.flows import (
    Joint,
    joints,
    leak_air,
    leak_water,
    lining_joint,
    vapor_across,
    wettest,
)
from moistwall.lesson.moments import Moment, days_to_dry, storm_moments, year_moments
from moistwall.lesson.plans import Plan
from moistwall.result import Balance, Part, Result
from moistwall.section import Film, Gap, Layer, Section
from moistwall.simulate import MOST_YEARS, SETTLED, Progress, simulate
from moistwall.study.job import Stopped
from moistwall.study.measures import measure

Array = NDArray[np.float64]

PERMEANCE_RH = 0.5
"""Humidity at which the permeance of layers and films is told. [-]"""


@dataclass(frozen=True)
class Still:
    """One design at one moment.

    Parameters
    ----------
    steps : tuple of Step
        Outdoor air, the columns, room air.
    extra : tuple of float
        What each column holds beyond what it would in the room's air. [kg/m2]
    vapor : tuple of float
        Vapor across each joint, inwards. [kg/(m2 h)]
    leak : float
        What leaking air brings, inwards. [kg/(m2 h)]
    """

    steps: tuple[Step, ...]
    extra: tuple[float, ...]
    vapor: tuple[float, ...]
    leak: float


@dataclass(frozen=True)
class Told:
    """A design and its year.

    Parameters
    ----------
    label, example, section_name : str
        What the lesson calls it, the example it starts from, and what its file says.
    parts : tuple of Part
        All parts, from outside to inside.
    permeance : tuple of float or None
        Of each part at `PERMEANCE_RH`; None for a gap. [kg/(m2 s Pa)]
    columns : tuple of int
        Parts that have a column.
    control : int
        Column that keeps the rain out.
    joints : tuple of Joint
        Where layers meet.
    wettest : Joint
        The inside joint with most hours at or above 80 % RH.
    lining : Joint
        The joint before the innermost layer.
    stills : tuple of Still
        One a moment.
    vapor_year, leak_year : float
        Vapor inwards across ``lining``, and what leaking air brought inwards, in the hours in which they
        went inwards. [kg/m2]
    air_year : float
        Air that leaked inwards. [kg/m2]
    gap_wetting_hours : int
        Hours in which the outermost gap's air brought water. [h]
    dew_hours : int
        Hours in which vapor condensed on some surface outside of the rain-control layer. [h]
    hours_crossed : int
        Hours in which the warmer of outdoors and room had the lower dew point. [h]
    days_to_dry : float or None
        After the storm, if there is one. [d]
    room_hours_rh_80 : int
        Hours at or above 80 % RH on the face that the room sees. [h]
    verdict, decided_by : str
        By the screening criteria, and which of them decided.
    years : int
        Years run.
    balance : Balance
        How well the run closes.
    defaults, from_memory : tuple of str
        What was assumed; what rests on memory.
    """

    label: str
    example: str
    section_name: str
    parts: tuple[Part, ...]
    permeance: tuple[float | None, ...]
    columns: tuple[int, ...]
    control: int
    joints: tuple[Joint, ...]
    wettest: Joint
    lining: Joint
    stills: tuple[Still, ...]
    vapor_year: float
    leak_year: float
    air_year: float
    gap_wetting_hours: int
    dew_hours: int
    hours_crossed: int
    days_to_dry: float | None
    room_hours_rh_80: int
    verdict: str
    decided_by: str
    years: int
    balance: Balance
    defaults: tuple[str, ...]
    from_memory: tuple[str, ...]

    @property
    def settled(self) -> bool:
        """Whether the year repeats itself."""
        return self.years < MOST_YEARS or self.balance.yearly_change[-1] < SETTLED

    @property
    def inside(self) -> tuple[int, ...]:
        """Which of the joints lie inside of what keeps the rain out."""
        return tuple(k for k, joint in enumerate(self.joints) if not joint.outboard)


@dataclass(frozen=True)
class Weather:
    """Air on both sides and rain at a moment.

    Parameters
    ----------
    outdoor_temperature, outdoor_dew_point, room_temperature, room_dew_point : float
        [degC]
    rain_day : float or None
        Rain on level ground in the 24 hours before; None where no rain is known. [mm]
    """

    outdoor_temperature: float
    outdoor_dew_point: float
    room_temperature: float
    room_dew_point: float
    rain_day: float | None

    @property
    def inward(self) -> bool:
        """Whether outdoor air has the higher dew point, so that vapor is driven inwards."""
        return self.outdoor_dew_point > self.room_dew_point


@dataclass(frozen=True)
class Lesson:
    """A lesson with every number that it shows.

    Parameters
    ----------
    plan : Plan
        What was run.
    climate_name, climate_place : str
        The year.
    moments : tuple of Moment
        The storyboard.
    weather : tuple of Weather
        At each moment, as the design that is asked about had it.
    designs : tuple of Told
        The two designs.
    variants : tuple of (tuple of int, Told)
        Choice of each factor, and what came of it.
    drop : float
        What one drop stands for. [kg/m2]
    leak_test : str
        Label of the blower-door test that the leak beside the designs is from; empty if the designs leak.
    """

    plan: Plan
    climate_name: str
    climate_place: str
    moments: tuple[Moment, ...]
    weather: tuple[Weather, ...]
    designs: tuple[Told, Told]
    variants: tuple[tuple[tuple[int, ...], Told], ...]
    drop: float
    leak_test: str


def build_lesson(made: Plan, climate: Climate, tell: Callable[[str], None] | None = None) -> Lesson:
    """Run all that a lesson needs and choose its moments.

    Parameters
    ----------
    made : Plan
        What `moistwall.lesson.plans.plan` gave.
    climate : Climate
        The year.
    tell : callable or None
        Called with a line as each run ends.

    Returns
    -------
    Lesson

    Raises
    ------
    ConvergenceError, BalanceError, InputError
        As `moistwall.simulate.simulate`.
    """
    asked = resolve(made.designs[1].assembly)
    storm = bool(asked.exposure.pours)

    stopped = threading.Event()

    def run(section: Section) -> Result:
        def told(progress: Progress) -> None:
            if stopped.is_set():
                raise Stopped
            if tell is not None and progress.hours == HOURS:
                tell(f"{section.name}: year {progress.year} done")

        return simulate(section, climate, tell=told)

    first = run(asked)
    moments = storm_moments(first, asked) if storm else year_moments(first, climate)
    weather = tuple(_weather(first, climate, moment.hour) for moment in moments)
    _, test = leak_air(first, asked, climate)
    kept: dict[str, Told] = {_key(made.designs[1].assembly): _told(first, asked, climate, moments)}
    del first
    wanted = {
        _key(one): one
        for one in (made.designs[0].assembly, *(variant for _, variant in made.variants()))
        if _key(one) not in kept
    }

    def work(item: tuple[str, Assembly]) -> tuple[str, Told]:
        section = resolve(item[1])
        return item[0], _told(run(section), section, climate, moments)

    with ThreadPoolExecutor(os.cpu_count() or 1, thread_name_prefix="lesson") as pool:
        try:
            kept |= dict(pool.map(work, wanted.items()))
        except BaseException:
            stopped.set()  # an interruption, or a run that failed: the others end within a second
            raise
    designs = tuple(
        _named(kept[_key(one.assembly)], one.label, one.example) for one in made.designs
    )
    return Lesson(
        made,
        climate.name,
        climate.place,
        moments,
        weather,
        (designs[0], designs[1]),
        tuple((choice, kept[_key(one)]) for choice, one in made.variants()),
        drop_mass(_most_extra(designs)),
        test,
    )


def _key(assembly: Assembly) -> str:
    content = json.dumps(assembly.data, sort_keys=True)
    return hashlib.sha256(content.encode("utf-8")).hexdigest()


def _named(told: Told, label: str, example: str) -> Told:
    return Told(**(vars(told) | {"label": label, "example": example}))


def _most_extra(designs: tuple[Told, ...]) -> float:
    """Most extra water of a column inside of the rain-control layer, at any moment. [kg/m2]"""
    return max(
        (
            extra
            for told in designs
            for still in told.stills
            for column, extra in enumerate(still.extra)
            if column >= told.control
        ),
        default=0.0,
    )


def _weather(result: Result, climate: Climate, hour: int) -> Weather:
    rain = None
    if climate.rain is not None:
        rain = float(np.roll(climate.rain, 23 - hour)[:24].sum())
    return Weather(
        float(result.outdoor_temperature[hour]),
        float(dew_point_from_vapor_pressure(result.outdoor_vapor[hour])),
        float(result.room_temperature[hour]),
        float(dew_point_from_vapor_pressure(result.room_vapor[hour])),
        rain,
    )


def _permeance(part: Layer | Film | Gap) -> float | None:
    if isinstance(part, Gap):
        return None
    if isinstance(part, Film):
        return float(np.interp(PERMEANCE_RH, part.rh, part.permeance))
    material = part.material
    through = np.interp(PERMEANCE_RH, material.vapor_rh, material.vapor_permeability)
    return float(through) / part.thickness


def _told(result: Result, section: Section, climate: Climate, moments: tuple[Moment, ...]) -> Told:
    """All that a lesson keeps of a run."""
    air, _ = leak_air(result, section, climate)
    leak = leak_water(result, air)
    found, lining = joints(result), lining_joint(result)
    vapor = [vapor_across(result, joint) for joint in found]
    stills = tuple(
        Still(
            steps(result, moment.hour),
            tuple(float(extra) for extra in extra_water(result, moment.hour)),
            tuple(float(one[moment.hour]) for one in vapor),
            float(leak[moment.hour]),
        )
        for moment in moments
    )
    warmer_out = result.outdoor_temperature > result.room_temperature
    damper_out = result.outdoor_vapor > result.room_vapor
    dew = [k for k, place in enumerate(result.places) if place.surface and place.outboard]
    gaps = gap_drying(result)
    across = vapor_across(result, lining)
    room_face = result.rh_place[:, -1]
    judged = measure(result)
    return Told(
        label=section.name,
        example="",
        section_name=section.name,
        parts=result.parts,
        permeance=tuple(_permeance(part) for part in section.parts),
        columns=columns(result),
        control=control_column(result),
        joints=found,
        wettest=wettest(result),
        lining=lining,
        stills=stills,
        vapor_year=float(np.maximum(across, 0.0).sum()),
        leak_year=float(np.maximum(leak, 0.0).sum()),
        air_year=float(np.maximum(air, 0.0).sum()),
        gap_wetting_hours=gaps[0].wetting_hours if gaps else 0,
        dew_hours=int((result.condensed_place[:, dew] > LEAST_GAIN).any(axis=1).sum()),
        hours_crossed=int((warmer_out != damper_out).sum()),
        days_to_dry=days_to_dry(result, section) if section.exposure.pours else None,
        room_hours_rh_80=int((room_face >= 0.8).sum()),
        verdict=WORDS[int(judged.numbers["verdict"])],
        decided_by=judged.decided_by,
        years=result.solver.wall_years,
        balance=result.balance,
        defaults=result.defaults,
        from_memory=result.from_memory,
    )
