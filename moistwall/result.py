"""Everything a run knows, as plain arrays and names; saved and read back without loss.

Element k of an hourly array is the value at the end of hour k + 1 of the year, or the sum over that
hour. Flows count from outside to inside.
"""

from __future__ import annotations

import dataclasses
import json
import zipfile
from dataclasses import dataclass, field
from importlib import import_module
from pathlib import Path
from typing import IO, Any

import numpy as np
from numpy.typing import NDArray

from moistwall.errors import ResultError
from moistwall.section import Gap, Layer, Section
from moistwall.whole_files import write_whole_by

Array = NDArray[np.float64]

FORMAT = "moistwall result 3"


@dataclass(frozen=True)
class Part:
    """A layer, film or gap as it stands in the section, outside to inside.

    Parameters
    ----------
    name, kind, material : str
        Name; 'layer', 'film', 'facer' or 'gap'; kind of material from the library ('foam', 'wood'
        ...) or kind of gap.
    thickness : float
        Thickness or depth; 0 for a film. [m]
    made_of : str
        Name of its material in the library; empty for a gap.
    density : float
        Dry density of a layer; 0 for what is none. [kg/m3]
    wood : bool
        Whether its water is read in percent of dry mass.
    """

    name: str
    kind: str
    material: str
    thickness: float
    made_of: str = ""
    density: float = 0.0
    wood: bool = False


def parts_of(section: Section) -> tuple[Part, ...]:
    """Layers, films and gaps as a result tells them.

    Parameters
    ----------
    section : Section
        The section.

    Returns
    -------
    tuple of Part
        From outside to inside.
    """
    return tuple(
        Part(
            part.name,
            "layer",
            part.material.kind,
            part.thickness,
            part.material.name,
            part.material.density,
            part.material.wood,
        )
        if isinstance(part, Layer)
        else Part(part.name, "gap", part.kind, part.depth)
        if isinstance(part, Gap)
        else Part(part.name, "facer" if part.facer else "film", "", 0.0, part.made_of)
        for part in section.parts
    )


@dataclass(frozen=True)
class Place:
    """One side of an interface, or a surface in air.

    Parameters
    ----------
    name : str
        Name of the interface: what it lies between, 'outer | inner'.
    side : str
        'a' its outer side, 'b' its inner side.
    part : str
        Layer that this side belongs to.
    surface : bool
        True for a surface in air.
    outboard : bool
        True if it lies outside of the water-control layer.
    position : float
        Depth from the outer face. [m]
    face : int
        Column in the arrays of flows.
    mold_of, mold_class : str
        Of the layers and films that meet here, the one that mold likes best, and its sensitivity
        class; empty where none of them has one.
    """

    name: str
    side: str
    part: str
    surface: bool
    outboard: bool
    position: float
    face: int
    mold_of: str = ""
    mold_class: str = ""


@dataclass(frozen=True)
class GapAir:
    """A gap and what the drying potential needs of it.

    Parameters
    ----------
    name, kind : str
        Name and kind of the gap.
    depth : float
        [m]
    vapor_film : float
        Vapor transfer coefficient of each face. [kg/(m2 s Pa)]
    convection : float
        Convective coefficient of each face. [W/(m2 K)]
    face : int
        Column in the arrays of flows; vapor_a leaves its outer face, vapor_b enters its inner face.
    inner_cell : int
        The skin that is its inner face.
    """

    name: str
    kind: str
    depth: float
    vapor_film: float
    convection: float
    face: int
    inner_cell: int


@dataclass(frozen=True)
class Arrival:
    """A place that water or air reaches by a way of its own.

    Parameters
    ----------
    name : str
        What the file calls it; of a leak of air, the label of the test.
    kind : {'rain leak', 'pour', 'air'}
        A share of the rain, water that comes once, or air along a short cut.
    part, face : str
        The layer it reaches, and which of its faces.
    special : int
        Column of the flow arrays whose sides differ by what arrives here.
    cell : int
        The cell it reaches.
    """

    name: str
    kind: str
    part: str
    face: str
    special: int
    cell: int


@dataclass(frozen=True)
class Balance:
    """How well the run closes, recomputed outside the kernel.

    Parameters
    ----------
    moisture_relative, heat_relative : float
        Sum over the hours of |storage change - net flow|, over the sum of |flows| and |storage
        changes|. [-]
    storage_drift : float
        Largest |carried water content - content of the state| / w_f over cells and hours. [-]
    storage_drift_temperature : float
        Largest |carried enthalpy - enthalpy of the state| / capacity over layers' cells and hours. [K]
    yearly_change : tuple of float
        Sum over the layers of |change of stored water| in each year run, spin-up first. [kg/m2]
    """

    moisture_relative: float
    heat_relative: float
    storage_drift: float
    storage_drift_temperature: float
    yearly_change: tuple[float, ...]


