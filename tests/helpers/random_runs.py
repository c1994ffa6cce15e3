"""Runs of recipes drawn at random, and what must hold of every one of them."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from time import perf_counter

import numpy as np
from numpy.typing import NDArray
from random_recipes import Recipe, room_of, weather_of

from moistwall.air import KELVIN, STEFAN_BOLTZMANN, saturation_pressure
from moistwall.assembly import assembly_from_data, resolve
from moistwall.climate.record import Climate
from moistwall.closing import closed_balance, refuse_temperatures
from moistwall.criteria_file import find_criteria
from moistwall.errors import BalanceError, ConvergenceError, InputError
from moistwall.result import Balance
from moistwall.section import Face, Layer, Section
from moistwall.show.hourly import hourly_csv
from moistwall.show.summary import summary
from moistwall.show.text import report
from moistwall.simulate import simulate
from moistwall.solver.boundary import boundary_rows, loads_of
from moistwall.solver.grid import Grid, build_grid
from moistwall.solver.kernel.layout import (
    AIR_TEMPERATURE,
    AIR_VAPOR,
    FORCED,
    HEAT_FILM,
    LONGWAVE,
    N_END_COLUMNS,
    STEPS,
    SUN,
    Record,
)
from moistwall.solver.lanes import join_lanes
from moistwall.solver.march import March
from moistwall.solver.zones import ZoneMarch, march_of
from moistwall.study.judged import judge_run
from moistwall.study.whole_run import WholeRun
from moistwall.zone_closing import closed_zone

Array = NDArray[np.float64]

OVERSHOOT = 0.5
"""By how much a temperature may leave its bounds: somewhat more than the error allowed in a step. [K]"""

COMPARED = 48
"""Hours over which a run is compared with itself, again and beside others."""

HOURLY = tuple(name for name in Record._fields if name not in ("counts", "drift"))
"""What a record holds hour by hour."""

LATENT = 2.5e6
"""Heat of evaporation. [J/kg]"""

LEWIS = 0.0168
"""Warmth that a kilopascal-thousandth of vapor brings to a surface in air, by the Lewis relation: L0/(rho c_p
R_v K Le^(2/3)), which no temperature changes. [K/Pa]"""


@dataclass(frozen=True)
class Outcome:
    """How a run ended.

    Parameters
    ----------
    end : {'solved', 'unsolved', 'refused', 'broken'}
        Within all limits; a `ConvergenceError`; an `InputError`; anything else.
    told : str
        Message, or the law that does not hold.
    seconds : float
        Time of all its marches. [s]
    steps, forced : int
        Of the march alone.
    compared : bool
        Whether it was compared with itself in company.
    moisture, heat, drift, drift_temperature : float
        Balances and drifts, where it was solved.
    """

    end: str
    told: str = ""
    seconds: float = 0.0
    steps: int = 0
    forced: int = 0
    compared: bool = False
    moisture: float = 0.0
    heat: float = 0.0
    drift: float = 0.0
    drift_temperature: float = 0.0


ENDS: dict[type[Exception], str] = {
    ConvergenceError: "unsolved",
    BalanceError: "broken",
    InputError: "refused",
}
"""How a run has ended that raised one of these."""


def _raised(error: Exception, began: float) -> Outcome:
    """The end of a run that raised an error on purpose."""
    end = next(end for kind, end in ENDS.items() if isinstance(error, kind))
    return Outcome(end, str(error), perf_counter() - began)


def _finished(
    broken: str, began: float, steps: int, forced: int, compared: bool, balance: Balance
) -> Outcome:
    """The end of a run that was gone through; ``broken`` names the law that does not hold."""
    return Outcome(
        "broken" if broken else "solved",
        broken,
        perf_counter() - began,
        steps,
        forced,
        compared,
        balance.moisture_relative,
        balance.heat_relative,
        balance.storage_drift,
        balance.storage_drift_temperature,
    )


def section_of(recipe: Recipe) -> Section:
    """Resolve the section of a recipe."""
    section = resolve(assembly_from_data(recipe.assembly, file="drawn"), studs=recipe.studs)
    temperature, rh = room_of(
        recipe, float(np.mean(section.room_temperature)), float(np.mean(section.room_rh))
    )
    return replace(section, room_temperature=temperature, room_rh=rh)


def company(section: Section) -> list[Section]:
    """Two sections of the same topology that take other steps."""

    def started(rh: float) -> tuple[Layer, ...]:
        return tuple(
            replace(part, initial_rh=rh, initial_content=None) if isinstance(part, Layer) else part
            for part in section.parts
        )

    turned = (section.azimuth + 120.0) % 360.0
    warm = np.minimum(np.asarray(section.room_temperature) + 4.0, 50.0)
    return [
        replace(section, parts=started(0.5), azimuth=turned, outer=Face(0.9, 0.95)),
        replace(section, parts=started(0.85), room_temperature=warm, inner=Face(holds=0.02)),
    ]


def marched(
    recipe: Recipe, sections: list[Section], climate: Climate
) -> tuple[March, list[Grid], list[Array]]:
    """Prepare the march of some sections side by side."""
    grids = [build_grid(section) for section in sections]
    rows = [boundary_rows(section, climate) for section in sections]
    first = sections[0]
    loads = loads_of(rows, list(range(len(rows))), len(first.gaps), len(first.exposure.waters))
    start = float(np.mean(sections[0].room_temperature))
    return March(join_lanes(grids), loads, start_temperature=start), grids, rows


def run_recipe(recipe: Recipe) -> Outcome:
    """Run a recipe alone, again, and in company, and see whether every law holds.

    Errors that no one raised on purpose come through.
    """
    began = perf_counter()
    try:
        section = section_of(recipe)
        climate = weather_of(recipe)
        march, (grid,), (rows,) = marched(recipe, [section], climate)
        start = march.state.temperature.copy()
        water, heat = (stored[:, 0].copy() for stored in march.stored())
        lowest_rh = float(np.min(grid.start_rh))
        record = march.hours(recipe.first, recipe.hours)
        refuse_temperatures(grid, record.temperature[..., 0], section.name, recipe.first)
        balance = closed_balance(grid, record, water, heat, ())
    except tuple(ENDS) as error:
        return _raised(error, began)
    window = rows[recipe.first : recipe.first + recipe.hours + 1]
    broken = _impossible(record) or _out_of_bounds(
        record, section, window, float(start[0, 0]), lowest_rh
    )
    if not broken:
        broken = _differs_again(recipe, section, climate, record)
    compared = False
    if not broken:
        broken, compared = _differs_in_company(recipe, section, climate, record)
    steps, forced = (int(record.counts[k, 0]) for k in (STEPS, FORCED))
    return _finished(broken, began, steps, forced, compared, balance)


def run_zoned(recipe: Recipe) -> Outcome:
    """Run a recipe with a zone, twice, and see whether every law holds of the section and of the zone."""
    began = perf_counter()
    try:
        section, climate = section_of(recipe), weather_of(recipe)
        grid = build_grid(section)
        march, _ = march_of(grid, climate)
        assert isinstance(march, ZoneMarch)
        water, heat = (stored[:, 0].copy() for stored in march.stored())
        start = march.zone_contents()
        record = march.hours(recipe.first, recipe.hours)
        refuse_temperatures(grid, record.temperature[..., 0], section.name, recipe.first)
        balance = closed_balance(grid, record, water, heat, ())
        zone_record = march.zone_record()
        zone = closed_zone(march, record, zone_record, start, recipe.first)
    except tuple(ENDS) as error:
        return _raised(error, began)
    broken = _impossible(record)
    if not broken and not np.all(np.isfinite(zone_record)):
        broken = "the record of the zone holds what is no number"
    if not broken and not all(np.all(np.isfinite(one)) for one in _numbers(zone)):
        broken = "the report of the zone holds what is no number"
    if not broken:
        again, _ = march_of(build_grid(section), climate)
        hours = min(recipe.hours, COMPARED)
        beside = again.hours(recipe.first, hours, chunk=17)
        for name in HOURLY:
            if getattr(record, name)[:hours].tobytes() != getattr(beside, name).tobytes():
                broken = f"{name} differs between two runs"
    steps, forced = (int(record.counts[k, 0]) for k in (STEPS, FORCED))
    return _finished(broken, began, steps, forced, False, balance)


def _numbers(report: object) -> list[float]:
    """Every number of a report."""
    return [value for value in vars(report).values() if isinstance(value, int | float)]


def run_whole_year(recipe: Recipe) -> Outcome:
    """Simulate a whole year of a recipe, judge it and write its summary, as the command line does."""
    began = perf_counter()
    try:
        section, climate = section_of(recipe), weather_of(recipe)
        result = simulate(section, climate, most_years=3)
        whole = WholeRun(result)
        judged = judge_run(whole, find_criteria(None))
        json.dumps(summary(result, whole, judged), allow_nan=False)
        report(result, "ip", whole, judged)
        hourly_csv(result, "si")
    except tuple(ENDS) as error:
        return _raised(error, began)
    broken = ""
    for name, values in vars(result).items():
        if (
            isinstance(values, np.ndarray)
            and name != "sorption_part"
            and not np.isfinite(values).all()
        ):
            broken = f"{name} of the result holds what is no number"
    rh = result.rh_place
    if rh.min() < 0.0 or rh.max() > 1.0 + 1e-3:
        broken = f"humidity of a place from {rh.min():.6g} to {rh.max():.6g}"
    solver, balance = result.solver, result.balance
    return _finished(broken, began, solver.steps, solver.forced, False, balance)


def _impossible(record: Record) -> str:
    """Name what is no number, or no humidity."""
    for name, values in record._asdict().items():
        if not np.all(np.isfinite(values)):
            return f"{name} holds what is no number"
    for name in ("humidity", "side_humidity"):
        values = getattr(record, name)
        # the march keeps rh above 1 by a hair where liquid moves (docs/theory.md, 2)
        if not (values.min() >= 0.0 and values.max() <= 1.0 + 1e-3):
            return f"{name} from {values.min():.6g} to {values.max():.6g}"
    if record.content.min() < 0.0:
        return f"content of {record.content.min():.3g} kg/m3"
    return ""


def _out_of_bounds(
    record: Record, section: Section, rows: Array, start: float, lowest_rh: float
) -> str:
    """Name a temperature that nothing around the section explains."""
    low, high = temperature_bounds(section, rows, start, lowest_rh)
    coldest, hottest = float(record.temperature.min()), float(record.temperature.max())
    if coldest < low - OVERSHOOT or hottest > high + OVERSHOOT:
        return f"{coldest:.2f} to {hottest:.2f} degC, where {low:.2f} to {high:.2f} is possible"
    return ""


def temperature_bounds(
    section: Section, rows: Array, start: float, lowest_rh: float
) -> tuple[float, float]:
    """Lowest and highest temperature that the surroundings of a section can bring about. [degC]

    Lowest: of sky, start, and wet bulb of either side's air with the drier one's vapor, dried as far as the driest
    layer dries it.
    Highest: of sol-air temperature and start, where vapor that is taken up by something as dry as that layer
    warms it. Both by the larger of the Lewis relation and of what vapor brings through a layer over what heat
    takes away.
    """
    carried = [LEWIS]
    for layer in section.layers:
        material = layer.material
        ratio = material.vapor_permeability.max() / material.conductivity.min()
        carried.append(LATENT * float(ratio))
    ratio = max(carried)
    outer, inner = rows[:, :N_END_COLUMNS], rows[:, N_END_COLUMNS:]
    air = outer[:, AIR_TEMPERATURE]
    sky = (np.maximum(outer[:, LONGWAVE], 1e-9) / STEFAN_BOLTZMANN) ** 0.25 - KELVIN
    film, face = outer[:, HEAT_FILM], section.outer
    gained = face.absorptance * outer[:, SUN] + face.emittance * outer[:, LONGWAVE]
    warmed = _root(
        lambda t: film * (t - air) + face.emittance * STEFAN_BOLTZMANN * (t + KELVIN) ** 4 - gained,
        air,
    )
    room = inner[:, AIR_TEMPERATURE]
    driest = min(lowest_rh, float((inner[:, AIR_VAPOR] / saturation_pressure(room)).min()))
    wet = []
    # heat may come from one side while vapor leaves to the other
    thin = np.minimum(outer[:, AIR_VAPOR], inner[:, AIR_VAPOR])
    for ambient in (air, room):
        left = np.minimum(thin, driest * saturation_pressure(ambient))
        wet.append(
            _root(
                lambda t, a=ambient, p=left: t - a + ratio * (saturation_pressure(t) - p), ambient
            )
        )
    low = min(start, sky.min(), *(float(one.min()) for one in wet))
    dry = max(start, warmed.max(), air.max(), room.max())
    vapor = max(
        outer[:, AIR_VAPOR].max(),
        inner[:, AIR_VAPOR].max(),
        float(saturation_pressure(min(dry, 109.0))),
    )
    # air from outdoors may have dried it while it was warm
    dried = min(
        driest, float(outer[:, AIR_VAPOR].min()) / float(saturation_pressure(min(dry, 109.0)))
    )
    high = _root(
        lambda t: t - dry + ratio * np.minimum(dried * saturation_pressure(t) - vapor, 0.0),
        np.array([dry]),
    )
    return low, float(max(dry, high[0]))


def _root(rising: object, about: Array) -> Array:
    """Where a rising function of temperature is nought, between -60 and 110 degC."""
    assert callable(rising)
    low, high = np.full(about.shape, -60.0), np.full(about.shape, 110.0)
    for _ in range(40):
        middle = 0.5 * (low + high)
        above = rising(middle) > 0.0
        low, high = np.where(above, low, middle), np.where(above, middle, high)
    return 0.5 * (low + high)


def _differs_again(recipe: Recipe, section: Section, climate: Climate, record: Record) -> str:
    march, _, _ = marched(recipe, [section], climate)
    hours = min(recipe.hours, COMPARED)
    again = march.hours(recipe.first, hours, chunk=17)
    for name in HOURLY:
        if getattr(record, name)[:hours].tobytes() != getattr(again, name).tobytes():
            return f"{name} differs between two runs"
    return ""


def _differs_in_company(
    recipe: Recipe, section: Section, climate: Climate, record: Record
) -> tuple[str, bool]:
    """Name what is not the same between two others; and whether that could be seen."""
    before, after = company(section)
    march, _, _ = marched(recipe, [before, section, after], climate)
    hours = min(recipe.hours, COMPARED)
    try:
        beside = march.hours(recipe.first, hours)
    except ConvergenceError:
        return "", False
    for name in HOURLY:
        here, there = getattr(record, name)[:hours], getattr(beside, name)
        if here[..., 0].tobytes() != there[..., 1].tobytes():
            return f"{name} differs beside others", True
    return "", True
