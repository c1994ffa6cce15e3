"""Rules that every material must pass, each with its message; shipped ones and the user's own alike.

A rule either refuses, where the number cannot be right, or warns, where it can be but seldom is. A
rule is asked only where all that it needs could be read, so that a file with mistakes still gets all
its faults at once.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

import numpy as np

from moistwall import air
from moistwall.errors import Fault
from moistwall.material import Array, Storage
from moistwall.material_curves import wood_moisture_content
from moistwall.material_liquid import absorption_from_diffusivity
from moistwall.material_spread import Spread

WOOD_SUBSTANCE = 1540.0
"""Density of the substance of cell walls, which bounds what wood can hold (USDA Wood Handbook
ch. 4, eq. 4-1, from memory). [kg/m3]"""

HEAVIEST_SUBSTANCE = 2800.0
"""Density of the heaviest minerals that porous building materials are made of: quartz 2650, calcite
2710, hydrated cement and clays less (common knowledge, from memory). [kg/m3]"""

STILL_AIR_SLACK = 1.02
"""What a permeability may exceed that of still air at 23 degC by, for rounding and the pressure of
the laboratory (estimate). [-]"""

THINNEST_FILM = 1e-4
"""No film is more open than still air of this thickness (estimate). [m]"""

ABSORPTION_FACTOR = 2.0
"""Absorption coefficient given, against that which follows from the diffusivity given: they may differ
by this factor, within which samples of one material lie (common practice, no source). [-]"""

WOOD_TOLERANCE = 0.03
"""Distance from the Wood Handbook's sorption that solid wood keeps. [kg/kg]"""

PANEL_OFFSET = 0.02
"""Glued panels hold 1 to 3 percent of dry mass less than solid wood (from memory). [kg/kg]"""

FIT_TOLERANCE = 0.15
"""Largest relative error of a fitted formula at a point that goes without a word (estimate). [-]"""

FEWEST_POINTS = 4
"""A monotone cubic through fewer points of sorption says little about what lies between. [-]"""


@dataclass(frozen=True)
class Plausible:
    """Ranges within which the materials of a kind lie."""

    density: tuple[float, float]
    conductivity: tuple[float, float]
    heat_capacity: tuple[float, float]


PLAUSIBLE = {
    "foam": Plausible((5, 200), (0.015, 0.06), (900, 2000)),
    "wool": Plausible((5, 260), (0.028, 0.06), (700, 2200)),
    "natural": Plausible((15, 900), (0.03, 0.20), (700, 2200)),
    "lumber": Plausible((250, 900), (0.06, 0.25), (1100, 2000)),
    "sheathing": Plausible((120, 1300), (0.04, 0.40), (800, 2100)),
    "lining": Plausible((250, 2200), (0.05, 1.4), (750, 2100)),
    "masonry": Plausible((300, 2700), (0.08, 3.0), (700, 1300)),
    "cladding": Plausible((250, 9000), (0.06, 400), (350, 2000)),
    "flooring": Plausible((100, 2800), (0.04, 3.0), (700, 2000)),
    "ground": Plausible((800, 2400), (0.2, 3.0), (700, 2600)),
}
"""By kind: dry density [kg/m3], conductivity of the dry material [W/(m K)], specific heat of the dry
material [J/(kg K)]. Wide on purpose; common practice, no source."""

POSSIBLE = Plausible((1, 12000), (0.003, 450), (100, 5000))
"""What no building material lies outside of: aerogel and vacuum panels to lead and copper."""


@dataclass(frozen=True)
class Subject:
    """What is known of a material or film when it is checked; None where it could not be read.

    Parameters
    ----------
    name, kind : str
        Name and folder.
    film : bool
        Whether it is a sheet or coat, whose `vapor` is a permeance.
    wood, panel : bool
        Whether its water is read in percent of dry mass, and whether it is a glued panel.
    density, heat_capacity : float or None
        [kg/m3], [J/(kg K)]
    conductivity : ((n,) ndarray, (n,) ndarray) or None
        Water contents [kg/m3] and conductivities [W/(m K)] at them.
    vapor : ((k,) ndarray, (k,) ndarray) or None
        Relative humidities [-] and permeabilities [kg/(m s Pa)] or permeances [kg/(m2 s Pa)].
    falls : str
        Why vapor passes less readily when damp, if it does.
    storage : Storage or None
        Moisture stored at equilibrium.
    sorbs : bool
        False for storage of pore air alone.
    porosity : float or None
        Share of pores as the file gives it. [-]
    sorption_points : int or None
        Number of points that a monotone cubic is drawn through; None for any other form.
    fit_error : float or None
        Largest relative error of a fitted formula at its points. [-]
    absorption : float or None
        Absorption coefficient as the file gives it. [kg/(m2 s^0.5)]
    diffusivity : callable or None
        Liquid diffusivity over water content, where liquid moves. [m2/s over kg/m3]
    mold_class : str
        Empty if not given.
    spreads : tuple of Spread
        How far sources lie apart.
    without_range : tuple of str
        Groups that do not say where they hold.
    """

    name: str
    kind: str
    film: bool = False
    wood: bool = False
    panel: bool = False
    density: float | None = None
    heat_capacity: float | None = None
    conductivity: tuple[Array, Array] | None = None
    vapor: tuple[Array, Array] | None = None
    falls: str = ""
    storage: Storage | None = None
    sorbs: bool = True
    porosity: float | None = None
    sorption_points: int | None = None
    fit_error: float | None = None
    absorption: float | None = None
    diffusivity: Callable[[Array], Array] | None = None
    mold_class: str = ""
    spreads: tuple[Spread, ...] = ()
    without_range: tuple[str, ...] = ()


