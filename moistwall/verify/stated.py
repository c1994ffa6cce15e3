"""A problem as the solver takes it: frozen arrays of what a file has stated."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from moistwall.material import Material
from moistwall.section import Section
from moistwall.verify.outputs import Wanted

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Start:
    """State of one layer at the start, one value or one for each of its cells.

    Parameters
    ----------
    temperature : (1,) or (n_cells,) ndarray
        [degC]
    rh : (1,) or (n_cells,) ndarray or None
        Relative humidity; None where the content is given. [-]
    content : (1,) or (n_cells,) ndarray or None
        Water content; None where the humidity is given. [kg/m3]
    """

    temperature: Array
    rh: Array | None
    content: Array | None


@dataclass(frozen=True)
class Problem:
    """A problem that has been read and checked.

    Parameters
    ----------
    title, source : str
        What it is, and where its definition comes from.
    mode : {'heat and moisture', 'isothermal', 'heat only'}
        What is solved.
    file : str
        Its file, for messages; empty if it came from data.
    key : str
        SHA-256 of the content of its files, in hexadecimal.
    section : Section
        Layers, films and gaps from outside to inside.
    widths : mapping of str to (n_cells,) ndarray
        Cells of the layers for which the file gives them, by layer, outside to inside. [m]
    start : mapping of str to Start
        State at the start, by layer.
    hours : int
        Length. [h]
    loads : (n_hours + 1, 15 + n_gaps) ndarray
        What acts on it at the hour marks: seven columns for the outside and seven for the inside
        (air or equivalent temperature [degC], vapor pressure [Pa], heat film [W/(m2 K)], vapor film
        [kg/(m2 s Pa)], sun [W/m2], long-wave [W/m2], rain [kg/(m2 s)]), air changes of each gap
        [1/h], and dry air through the section from outside to inside [kg/(m2 s)].
    is_step : (15 + n_gaps,) ndarray of int
        1 where the value in row k holds from hour k - 1 to hour k; otherwise straight lines.
    absorptance, emittance : tuple of float
        Of the outer and the inner surface. [-]
    pressure : float
        Air pressure. [Pa]
    outputs : tuple of Wanted
        Columns of the answer.
    output_hours : (n,) ndarray of int
        Hours at whose end they are wanted, rising.
    """

    title: str
    source: str
    mode: str
    file: str
    key: str
    section: Section
    widths: Mapping[str, Array]
    start: Mapping[str, Start]
    hours: int
    loads: Array
    is_step: NDArray[np.int64]
    absorptance: tuple[float, float]
    emittance: tuple[float, float]
    pressure: float
    outputs: tuple[Wanted, ...]
    output_hours: NDArray[np.int64]

    @property
    def materials(self) -> dict[str, Material]:
        """Materials of the layers, by layer."""
        return {layer.name: layer.material for layer in self.section.layers}
