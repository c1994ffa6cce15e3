"""One material: what it stores, lets through as vapor and as liquid, and how it conducts heat.

Everything here is SI, frozen, and checked when built. A material knows nothing of files or units.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

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

    def __repr__(self) -> str:
        """Say which material it is, in a line."""
        return f"<Material {self.name!r}: {self.kind}, {self.density:.4g} kg/m3>"

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

    def __repr__(self) -> str:
        """Say which film it is, in a line."""
        return (
            f"<FilmMaterial {self.name!r}: {self.kind}, {self.permeance[0]:.3g} kg/(m2 s Pa) dry>"
        )

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