@dataclass(frozen=True)
class Finding:
    """What a rule found: where, what stands there, what is wrong, what to do; refused or warned."""

    field: str
    value: str
    problem: str
    remedy: str = ""
    refused: bool = True

    def fault(self, file: str) -> Fault:
        """Give it as a fault of this file."""
        return Fault(file, self.field, self.value, self.problem, self.remedy)


@dataclass(frozen=True)
class Rule:
    """One rule.

    Parameters
    ----------
    says : str
        What must hold, in a line.
    needs : tuple of str
        Attributes of `Subject` without which it is not asked.
    find : callable
        Gives what it finds.
    """

    says: str
    needs: tuple[str, ...]
    find: Callable[[Subject], Iterator[Finding]] = field(repr=False)


def check(subject: Subject) -> list[Finding]:
    """Ask all rules.

    Parameters
    ----------
    subject : Subject
        What is known of a material or film.

    Returns
    -------
    list of Finding
        Everything found, in the order of `RULES`.
    """
    found: list[Finding] = []
    for rule in RULES:
        if all(getattr(subject, one) is not None for one in rule.needs):
            found += rule.find(subject)
    return found


def _sorption_rises(subject: Subject) -> Iterator[Finding]:
    storage = subject.storage
    assert storage is not None
    content = storage.content(np.log(np.concatenate(([1e-4], np.linspace(0.005, 1.0, 400)))))
    if not (np.all(np.isfinite(content)) and np.all(np.diff(content) > 0.0)):
        yield Finding("storage", "", "water content must rise strictly with humidity")
    elif not 0.0 <= content[0] <= 0.5 * float(storage.content(np.log(np.array([0.5])))[0]):
        dry = f"{content[0]:.3g} kg/m3 at 0.01 %"
        yield Finding("storage", dry, "water content must begin at 0 in dry air")
    if not np.isclose(content[-1], storage.free, rtol=1e-6):
        problem = f"does not meet the curve, which ends at {content[-1]:.4g} kg/m3"
        yield Finding("storage.free", f"{storage.free:.4g} kg/m3", problem)


def _water_fits_in_the_pores(subject: Subject) -> Iterator[Finding]:
    storage, density = subject.storage, subject.density
    assert storage is not None
    assert density is not None
    substance = WOOD_SUBSTANCE if subject.wood else HEAVIEST_SUBSTANCE
    pores = air.WATER_DENSITY * max(1.0 - density / substance, 0.0)
    what = "wood" if subject.wood else "a porous material"
    if subject.sorbs and storage.holds > pores:
        problem = f"{what} of {density:g} kg/m3 has pores for {pores:.4g} kg/m3 of water at most"
        remedy = "give what it holds at most, free saturation or more"
        yield Finding("storage.holds", f"{storage.holds:.4g} kg/m3", problem, remedy)
    if subject.porosity is not None and storage.holds > air.WATER_DENSITY * subject.porosity:
        most = air.WATER_DENSITY * subject.porosity
        problem = f"its porosity leaves room for {most:.4g} kg/m3 of water"
        remedy = "give what it holds at most, free saturation or more"
        yield Finding("storage.holds", f"{storage.holds:.4g} kg/m3", problem, remedy)
    if storage.holds < storage.free:
        problem = f"must not be below free saturation, {storage.free:g} kg/m3"
        remedy = "give what it holds at most, free saturation or more"
        yield Finding("storage.holds", f"{storage.holds:.4g} kg/m3", problem, remedy)


def _wet_cup_not_below_dry_cup(subject: Subject) -> Iterator[Finding]:
    assert subject.vapor is not None
    rh, value = subject.vapor
    falling = np.diff(value) < 0.0
    if np.any(falling) and not subject.falls:
        at = int(np.argmax(falling))
        yield Finding(
            "vapor",
            f"{value[at + 1] / value[at]:.3g} times as much at {100 * rh[at + 1]:g} % as at "
            f"{100 * rh[at]:g} %",
            "lets less vapor through when damp; a wet cup is not below the dry cup",
            'exchange them, or say why in falls = "..."',
        )
    if subject.falls and not np.any(falling):
        problem = "says that vapor passes less readily when damp, and the values do not"
        yield Finding("vapor.falls", subject.falls, problem, refused=False)