@dataclass(frozen=True)
class ZoneReport:
    """A zone of air at one end of the section whose state was balanced, and how well it closes.

    Parameters
    ----------
    kind : str
        'room', 'attic' or 'crawl space'.
    outer : bool
        True if it lies at the section's outer end.
    area, volume : float
        Area of enclosure that is built like the section; volume. [m2], [m3]
    objects : tuple of str
        Cold objects in it, columns of ``zone_object``.
    water_relative, heat_relative : float
        As in `Balance`, of the zone. [-]
    drift_temperature, drift_rh : float
        Largest difference between the state that the balances of an hour ask for and the one that the
        section has seen in it: what the coupling leaves over. [K], [-]
    marches : float
        How often the section was marched through an hour, mean.
    """

    kind: str
    outer: bool
    area: float
    volume: float
    objects: tuple[str, ...]
    water_relative: float
    heat_relative: float
    drift_temperature: float
    drift_rh: float
    marches: float


@dataclass(frozen=True)
class SolverReport:
    """What the solver did in the reported year.

    Parameters
    ----------
    seconds : float
        Time in the compiled kernel, all years together, without compiling. [s]
    wall_years : int
        Years run, spin-up included.
    steps, rejected, passes, forced, above_one : int
        Steps taken, steps cut, passes, steps accepted at the shortest length though over tolerance,
        and sides of joints whose humidity came out above 1 and are reported as 1.
    cells : int
        Cells, skins included.
    """

    seconds: float
    wall_years: int
    steps: int
    rejected: int
    passes: int
    forced: int
    above_one: int
    cells: int


