"""What a section is exposed to beside sun and air: rain, leaks, the openings of its gaps, a wet event.

Plain frozen numbers in SI, as everything in a section; each class names what it stands for and its
source or that it has none.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Spot:
    """A place in a section that water or air can reach: the outer or inner face of a layer.

    Parameters
    ----------
    part : str
        Name of a layer of the section.
    face : {'outer', 'inner'}
        Its face towards the outside or the inside. Where it borders a gap or an end it is the surface
        in air, else the outermost or innermost cell.
    under_films : bool
        True for the cell behind the films that lie on a face that borders a gap or an end, in place of
        the surface in air before them.
    """

    part: str
    face: Literal["outer", "inner"]
    under_films: bool = False


@dataclass(frozen=True)
class RainLoad:
    """Driving rain on the outer face.

    Parameters
    ----------
    exposure_factor, deposition_factor : float
        F_E and F_D of ASHRAE 160 (see `moistwall.loads.driving_rain`). [-]
    """

    exposure_factor: float
    deposition_factor: float


@dataclass(frozen=True)
class RainLeak:
    """A share of the driving rain that gets behind the cladding.

    Parameters
    ----------
    name : str
        What the report calls it; unique in the section.
    spot : Spot
        Where it lands.
    share : float
        Share of the driving rain on the wall. [-]
    """

    name: str
    spot: Spot
    share: float


@dataclass(frozen=True)
class Pour:
    """Water that arrives once: a leak in a storm, a flood against the wall.

    Parameters
    ----------
    name : str
        What the report calls it; unique among pours and rain leaks.
    spot : Spot
        Where it lands.
    first_hour : int
        Index of the first hour of the year in which it arrives, from 0.
    hours : int
        Number of hours over which it arrives evenly.
    amount : float
        All of it. [kg/m2]
    """

    name: str
    spot: Spot
    first_hour: int
    hours: int
    amount: float


@dataclass(frozen=True)
class CoolingOff:
    """Hours in which the room is not cooled, and its air follows the outdoor air.

    The room has the mean outdoor temperature of the hours before, and more, and the mean outdoor vapor
    pressure of the same hours; outdoors the year is followed by itself.

    Parameters
    ----------
    name : str
        What the report calls it.
    kind : {'cooling off', 'shut'}
        Cooling fails while the building is used, its windows open; or it stands shut.
    first_hour : int
        Index of the first such hour of the year, from 0.
    hours : int
        Number of them; they end within the year.
    mean_hours : int
        Number of hours, up to the present one, of which the mean is taken.
    warmer : float
        Temperature of the room above that mean. [K]
    """

    name: str
    kind: Literal["cooling off", "shut"]
    first_hour: int
    hours: int
    mean_hours: int = 24
    warmer: float = 0.0


@dataclass(frozen=True)
class Openings:
    """How outdoor air finds its way through a gap, for flow from stack and wind.

    The pressure that drives the air is spent as in ``loss rho v^2 / 2 + friction v``.

    Parameters
    ----------
    rise : float
        Height between the lower and the upper opening, along the vertical; 0 for a level gap. [m]
    length : float
        Length of the path through the gap: its volume per width is depth times length. [m]
    loss : float
        Sum of the loss coefficients of openings, screens and turns, each times (gap area / its free
        area)^2. [-]
    friction : float
        Laminar friction along the path, 12 mu length / depth^2. [Pa s/m]
    wind_coefficient : float
        Difference of the wind pressure coefficients of the two openings, of the wind at 10 m. [-]
    """

    rise: float
    length: float
    loss: float
    friction: float
    wind_coefficient: float


@dataclass(frozen=True)
class Leakage:
    """Air through the enclosure, from a blower-door test and the fans of the building.

    Parameters
    ----------
    flow_50 : float
        Volume flow at 50 Pa per area of enclosure. [m3/(s m2)]
    exponent : float
        Exponent of the flow over pressure. [-]
    height : float
        Height of the building over which the stack acts. [m]
    leak_height : float
        Height of this section's leaks above the middle of the building's height. [m]
    shelter : float
        Wind speed at the building over that at 10 m. [-]
    exhaust, supply : float
        Flows of the fans per area of enclosure. [m3/(s m2)]
    share : float
        Share of the enclosure's air through this section, per area, over the mean of all. [-]
    spot : Spot or None
        Where a short cut meets a surface; None spreads the air evenly through the section.
    contact : float
        Share of the short cut's air that takes on the state of that surface. [-]
    stage : str
        Label of the test, such as 'before sealing'.
    """

    flow_50: float
    exponent: float
    height: float
    leak_height: float
    shelter: float
    exhaust: float = 0.0
    supply: float = 0.0
    share: float = 1.0
    spot: Spot | None = None
    contact: float = 1.0
    stage: str = ""


@dataclass(frozen=True)
class Framing:
    """Studs, as a second path beside the clear one.

    Parameters
    ----------
    layer : str
        Name of the layer that the studs interrupt.
    material : str
        Name of what they are made of, for people.
    share : float
        Share of the area that is framing. [-]
    """

    layer: str
    material: str
    share: float


@dataclass(frozen=True)
class Exposure:
    """All of it, for one section.

    Parameters
    ----------
    rain : RainLoad or None
        Driving rain; None leaves it out.
    rain_leaks : tuple of RainLeak
        What of it gets behind the cladding.
    pours : tuple of Pour
        Water that arrives once.
    leakage : Leakage or None
        Air through the section; None leaves it out.
    cooling_off : tuple of CoolingOff
        When the room is not cooled; no two of them at the same hour.
    """

    rain: RainLoad | None = None
    rain_leaks: tuple[RainLeak, ...] = ()
    pours: tuple[Pour, ...] = ()
    leakage: Leakage | None = None
    cooling_off: tuple[CoolingOff, ...] = ()

    @property
    def waters(self) -> tuple[RainLeak | Pour, ...]:
        """All water that arrives at a spot, rain leaks first."""
        return (*self.rain_leaks, *self.pours)

    @property
    def short_cuts(self) -> tuple[Leakage, ...]:
        """The leakage, if its air takes a short cut; else nothing."""
        leakage = self.leakage
        return () if leakage is None or leakage.spot is None else (leakage,)


NOTHING = Exposure()
"""Neither rain nor leaks."""

__all__ = [
    "NOTHING",
    "CoolingOff",
    "Exposure",
    "Framing",
    "Leakage",
    "Openings",
    "Pour",
    "RainLeak",
    "RainLoad",
    "Spot",
]