def _not_more_open_than_still_air(subject: Subject) -> Iterator[Finding]:
    assert subject.vapor is not None
    most = STILL_AIR_SLACK * float(air.still_air_permeability(23.0))
    given = float(np.max(subject.vapor[1]))
    if subject.film and given > most / THINNEST_FILM:
        problem = f"lets more vapor through than {1e3 * THINNEST_FILM:g} mm of still air"
        yield Finding("vapor", f"{given:.3g} kg/(m2 s Pa)", problem)
    if not subject.film and given > most:
        problem = f"lets more vapor through than still air, {most:.3g} kg/(m s Pa)"
        remedy = "check the unit and the thickness of the sample"
        yield Finding("vapor", f"{given:.3g} kg/(m s Pa)", problem, remedy)


def _within(
    subject: Subject,
    group: str,
    value: float,
    unit: str,
    low_high: Callable[..., tuple[float, float]],
) -> Iterator[Finding]:
    noun = {
        "density": "density",
        "conductivity": "conductivity",
        "heat_capacity": "specific heat",
    }[group]
    shown = f"{value:.4g} {unit}"
    low, high = low_high(POSSIBLE)
    if not low <= value <= high:
        problem = f"no building material has such a {noun}: {low:g} to {high:g} {unit}"
        yield Finding(group, shown, problem, "check the unit")
        return
    if subject.kind in PLAUSIBLE:
        low, high = low_high(PLAUSIBLE[subject.kind])
        if not low <= value <= high:
            problem = f"the {noun} of {subject.kind} is mostly {low:g} to {high:g} {unit}"
            yield Finding(group, shown, problem, "check the unit and the kind", refused=False)


def _density_plausible(subject: Subject) -> Iterator[Finding]:
    assert subject.density is not None
    yield from _within(subject, "density", subject.density, "kg/m3", lambda one: one.density)


def _conductivity_plausible(subject: Subject) -> Iterator[Finding]:
    assert subject.conductivity is not None
    values = subject.conductivity[1]
    unit = "W/(m K)"
    yield from _within(
        subject, "conductivity", float(values[0]), unit, lambda one: one.conductivity
    )
    if np.any(np.diff(values) < 0.0):
        problem = "conducts less when damp, which no building material does"
        yield Finding("conductivity.points", "", problem)


def _heat_capacity_plausible(subject: Subject) -> Iterator[Finding]:
    assert subject.heat_capacity is not None
    unit = "J/(kg K)"
    yield from _within(
        subject, "heat_capacity", subject.heat_capacity, unit, lambda one: one.heat_capacity
    )


def _liquid_has_room(subject: Subject) -> Iterator[Finding]:
    if not subject.sorbs:
        problem = "liquid moves, and the storage is that of pore air"
        remedy = 'write transport = "none", or give the sorption'
        yield Finding("liquid", "", problem, remedy)


def _absorption_and_diffusivity_agree(subject: Subject) -> Iterator[Finding]:
    assert subject.storage is not None
    assert subject.diffusivity is not None
    assert subject.absorption is not None
    if not subject.sorbs:
        return
    implied = absorption_from_diffusivity(subject.diffusivity, subject.storage.free)
    low, high = sorted((implied, subject.absorption))
    if high > ABSORPTION_FACTOR * low:
        yield Finding(
            "liquid.absorption",
            f"{subject.absorption:.3g} kg/(m2 s^0.5)",
            f"the diffusivity draws up {implied:.3g} kg/(m2 s^0.5), which differs by more than a "
            f"factor of {ABSORPTION_FACTOR:g}",
            "check both, and the water content at free saturation",
        )


def _absorption_plausible(subject: Subject) -> Iterator[Finding]:
    assert subject.storage is not None
    assert subject.diffusivity is not None
    if not subject.sorbs:
        return
    implied = absorption_from_diffusivity(subject.diffusivity, subject.storage.free)
    if not 1e-6 <= implied <= 2.0:
        problem = "draws up water as no building material does: 1e-6 to 2 kg/(m2 s^0.5)"
        yield Finding("liquid", f"{implied:.3g} kg/(m2 s^0.5)", problem, "check the unit")


