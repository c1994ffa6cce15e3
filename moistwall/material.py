"""One material: what it stores, lets through as vapor and as liquid, and how it conducts heat.

Everything here is SI, frozen, and checked when built. A material knows nothing of files or units.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

from moistwall import air
from moistwall.errors import Fault, MaterialError

Array = NDArray[np.float64]
Quality = Literal["published", "handbook", "memory", "estimate"]

REFERENCE_TEMPERATURE = 20.0
"""Temperature at which storage is given over suction and over relative humidity alike. [degC]"""

DRY_CUP_RH, WET_CUP_RH = 0.25, 0.75
"""Mean relative humidity across the sample in the dry-cup and wet-cup tests of ASTM E96
(0 and 50 %, 50 and 100 %). [-]"""

MOLD_CLASSES = ("very sensitive", "sensitive", "medium resistant", "resistant")
"""Sensitivity classes of surfaces (ASHRAE 160), from what mold likes best to what it likes least."""

AIR_ENTRY = 1.0e4
"""Suction at which the pores of a building board are full but for the last: estimate, a pore
radius of some 15 micrometers. [Pa]"""


@dataclass(frozen=True)
class Range:
    """A range as given.

    Parameters
    ----------
    low, high : float
        Ends in the SI unit of the kind.
    kind : str
        Name in `moistwall.units.KINDS`; 'moisture_content' for percent of dry mass, 'share' for
        any other percentage.
    text : str
        As it stands in the file.
    """

    low: float
    high: float
    kind: str
    text: str


@dataclass(frozen=True)
class Source:
    """Where a number comes from.

    Parameters
    ----------
    text : str
        The publication, table or reasoning.
    quality : {'published', 'handbook', 'memory', 'estimate'}
        How far it can be trusted; 'memory' means that the source was named but not seen.
    valid : tuple of Range
        Where the number holds: temperatures, humidities, water contents.
    """

    text: str
    quality: Quality
    valid: tuple[Range, ...] = ()


@dataclass(frozen=True)
class Storage:
    """Moisture stored at equilibrium, as a function of the humidity of the pore air.

    Parameters
    ----------
    content : callable
        Water content over the natural logarithm of relative humidity at 20 degC, for arrays of
        ln(rh) <= 0. Rises strictly from about 0 to ``free``. [kg/m3]
    free : float
        Water content at relative humidity 1 (free saturation). [kg/m3]
    holds : float
        Water content above which the material lets water run down. [kg/m3]
    over_suction : bool
        True if the curve is a function of suction, so that at another temperature the same water
        content belongs to rh = rh20 ** (293.15 K / T); False if it is a function of humidity alone.
    """

    content: Callable[[Array], Array]
    free: float
    holds: float
    over_suction: bool = False


@dataclass(frozen=True)
class Material:
    """One homogeneous material.

    Parameters
    ----------
    name : str
        Name that an assembly uses.
    kind : str
        Folder of the library, such as 'foam' or 'sheathing'.
    density : float
        Dry bulk density. [kg/m3]
    heat_capacity : float
        Specific heat of the dry material. [J/(kg K)]
    conductivity_content : (n,) ndarray
        Water contents at which conductivity is given, rising from 0. [kg/m3]
    conductivity : (n,) ndarray
        Thermal conductivity at them and at ``conductivity_temperature``; linear between,
        constant beyond the last. [W/(m K)]
    vapor_rh : (k,) ndarray
        Relative humidities at which permeability is given, rising. [-]
    vapor_permeability : (k,) ndarray
        Permeability for vapor pressure at them; linear between, constant beyond. [kg/(m s Pa)]
    storage : Storage
        Moisture stored at equilibrium.
    diffusivity : callable or None
        Liquid diffusivity over water content, for arrays of content in [0, holds]; None where
        the material has no capillary transport. [m2/s over kg/m3]
    conductivity_slope : float
        Relative change of conductivity per kelvin. [1/K]
    conductivity_temperature : float
        Mean temperature at which conductivity is given. [degC]
    permeability_slope : float
        Relative change of permeability per kelvin from 20 degC. [1/K]
    emittance, absorptance : float
        Long-wave emittance and solar absorptance of a bare surface of it. [-]
    mold_class : str
        Sensitivity class of its surface; empty if not given.
    wood : bool
        True if its water content is read as percent of dry mass (wood and panels).
    sources : dict of str to Source
        Source of each number, by the name of the number.

    Raises
    ------
    MaterialError
        If a number cannot be right; carries every fault found.
    """

    name: str
    kind: str
    density: float
    heat_capacity: float
    conductivity_content: Array
    conductivity: Array
    vapor_rh: Array
    vapor_permeability: Array
    storage: Storage
    diffusivity: Callable[[Array], Array] | None = None
    conductivity_slope: float = 0.0
    conductivity_temperature: float = 24.0
    permeability_slope: float = 0.0
    emittance: float = 0.9
    absorptance: float = 0.6
    mold_class: str = ""
    wood: bool = False
    sources: dict[str, Source] = field(default_factory=dict)

    def __post_init__(self) -> None:
        faults: list[Fault] = []

        def require(ok: bool, what: str, value: object, problem: str) -> None:
            if not ok:
                faults.append(Fault(f"material '{self.name}'", what, str(value), problem))

        def finite(what: str, value: float) -> None:
            require(
                np.isfinite(value) and value > 0, what, value, "must be a finite number above 0"
            )

        finite("density", self.density)
        finite("heat_capacity", self.heat_capacity)
        for what, x, y in (
            ("conductivity", self.conductivity_content, self.conductivity),
            ("vapor_permeability", self.vapor_rh, self.vapor_permeability),
        ):
            x, y = np.asarray(x, float), np.asarray(y, float)
            require(
                x.shape == y.shape and x.size > 0, what, x.shape, "needs one value for each point"
            )
            require(
                bool(np.all(np.isfinite(x)) and np.all(np.diff(x) > 0)), what, x, "points must rise"
            )
            require(
                bool(np.all(np.isfinite(y)) and np.all(y > 0)), what, y, "values must be above 0"
            )
        finite("storage.free", self.storage.free)
        require(
            self.storage.holds >= self.storage.free,
            "storage.holds",
            self.storage.holds,
            f"must not be below free saturation, {self.storage.free:g} kg/m3",
        )
        for what in ("emittance", "absorptance"):
            value = getattr(self, what)
            require(0.0 <= value <= 1.0, what, value, "must lie between 0 and 1")
        if not faults:
            ln_rh = np.log(np.linspace(1e-4, 1.0, 400))
            content = self.storage.content(ln_rh)
            require(
                bool(np.all(np.diff(content) > 0) and content[0] >= 0),
                "storage",
                "curve",
                "water content must rise strictly with humidity",
            )
            require(
                bool(np.isclose(content[-1], self.storage.free, rtol=1e-6)),
                "storage.free",
                self.storage.free,
                f"does not meet the curve, which ends at {content[-1]:g} kg/m3",
            )
        if faults:
            raise MaterialError(faults)

    @property
    def capillary(self) -> bool:
        """True if liquid moves in the material by suction."""
        return self.diffusivity is not None


@dataclass(frozen=True)
class FilmMaterial:
    """A sheet or coat as the library knows it: a permeance and next to no storage.

    Parameters
    ----------
    name, kind : str
        Name that an assembly uses, and folder of the library.
    rh : (n,) ndarray
        Mean relative humidities across it at which permeance is given, rising. [-]
    permeance : (n,) ndarray
        Permeance at them; linear between, constant beyond. [kg/(m2 s Pa)]
    emittance, absorptance : float or None
        Long-wave emittance and solar absorptance where it faces air; None keeps those of the
        layer behind it. [-]
    mold_class : str
        Sensitivity class of its surface; empty if not given.
    sources : dict of str to Source
        Source of each number, by the name of the number.

    Raises
    ------
    MaterialError
        If a number cannot be right; carries every fault found.
    """

    name: str
    kind: str
    rh: Array
    permeance: Array
    emittance: float | None = None
    absorptance: float | None = None
    mold_class: str = ""
    sources: dict[str, Source] = field(default_factory=dict)

    def __post_init__(self) -> None:
        rh, permeance = np.asarray(self.rh, float), np.asarray(self.permeance, float)
        faults: list[Fault] = []
        where = f"film '{self.name}'"
        if rh.shape != permeance.shape or rh.size == 0:
            faults.append(Fault(where, "permeance", "", "needs one value for each point"))
        if not (np.all(np.isfinite(rh)) and np.all(np.diff(rh) > 0)):
            faults.append(Fault(where, "rh", str(rh), "points must rise"))
        if not (np.all(np.isfinite(permeance)) and np.all(permeance > 0)):
            faults.append(Fault(where, "permeance", str(permeance), "values must be above 0"))
        for what in ("emittance", "absorptance"):
            value = getattr(self, what)
            if value is not None and not 0.0 <= value <= 1.0:
                faults.append(Fault(where, what, str(value), "must lie between 0 and 1"))
        if faults:
            raise MaterialError(faults)


@dataclass(frozen=True)
class FacedBoard:
    """A board as it is sold: a core between the facers or the coat that it comes with.

    Whatever the thickness of the board, its facers are the same; only the core grows.

    Parameters
    ----------
    name, kind : str
        Name that an assembly uses, and folder of the library.
    core : Material
        What has the thickness.
    outside, inside : FilmMaterial or None
        Film on the outer and on the inner face.
    """

    name: str
    kind: str
    core: Material
    outside: FilmMaterial | None = None
    inside: FilmMaterial | None = None


def suction_from_ln_rh(ln_rh: Array, t: float = REFERENCE_TEMPERATURE) -> Array:
    """Suction of pore water in equilibrium with air, by Kelvin's equation.

    Parameters
    ----------
    ln_rh : ndarray
        Natural logarithm of relative humidity. [-]
    t : float
        Temperature. [degC]

    Returns
    -------
    ndarray
        Suction, -rho_w R_v T ln(rh). [Pa]
    """
    return -air.WATER_DENSITY * air.GAS_CONSTANT_VAPOR * (t + air.KELVIN) * ln_rh


def ln_rh_from_suction(suction: Array, t: float = REFERENCE_TEMPERATURE) -> Array:
    """Natural logarithm of the relative humidity in equilibrium with this suction [Pa]."""
    return -suction / (air.WATER_DENSITY * air.GAS_CONSTANT_VAPOR * (t + air.KELVIN))


def storage_from_table(
    rh: Array, content: Array, free: float, holds: float, *, over_suction: bool = False
) -> Storage:
    """Storage through given points.

    Parameters
    ----------
    rh : (n,) ndarray
        Relative humidities strictly between 0 and 1, rising. [-]
    content : (n,) ndarray
        Water content at them, rising. [kg/m3]
    free, holds : float
        Water content at relative humidity 1, and at which water runs off. [kg/m3]
    over_suction : bool
        See `Storage`.

    Returns
    -------
    Storage
        A monotone cubic over relative humidity from (0, 0) through the points. From the last one
        to free saturation content falls with the logarithm of suction down to `AIR_ENTRY`: tables
        of sorption end near 98 %, and most of what lies above fills pores that empty within the
        last percent (estimate; a table may give points up there as well).
    """
    rh, content = np.asarray(rh, float), np.asarray(content, float)
    curve = PchipInterpolator(np.concatenate(([0.0], rh)), np.concatenate(([0.0], content)))
    last_rh, last = float(rh[-1]), float(content[-1])
    last_suction = float(suction_from_ln_rh(np.log(rh[-1])))
    decades = np.log1p(last_suction / AIR_ENTRY)

    def content_over(ln_rh: Array) -> Array:
        humidity = np.exp(ln_rh)
        suction = np.minimum(suction_from_ln_rh(np.asarray(ln_rh, float)), last_suction)
        left = np.log1p(suction / AIR_ENTRY) / decades
        above = free - (free - last) * left
        return np.where(humidity < last_rh, curve(np.minimum(humidity, last_rh)), above)

    return Storage(content_over, free, holds, over_suction)


def storage_of_pore_air(porosity: float, holds: float) -> Storage:
    """Storage of a material that sorbs nothing: the vapor in its pores at 20 degC.

    Parameters
    ----------
    porosity : float
        Share of the volume that is air. [-]
    holds : float
        Water content at which condensate runs off. [kg/m3]

    Returns
    -------
    Storage
        Ideal gas: 0.01729 kg/m3 at saturation in pure air.
    """
    kelvin = REFERENCE_TEMPERATURE + air.KELVIN
    density = air.saturation_pressure(REFERENCE_TEMPERATURE) / (air.GAS_CONSTANT_VAPOR * kelvin)
    saturated = density * porosity
    return Storage(lambda ln_rh: saturated * np.exp(ln_rh), saturated, holds)


def storage_over_suction(
    free: float, holds: float, inverse_scale: float, exponent: float, power: float
) -> Storage:
    """Storage as the usual function of suction, w = free / (1 + (a P)^n)^m.

    Parameters
    ----------
    free, holds : float
        Water content at zero suction, and at which water runs off. [kg/m3]
    inverse_scale : float
        a. [1/Pa]
    exponent, power : float
        n and m. [-]

    Returns
    -------
    Storage
        Curve over suction.

    References
    ----------
    EN 15026:2007, annex A, with free 146 kg/m3, a 8e-8 1/Pa, n 1.6, m 0.375 (from memory);
    van Genuchten 1980, Soil Sci. Soc. Am. J. 44.
    """

    def content(ln_rh: Array) -> Array:
        suction = suction_from_ln_rh(np.minimum(ln_rh, 0.0))
        return np.asarray(free / (1.0 + (inverse_scale * suction) ** exponent) ** power)

    return Storage(content, free, holds, over_suction=True)


def storage_over_humidity(free: float, holds: float, scale: float, power: float) -> Storage:
    """Storage as a power of the logarithm of humidity, w = free / (1 - ln(rh) / A)^n.

    Parameters
    ----------
    free, holds : float
        Water content at relative humidity 1, and at which water runs off. [kg/m3]
    scale, power : float
        A and n. [-]

    Returns
    -------
    Storage
        Curve over relative humidity.

    References
    ----------
    Hansen 1986, Sorption isotherms, a catalogue, DTU TR 162/86; HAMSTAD benchmark 2 (Hagentoft
    2002, report R-02:8) has free 116 kg/m3, A 0.118, n 0.869 (from memory).
    """
    return Storage(
        lambda ln_rh: np.asarray(free / (1.0 - np.minimum(ln_rh, 0.0) / scale) ** power),
        free,
        holds,
    )


def wood_moisture_content(rh: Array, t: float) -> Array:
    """Equilibrium moisture content of wood.

    Parameters
    ----------
    rh : ndarray
        Relative humidity, 0 to 1. [-]
    t : float
        Temperature, about -1 to 70. [degC]

    Returns
    -------
    ndarray
        Mass of water in a mass of dry wood. [kg/kg]

    Notes
    -----
    A fit to the tables for practical use, good to about 1 percent of moisture content; species,
    history and sapwood move a piece of wood by more.

    References
    ----------
    Simpson 1998, FPL-RN-0268 (Hailwood-Horrobin, two hydrates), and USDA Wood Handbook ch. 4,
    eq. 4-5, coefficients for degC.
    """
    wood = 349.0 + 1.29 * t + 0.0135 * t**2
    k = 0.805 + 0.000736 * t - 0.00000273 * t**2
    k1 = 6.27 - 0.00938 * t - 0.000303 * t**2
    k2 = 1.91 + 0.0407 * t - 0.000293 * t**2
    kh = k * np.asarray(rh, float)
    dissolved = kh / (1.0 - kh)
    hydrated = (k1 * kh + 2.0 * k1 * k2 * kh**2) / (1.0 + k1 * kh + k1 * k2 * kh**2)
    return 18.0 / wood * (dissolved + hydrated)


def storage_of_wood(density: float, t: float, free: float, holds: float) -> Storage:
    """Storage of solid wood: `wood_moisture_content` up to 98 %, free water above.

    Parameters
    ----------
    density : float
        Dry density. [kg/m3]
    t : float
        Temperature at which sorption is taken. [degC]
    free, holds : float
        Water content at relative humidity 1, and at which water runs off. [kg/m3]

    Returns
    -------
    Storage
        Curve over relative humidity.
    """
    rh = np.concatenate((np.arange(1, 98) / 100.0, [0.98]))
    return storage_from_table(rh, density * wood_moisture_content(rh, t), free, holds)


def diffusivity_from_absorption(absorption: float, free: float) -> Callable[[Array], Array]:
    """Liquid diffusivity that belongs to a water absorption coefficient.

    Parameters
    ----------
    absorption : float
        Water absorption coefficient A. [kg/(m2 s^0.5)]
    free : float
        Water content at free saturation. [kg/m3]

    Returns
    -------
    callable
        Diffusivity over water content, constant above free saturation. [m2/s over kg/m3]

    Notes
    -----
    D = 3.8 (A / w_f)^2 1000^(w / w_f - 1): Kuenzel 1995, from memory.
    """
    scale = 3.8 * (absorption / free) ** 2
    return lambda content: scale * 1000.0 ** (np.minimum(content / free, 1.0) - 1.0)


def diffusivity_from_table(content: Array, diffusivity: Array) -> Callable[[Array], Array]:
    """Liquid diffusivity through given points.

    Parameters
    ----------
    content : (n,) ndarray
        Water contents, rising. [kg/m3]
    diffusivity : (n,) ndarray
        Diffusivity at them. [m2/s]

    Returns
    -------
    callable
        Its logarithm linear between the points, constant beyond. [m2/s over kg/m3]
    """
    at, logarithm = np.asarray(content, float), np.log(np.asarray(diffusivity, float))
    return lambda wanted: np.exp(np.interp(wanted, at, logarithm))