@dataclass(frozen=True)
class Result:
    """A computed year of one section.

    Parameters
    ----------
    section_name, climate_name, climate_place, climate_source, version : str
        What was run, and with which moistwall.
    notes : tuple of str
        What the climate record says about itself.
    defaults, from_memory : tuple of str
        What was assumed because it was not given; which values rest on memory.
    water_control, seams : str
        The part that keeps rain out, and how its seams are treated; empty if none is named.
    tilt, azimuth : float
        Plane of the section. [deg]
    parts : tuple of Part
        From outside to inside.
    places : tuple of Place
        Columns of the ``_place`` arrays.
    gaps : tuple of GapAir
        Columns of ``air_changes_gap``.
    x_cell, width_cell : (n_cells,) ndarray
        Depth of the cells' points, and their widths; 0 for skins. [m]
    part_cell, skin_cell : (n_cells,) ndarray of int
        Index into ``parts``; 1 for a skin.
    sorption_rh, sorption_part : (n_points,), (n_points, n_parts) ndarray
        Humidity at 20 degC [-], and what each layer holds in equilibrium with it [kg/m3]; nan for
        what is no layer.
    outdoor_temperature, outdoor_vapor, room_temperature, room_vapor : (n_hours,) ndarray
        Air on both sides. [degC], [Pa]
    temperature_cell, rh_cell, content_cell : (n_hours, n_cells) ndarray
        Temperature [degC], relative humidity [-] and water content [kg/m3]; a skin's content refers
        to 1 mm.
    temperature_place, rh_place : (n_hours, n_places) ndarray
        At each side and surface. [degC], [-]
    liquid_place, condensed_place : (n_hours, n_places) ndarray
        Liquid present beside it, and gained there from vapor in the hour. [kg/m2]
    vapor_a, vapor_b, moisture_a, moisture_b, heat_a, heat_b : (n_hours, n_faces) ndarray
        Flows out of the outer side a and into the inner side b of every face that is not within a
        layer: vapor and all moisture [kg/m2], heat with what moisture carries [J/m2]. The first face
        is the outer surface against air, the last the inner one.
    drained_cell : (n_hours, n_cells) ndarray
        Water that ran off. [kg/m2]
    water_cell : (2, n_cells) ndarray
        Stored water at the start and end of the reported year. [kg/m2]
    air_changes_gap : (n_hours, n_gaps) ndarray
        [1/h]
    arrivals : tuple of Arrival
        Where water leaks to, in the order of ``water_arrival``, then where air takes a short cut.
    rain_outer : (n_hours,) ndarray
        Driving rain on the outer face. [kg/m2]
    water_arrival : (n_hours, n_waters) ndarray
        Water that leaked in. [kg/m2]
    air_flow : (n_hours,) ndarray
        Air through the section, from outside to inside. [kg/m2]
    first_year_part : (n_days + 1, n_parts) ndarray
        Water of each part at the start of the first year and at the end of each of its days. [kg/m2]
    balance : Balance
    solver : SolverReport
    zone : ZoneReport or None
        The zone at one end, if its state was balanced; without one its arrays are empty.
    zone_state : (n_hours, 10) ndarray
        What `moistwall.solver.kernel.zone` records of each hour before the accounts: temperature [degC]
        and humidity ratio [-], water [kg] and enthalpy [J] carried, drifts [K], [-], demand of the air
        conditioner and running share of the dehumidifier [-], apparatus dew point [degC], marches.
    zone_flow : (n_hours, 23) ndarray
        Its accounts: water [kg] and enthalpy [J] into the zone's air in the hour.
    zone_object : (n_hours, n_objects) ndarray
        Temperature of its cold objects. [degC]
    """

    section_name: str
    climate_name: str
    climate_place: str
    climate_source: str
    version: str
    notes: tuple[str, ...]
    defaults: tuple[str, ...]
    from_memory: tuple[str, ...]
    water_control: str
    seams: str
    tilt: float
    azimuth: float
    parts: tuple[Part, ...]
    places: tuple[Place, ...]
    gaps: tuple[GapAir, ...]
    arrivals: tuple[Arrival, ...]
    balance: Balance
    solver: SolverReport
    x_cell: Array
    width_cell: Array
    part_cell: NDArray[np.int64]
    skin_cell: NDArray[np.int64]
    sorption_rh: Array
    sorption_part: Array
    outdoor_temperature: Array
    outdoor_vapor: Array
    room_temperature: Array
    room_vapor: Array
    temperature_cell: Array
    rh_cell: Array
    content_cell: Array
    temperature_place: Array
    rh_place: Array
    liquid_place: Array
    condensed_place: Array
    vapor_a: Array
    vapor_b: Array
    moisture_a: Array
    moisture_b: Array
    heat_a: Array
    heat_b: Array
    drained_cell: Array
    water_cell: Array
    air_changes_gap: Array
    rain_outer: Array
    water_arrival: Array
    air_flow: Array
    first_year_part: Array
    zone: ZoneReport | None = None
    zone_state: Array = field(default_factory=lambda: np.zeros((0, 10)))
    zone_flow: Array = field(default_factory=lambda: np.zeros((0, 23)))
    zone_object: Array = field(default_factory=lambda: np.zeros((0, 0)))

    @property
    def n_hours(self) -> int:
        """Hours of the reported year."""
        return int(self.outdoor_temperature.size)

    def __repr__(self) -> str:
        """Say what was run, in a line."""
        return (
            f"<Result of {self.section_name!r} in {self.climate_place!r}: {self.n_hours} h, "
            f"{len(self.places)} places, moisture closes to {self.balance.moisture_relative:.0e}>"
        )

    def _repr_html_(self) -> str:
        """Show itself in a notebook; what draws is looked up by its name, as it comes after results."""
        shown: str = import_module("moistwall.show.notebook").result_html(self)
        return shown

    def save(self, path: Path | str) -> None:
        """Write the result to a compressed .npz file, whole or not at all.

        Parameters
        ----------
        path : path
            File to write; an existing one is replaced only when the new one is complete.
        """
        write_whole_by({Path(path): self.write})

    def write(self, file: IO[bytes]) -> None:
        """Write the result, as `save` does, to an open binary file.

        Parameters
        ----------
        file : binary file
            Where to write.
        """
        arrays: dict[str, Any] = {}
        words: dict[str, Any] = {"format": FORMAT}
        for name, value in vars(self).items():
            if isinstance(value, np.ndarray):
                arrays[name] = value
            else:
                words[name] = _as_data(value)
        arrays["words"] = np.array(json.dumps(words))
        np.savez_compressed(file, allow_pickle=False, **arrays)

    @classmethod
    def load(cls, path: Path | str) -> Result:
        """Read a result that `save` has written.

        Parameters
        ----------
        path : path
            File to read.

        Returns
        -------
        Result
            Equal to the one saved, bit for bit.

        Raises
        ------
        ResultError
            If the file is not such a result.
        """
        try:
            with Path(path).open("rb") as raw, np.load(raw, allow_pickle=False) as file:
                words: dict[str, Any] = json.loads(str(file["words"]))
                arrays = {name: file[name] for name in file.files if name != "words"}
            if words.pop("format") != FORMAT:
                raise ResultError(f"{path}: written by another version of moistwall's results")
            for name, kind in (
                ("parts", Part),
                ("places", Place),
                ("gaps", GapAir),
                ("arrivals", Arrival),
            ):
                words[name] = tuple(kind(**entry) for entry in words[name])
            for name in ("notes", "defaults", "from_memory"):
                words[name] = tuple(words[name])
            balance = words["balance"]
            balance["yearly_change"] = tuple(balance["yearly_change"])
            words["balance"] = Balance(**balance)
            words["solver"] = SolverReport(**words["solver"])
            if words.get("zone") is not None:
                words["zone"]["objects"] = tuple(words["zone"]["objects"])
                words["zone"] = ZoneReport(**words["zone"])
            return cls(**words, **arrays)
        except (OSError, EOFError, ValueError, KeyError, TypeError, zipfile.BadZipFile) as error:
            raise ResultError(f"{path}: not a saved result of moistwall ({error})") from error


def _as_data(value: Any) -> Any:
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return dataclasses.asdict(value)
    if isinstance(value, tuple):
        return [_as_data(entry) for entry in value]
    return value