def _wood_follows_the_handbook(subject: Subject) -> Iterator[Finding]:
    if not subject.wood:
        return
    assert subject.storage is not None
    assert subject.density is not None
    if subject.density <= 0.0:
        return  # refused by itself
    rh = np.array([0.2, 0.35, 0.5, 0.65, 0.8, 0.9, 0.95])
    found = subject.storage.content(np.log(rh)) / subject.density
    offset = PANEL_OFFSET if subject.panel else 0.0
    expected = np.maximum(wood_moisture_content(rh, 21.1) - offset, 0.0)
    away = found - expected
    worst = int(np.argmax(np.abs(away)))
    if abs(away[worst]) > WOOD_TOLERANCE + 1e-9:
        what = "panels, 2 %MC below solid wood" if subject.panel else "solid wood"
        yield Finding(
            "storage",
            f"{100 * found[worst]:.1f} %MC at {100 * rh[worst]:g} %",
            f"lies {100 * abs(away[worst]):.1f} %MC from the Wood Handbook's curve for {what}, "
            f"{100 * expected[worst]:.1f} %MC",
            "" if subject.panel else "write panel = true for glued panels and fiberboard",
            refused=False,
        )


def _value_within_its_spread(subject: Subject) -> Iterator[Finding]:
    for spread in subject.spreads:
        if not spread.holds_given:
            group, _, key = spread.field.partition(".")
            place = f"{group}.{key}_spread" if key else f"{group}.spread"
            problem = (
                f"the value used, {spread.given:.4g} in SI, lies outside of it: {spread.low:.4g} to "
                f"{spread.high:.4g}"
            )
            yield Finding(place, spread.text, problem, "widen the range or check the value")


def _says_where_it_holds(subject: Subject) -> Iterator[Finding]:
    if subject.without_range:
        yield Finding(
            ", ".join(subject.without_range),
            "",
            "does not say where it holds",
            'add such as valid = ["10 degC to 40 degC"] or ["50 %RH to 98 %RH"]',
            refused=False,
        )


def _enough_points(subject: Subject) -> Iterator[Finding]:
    assert subject.sorption_points is not None
    if subject.sorption_points < FEWEST_POINTS:
        yield Finding(
            "storage.points",
            str(subject.sorption_points),
            "a monotone cubic through so few points says little about what lies between",
            'fit a formula: fit = "Guggenheim-Anderson-de Boer"',
            refused=False,
        )


def _fit_is_near(subject: Subject) -> Iterator[Finding]:
    assert subject.fit_error is not None
    if subject.fit_error > FIT_TOLERANCE:
        yield Finding(
            "storage.fit",
            f"{100 * subject.fit_error:.0f} %",
            f"the formula misses a point by more than {100 * FIT_TOLERANCE:g} %",
            "choose another formula, or leave fit out for a monotone cubic",
            refused=False,
        )


def _mold_can_be_judged(subject: Subject) -> Iterator[Finding]:
    if not subject.mold_class:
        problem = "is missing: growth of mold on it cannot be judged"
        yield Finding("mold", "", problem, "add [mold] with a sensitivity", refused=False)


RULES: tuple[Rule, ...] = (
    Rule(
        "Sorption rises strictly, from 0 in dry air to free saturation.",
        ("storage",),
        _sorption_rises,
    ),
    Rule(
        "What it holds is no less than free saturation, and fits in the pores.",
        ("storage", "density"),
        _water_fits_in_the_pores,
    ),
    Rule(
        "Vapor passes no less readily when damp, unless the file says why.",
        ("vapor",),
        _wet_cup_not_below_dry_cup,
    ),
    Rule("Nothing is more open than still air.", ("vapor",), _not_more_open_than_still_air),
    Rule("Density lies where its kind does.", ("density",), _density_plausible),
    Rule(
        "Conductivity lies where its kind does, and does not fall with water.",
        ("conductivity",),
        _conductivity_plausible,
    ),
    Rule("Specific heat lies where its kind does.", ("heat_capacity",), _heat_capacity_plausible),
    Rule("Where liquid moves, there is sorption.", ("diffusivity",), _liquid_has_room),
    Rule(
        "Absorption coefficient and diffusivity agree within a factor of 2.",
        ("storage", "diffusivity", "absorption"),
        _absorption_and_diffusivity_agree,
    ),
    Rule(
        "Water is drawn up as some building material does.",
        ("storage", "diffusivity"),
        _absorption_plausible,
    ),
    Rule(
        "Wood lies within 3 %MC of the Wood Handbook's curve; panels of 2 %MC below it.",
        ("storage", "density"),
        _wood_follows_the_handbook,
    ),
    Rule("A value lies within the spread of its sources.", (), _value_within_its_spread),
    Rule("Every group says where it holds.", (), _says_where_it_holds),
    Rule("A monotone cubic has four points or more.", ("sorption_points",), _enough_points),
    Rule("A fitted formula misses no point by more than 15 %.", ("fit_error",), _fit_is_near),
    Rule("A mold sensitivity class is given.", (), _mold_can_be_judged),
)
"""All rules, in the order in which they are asked."""
