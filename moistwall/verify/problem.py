"""A problem as the solver takes it: a file, read and checked whole, then resolved to frozen arrays."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from pydantic import ValidationError

from moistwall.air import saturation_pressure
from moistwall.errors import Fault, InputError
from moistwall.material import Material
from moistwall.names import did_you_mean
from moistwall.schema import LARGEST_FILE, faults_from_validation, read_toml
from moistwall.section import Face, Film, Gap, GapKind, Layer, Section
from moistwall.section import Part as SectionPart
from moistwall.solver.kernel.layout import (
    AIR_TEMPERATURE,
    AIR_VAPOR,
    HEAT_FILM,
    LONGWAVE,
    N_END_COLUMNS,
    RAIN,
    SUN,
    VAPOR_FILM,
)
from moistwall.verify.outputs import Wanted, wanted_outputs
from moistwall.verify.schema import (
    LONGEST_HOURS,
    MOST_CELLS,
    End,
    FilmPart,
    GapPart,
    LayerPart,
    ProblemFile,
)
from moistwall.verify.series import Held, SeriesReader, read_columns

Array = NDArray[np.float64]

SURFACE_HEAT_FILM, SURFACE_VAPOR_FILM = 1e7, 1e-2
"""Films that stand for none: the surface itself takes what is prescribed, to 1e-5 K with 100 W/m2 and
to 0.01 Pa with 0.1 g/(m2 s). [W/(m2 K)], [kg/(m2 s Pa)]"""

_TAG = re.compile(r"\.~\w+")
_FORM = re.compile(r"^(material\.[^.]+\.(?:storage|vapor|liquid))\.[a-z ]+(\.|$)(?=.)")

ANY_VAPOR_FILM = 1e-9
"""Vapor film where moisture is left out: no vapor is there that could pass. [kg/(m2 s Pa)]"""


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


def read_problem(path: Path | str) -> Problem:
    """Read a problem file.

    Parameters
    ----------
    path : Path or str
        TOML file, or JSON if its name ends so.

    Returns
    -------
    Problem

    Raises
    ------
    InputError
        With every mistake of the file and of its series.
    """
    path = Path(path)
    data = _read_json(path) if path.suffix.lower() == ".json" else read_toml(path, InputError)
    return problem_from_data(data, file=str(path), folder=path.parent)


def problem_from_data(data: Mapping[str, Any], *, file: str = "", folder: Path = Path()) -> Problem:
    """Check and resolve what a problem file says.

    Parameters
    ----------
    data : mapping
        Content of the file.
    file : str
        Its name, for messages.
    folder : Path
        Folder of its series file.

    Returns
    -------
    Problem

    Raises
    ------
    InputError
        With every mistake.
    """
    try:
        given = ProblemFile.model_validate(data)
    except ValidationError as error:
        found = faults_from_validation(error, file, ProblemFile)
        # the tag of a union, and the name of the form that was chosen, are no part of the file
        shown = [_FORM.sub(r"\1\2", _TAG.sub("", one.field)) for one in found]
        raise InputError(
            [replace(one, field=field) for one, field in zip(found, shown, strict=True)]
        ) from None
    return _Resolver(given, file, folder).problem(_key(data, given, folder))


def _read_json(path: Path) -> dict[str, Any]:
    """Read a JSON file with the same limits as a TOML file; a key must not stand twice."""

    def refused(problem: str, remedy: str = "") -> InputError:
        return InputError(Fault(str(path), "", "", problem, remedy))

    def once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        found = dict(pairs)
        if len(found) < len(pairs):
            names = [name for name, _ in pairs]
            twice = next(name for name in names if names.count(name) > 1)
            raise refused(f"is not a problem: the key '{twice}' stands there twice")
        return found

    try:
        with path.open("rb") as stream:
            raw = stream.read(LARGEST_FILE + 1)
    except FileNotFoundError:
        raise refused("there is no such file") from None
    except (OSError, ValueError) as problem:
        raise refused(f"cannot be read: {problem}") from None
    if len(raw) > LARGEST_FILE:
        raise refused(f"is larger than {LARGEST_FILE / 1e6:g} MB", "put series into a CSV file")
    try:
        data = json.loads(raw.decode("utf-8-sig"), object_pairs_hook=once)
    except InputError:
        raise
    except (ValueError, RecursionError) as problem:
        raise refused(f"is not valid JSON: {problem}") from None
    if not isinstance(data, dict):
        raise refused("is not a problem: must be one object")
    return data


def _key(data: Mapping[str, Any], given: ProblemFile, folder: Path) -> str:
    """Hash of what defines the problem, whatever its layout or comments."""
    plain = {name: value for name, value in data.items() if name not in ("title", "source")}
    digest = hashlib.sha256(json.dumps(plain, sort_keys=True).encode("utf-8"))
    if given.series_file is not None and (folder / given.series_file).is_file():
        digest.update((folder / given.series_file).read_bytes().replace(b"\r\n", b"\n"))
    return digest.hexdigest()


class _Resolver:
    """Resolves one checked file; gathers every mistake that lies between its fields."""

    def __init__(self, given: ProblemFile, file: str, folder: Path) -> None:
        self.given, self.file = given, file
        self.faults: list[Fault] = []
        self.isothermal = given.mode == "isothermal"
        self.dry = given.mode == "heat only"
        self.series = SeriesReader(given.hours, file, faults=self.faults)
        if given.series_file is not None:
            self.series.series_file = str(folder / given.series_file)
            try:
                self.series.columns = read_columns(folder / given.series_file, given.hours)
            except InputError as error:
                self.faults += error.faults

    def fault(self, field: str, value: object, problem: str, remedy: str = "") -> None:
        self.faults.append(Fault(self.file, field, str(value), problem, remedy))

    def problem(self, key: str) -> Problem:
        """Give the problem, or raise with every mistake."""
        given = self.given
        if self.isothermal and given.temperature_degC is None:
            self.fault("temperature_degC", "", "is missing for an isothermal problem")
        if not self.isothermal and given.temperature_degC is not None:
            self.fault(
                "temperature_degC",
                given.temperature_degC,
                "belongs to an isothermal problem only",
            )
        loads, is_step = self._loads()
        layers = [part for part in given.part if isinstance(part, LayerPart)]
        widths = self._widths(layers)
        start = {layer.name: self._start(n, layer) for n, layer in self._numbered(LayerPart)}
        section = self._section()
        hours = self._output_hours()
        outputs = wanted_outputs(given.output, layers, given.part, self.dry, self.faults, self.file)
        if self.faults or section is None:
            raise InputError(self.faults)
        ends = (given.outside, given.inside)
        still = self.isothermal
        return Problem(
            title=given.title,
            source=given.source,
            mode=given.mode,
            file=self.file,
            key=key,
            section=section,
            widths=widths,
            start=start,
            hours=given.hours,
            loads=loads,
            is_step=is_step,
            absorptance=(0.0, 0.0) if still else (ends[0].absorptance, ends[1].absorptance),
            emittance=(0.0, 0.0) if still else (ends[0].emittance, ends[1].emittance),
            pressure=given.air_pressure_Pa,
            outputs=outputs,
            output_hours=hours,
        )

    def _numbered(self, kind: type[Any]) -> list[tuple[int, Any]]:
        """Number the parts of one kind as their fields are numbered, from 1."""
        return [(n + 1, part) for n, part in enumerate(self.given.part) if isinstance(part, kind)]

    def _widths(self, layers: list[LayerPart]) -> dict[str, Array]:
        widths = {}
        for layer in layers:
            if layer.cells is not None:
                widths[layer.name] = np.full(layer.cells, layer.thickness_m / layer.cells)
            elif layer.cell_widths_m is not None:
                given = np.array(layer.cell_widths_m, float)
                widths[layer.name] = given * (layer.thickness_m / given.sum())
        total = sum(width.size for width in widths.values())
        if total > MOST_CELLS:
            self.fault("part", f"{total} cells in all", f"must be {MOST_CELLS} or fewer")
        return widths

    def _start(self, number: int, layer: LayerPart) -> Start:
        place = f"part[{number}]"
        rh, content = layer.initial_relative_humidity, layer.initial_water_content_kg_m3
        temperature = layer.initial_temperature_degC
        if self.isothermal:
            if temperature is not None:
                self.fault(
                    f"{place}.initial_temperature_degC",
                    "",
                    "has no place in an isothermal problem",
                    "its temperature is temperature_degC",
                )
            temperature = self.given.temperature_degC
        elif temperature is None:
            self.fault(f"{place}.initial_temperature_degC", "", "is missing")
        if self.dry:
            if rh is not None or content is not None:
                self.fault(place, "", "starts with moisture, which 'heat only' leaves out")
            rh = 0.0
        elif rh is None and content is None:
            self.fault(
                f"{place}.initial_relative_humidity",
                "",
                "is missing, and so is initial_water_content_kg_m3",
            )
        form = self.given.material.get(layer.material)
        if content is not None and form is not None and form.storage is not None:
            holds = form.storage.build().holds
            if np.max(content) > holds:
                self.fault(
                    f"{place}.initial_water_content_kg_m3",
                    f"{np.max(content):g}",
                    f"is more than '{layer.material}' holds, {holds:g} kg/m3",
                )
        return Start(
            np.atleast_1d(np.array(temperature if temperature is not None else np.nan, float)),
            None if rh is None else np.atleast_1d(np.array(rh, float)),
            None if content is None else np.atleast_1d(np.array(content, float)),
        )

    def _materials(self) -> dict[str, Material]:
        found = {}
        for name, form in self.given.material.items():
            missing = [
                group
                for group, needed in (
                    ("heat", not self.isothermal),
                    ("storage", not self.dry),
                    ("vapor", not self.dry),
                )
                if needed and getattr(form, group) is None
            ]
            for group in missing:
                self.fault(
                    f"material.{name}.{group}", "", f"is missing for mode '{self.given.mode}'"
                )
            if missing:
                continue
            try:
                found[name] = form.build(name, isothermal=self.isothermal, dry=self.dry)
            except InputError as error:
                self.faults += [
                    Fault(self.file, f"material.{name}.{one.field}", one.value, one.problem)
                    for one in error.faults
                ]
        return found

    def _section(self) -> Section | None:
        materials = self._materials()
        parts: list[SectionPart] = []
        known = list(self.given.material)
        for number, part in enumerate(self.given.part, start=1):
            if isinstance(part, LayerPart):
                if part.material not in known:
                    remedy = did_you_mean(part.material, known)
                    self.fault(f"part[{number}].material", part.material, "is no material", remedy)
                elif part.material in materials:
                    start_rh = part.initial_relative_humidity
                    first = 0.0 if self.dry else np.ravel(0.5 if start_rh is None else start_rh)
                    parts.append(
                        Layer(
                            part.name,
                            materials[part.material],
                            part.thickness_m,
                            float(np.ravel(first)[0]),
                        )
                    )
            elif isinstance(part, FilmPart):
                values = np.atleast_1d(np.array(part.permeance_kg_m2sPa, float))
                rh = np.array([0.5] if part.relative_humidity is None else part.relative_humidity)
                parts.append(Film(part.name, rh, values, emittance=part.emittance))
            else:
                aired = not (
                    isinstance(part.air_changes_1_h, float | int) and part.air_changes_1_h == 0
                )
                kind: GapKind = "ventilated" if aired else "sealed"
                parts.append(Gap(part.name, part.depth_m, kind, part.convection_W_m2K))
        if len(parts) < len(self.given.part):
            return None
        ends = [
            Face(end.emittance, end.absorptance, end.surface_holds_kg_m2)
            for end in (self.given.outside, self.given.inside)
        ]
        try:
            return Section(
                self.given.title,
                tuple(parts),
                ends[0],
                ends[1],
                gap_holds=self.given.gap_surface_holds_kg_m2,
            )
        except InputError as error:
            self.faults += [
                Fault(
                    self.file, "part", f"{one.field} {one.value}".strip(), one.problem, one.remedy
                )
                for one in error.faults
            ]
            return None

    def _output_hours(self) -> NDArray[np.int64]:
        given = self.given
        if (given.output_every_hours is None) == (given.output_hours is None):
            self.fault("output_hours", "", "needs exactly one of output_hours, output_every_hours")
            return np.zeros(0, dtype=np.int64)
        if given.output_hours is None:
            every = given.output_every_hours or LONGEST_HOURS
            if every > given.hours:
                self.fault("output_every_hours", every, f"is longer than {given.hours} hours")
            return np.arange(every, given.hours + 1, every, dtype=np.int64)
        hours = np.array(given.output_hours, dtype=np.int64)
        if np.any(np.diff(hours) <= 0):
            self.fault("output_hours", "", "must rise")
        if hours[-1] > given.hours:
            self.fault("output_hours", hours[-1], f"ends after the problem, {given.hours} hours")
        return hours

    # loads ---------------------------------------------------------------------------------------

    def _loads(self) -> tuple[Array, NDArray[np.int64]]:
        gaps = self._numbered(GapPart)
        n_columns = 2 * N_END_COLUMNS + len(gaps) + 1
        rows = np.zeros((self.given.hours + 1, n_columns))
        is_step = np.zeros(n_columns, dtype=np.int64)

        def put(column: int, held: Held) -> None:
            rows[:, column] = held.values
            is_step[column] = int(held.step is True)

        for n, (where, end) in enumerate(
            (("outside", self.given.outside), ("inside", self.given.inside))
        ):
            first = n * N_END_COLUMNS
            air = self._temperature(where, end)
            put(first + AIR_TEMPERATURE, air)
            put(first + AIR_VAPOR, self._vapor(where, end, air))
            put(first + HEAT_FILM, self._film(where, end, "heat_film_W_m2K"))
            put(first + VAPOR_FILM, self._film(where, end, "vapor_film_kg_m2sPa"))
            for column, name in (
                (SUN, "sun_W_m2"),
                (LONGWAVE, "longwave_W_m2"),
                (RAIN, "rain_kg_m2s"),
            ):
                put(first + column, self.series.read(f"{where}.{name}", getattr(end, name)))
        for k, (number, gap) in enumerate(gaps):
            place = f"part[{number}].air_changes_1_h"
            put(2 * N_END_COLUMNS + k, self.series.read(place, gap.air_changes_1_h))
        # air of a higher pressure is denser: as many cubic meters may pass
        self.series.scale["air_flow_kg_m2s"] = max(self.given.air_pressure_Pa / 101_325.0, 1.0)
        put(n_columns - 1, self.series.read("air_flow_kg_m2s", self.given.air_flow_kg_m2s))
        return rows, is_step

    def _constant(self, value: float) -> Held:
        return Held(np.full(self.given.hours + 1, value), None)

    def _temperature(self, where: str, end: End) -> Held:
        if self.isothermal:
            for name in ("temperature_degC", "humidity_temperature_degC"):
                if getattr(end, name) is not None:
                    self.fault(
                        f"{where}.{name}",
                        "",
                        "has no place in an isothermal problem",
                        "its temperature is temperature_degC",
                    )
            return self._constant(self.given.temperature_degC or 0.0)
        if end.temperature_degC is None:
            self.fault(f"{where}.temperature_degC", "", "is missing")
            return self._constant(0.0)
        return self.series.read(f"{where}.temperature_degC", end.temperature_degC)

    def _vapor(self, where: str, end: End, air: Held) -> Held:
        given = [
            name
            for name in ("relative_humidity", "vapor_pressure_Pa")
            if getattr(end, name) is not None
        ]
        if self.dry:
            for name in given:
                self.fault(f"{where}.{name}", "", "has no place where moisture is left out")
            return self._constant(0.0)
        if len(given) != 1:
            self.fault(where, "", "needs exactly one of relative_humidity and vapor_pressure_Pa")
            return self._constant(0.0)
        if end.vapor_pressure_Pa is not None:
            if end.humidity_temperature_degC is not None:
                self.fault(
                    f"{where}.humidity_temperature_degC",
                    "",
                    "belongs to relative_humidity, not to vapor_pressure_Pa",
                )
            return self.series.read(f"{where}.vapor_pressure_Pa", end.vapor_pressure_Pa)
        assert end.relative_humidity is not None
        humidity = self.series.read(f"{where}.relative_humidity", end.relative_humidity)
        if end.humidity_temperature_degC is not None and not self.isothermal:
            place = f"{where}.humidity_temperature_degC"
            air = self.series.read(place, end.humidity_temperature_degC)
        steps = {held.step for held in (humidity, air)} - {None}
        if len(steps) > 1:
            self.fault(
                f"{where}.relative_humidity",
                "",
                "must be held as its temperature is, both linear or both step",
            )
        inside = np.isfinite(air.values) & (air.values >= -50.0) & (air.values <= 100.0)
        pressure = saturation_pressure(np.where(inside, air.values, 0.0))
        return Held(humidity.values * pressure, steps.pop() if steps else None)

    def _film(self, where: str, end: End, name: str) -> Held:
        value = getattr(end, name)
        heat = name == "heat_film_W_m2K"
        unused = self.isothermal if heat else self.dry
        if value == "none" or unused:
            if value != "none":
                self.fault(f"{where}.{name}", "", f"has no place in mode '{self.given.mode}'")
            if not heat and self.dry:
                return self._constant(ANY_VAPOR_FILM)
            return self._constant(SURFACE_HEAT_FILM if heat else SURFACE_VAPOR_FILM)
        return self.series.read(f"{where}.{name}", value)
