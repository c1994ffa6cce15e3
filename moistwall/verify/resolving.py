"""From the checked form of a file to a problem: every mistake between its fields is found first."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from moistwall.air import saturation_pressure
from moistwall.errors import Fault, InputError
from moistwall.material import Material
from moistwall.names import did_you_mean
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
from moistwall.verify.outputs import wanted_outputs
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
from moistwall.verify.stated import Problem, Start

Array = NDArray[np.float64]

SURFACE_HEAT_FILM, SURFACE_VAPOR_FILM = 1e7, 1e-2
"""Films that stand for none: the surface itself takes what is prescribed, to 1e-5 K with 100 W/m2 and
to 0.01 Pa with 0.1 g/(m2 s). [W/(m2 K)], [kg/(m2 s Pa)]"""

ANY_VAPOR_FILM = 1e-9
"""Vapor film where moisture is left out: no vapor is there that could pass. [kg/(m2 s Pa)]"""


class Resolver:
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

    def _fault(self, field: str, value: object, problem: str, remedy: str = "") -> None:
        self.faults.append(Fault(self.file, field, str(value), problem, remedy))

    def problem(self, key: str) -> Problem:
        """Give the problem, or raise with every mistake."""
        given = self.given
        if self.isothermal and given.temperature_degC is None:
            self._fault("temperature_degC", "", "is missing for an isothermal problem")
        if not self.isothermal and given.temperature_degC is not None:
            self._fault(
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
            self._fault("part", f"{total} cells in all", f"must be {MOST_CELLS} or fewer")
        return widths

    def _start(self, number: int, layer: LayerPart) -> Start:
        place = f"part[{number}]"
        rh, content = layer.initial_relative_humidity, layer.initial_water_content_kg_m3
        temperature = layer.initial_temperature_degC
        if self.isothermal:
            if temperature is not None:
                self._fault(
                    f"{place}.initial_temperature_degC",
                    "",
                    "has no place in an isothermal problem",
                    "its temperature is temperature_degC",
                )
            temperature = self.given.temperature_degC
        elif temperature is None:
            self._fault(f"{place}.initial_temperature_degC", "", "is missing")
        if self.dry:
            if rh is not None or content is not None:
                self._fault(place, "", "starts with moisture, which 'heat only' leaves out")
            rh = 0.0
        elif rh is None and content is None:
            self._fault(
                f"{place}.initial_relative_humidity",
                "",
                "is missing, and so is initial_water_content_kg_m3",
            )
        form = self.given.material.get(layer.material)
        if content is not None and form is not None and form.storage is not None:
            holds = form.storage.build().holds
            if np.max(content) > holds:
                self._fault(
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
                self._fault(
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
                    self._fault(f"part[{number}].material", part.material, "is no material", remedy)
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
            self._fault("output_hours", "", "needs exactly one of output_hours, output_every_hours")
            return np.zeros(0, dtype=np.int64)
        if given.output_hours is None:
            every = given.output_every_hours or LONGEST_HOURS
            if every > given.hours:
                self._fault("output_every_hours", every, f"is longer than {given.hours} hours")
            return np.arange(every, given.hours + 1, every, dtype=np.int64)
        hours = np.array(given.output_hours, dtype=np.int64)
        if np.any(np.diff(hours) <= 0):
            self._fault("output_hours", "", "must rise")
        if hours[-1] > given.hours:
            self._fault("output_hours", hours[-1], f"ends after the problem, {given.hours} hours")
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
                    self._fault(
                        f"{where}.{name}",
                        "",
                        "has no place in an isothermal problem",
                        "its temperature is temperature_degC",
                    )
            return self._constant(self.given.temperature_degC or 0.0)
        if end.temperature_degC is None:
            self._fault(f"{where}.temperature_degC", "", "is missing")
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
                self._fault(f"{where}.{name}", "", "has no place where moisture is left out")
            return self._constant(0.0)
        if len(given) != 1:
            self._fault(where, "", "needs exactly one of relative_humidity and vapor_pressure_Pa")
            return self._constant(0.0)
        if end.vapor_pressure_Pa is not None:
            if end.humidity_temperature_degC is not None:
                self._fault(
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
            self._fault(
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
                self._fault(f"{where}.{name}", "", f"has no place in mode '{self.given.mode}'")
            if not heat and self.dry:
                return self._constant(ANY_VAPOR_FILM)
            return self._constant(SURFACE_HEAT_FILM if heat else SURFACE_VAPOR_FILM)
        return self.series.read(f"{where}.{name}", value)
