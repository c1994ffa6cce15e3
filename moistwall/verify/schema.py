"""The form of a problem file: what an outsider writes down, strictly checked.

Numbers are SI and their unit stands in the key, since these files are written and read by machines as
often as by people. `docs/bench.md` shows a whole one.
"""

from __future__ import annotations

import itertools
from typing import Annotated, Any, Literal

from pydantic import Discriminator, Field, StringConstraints, Tag, model_validator

from moistwall.errors import Fault, InputError
from moistwall.schema import StrictModel, Text
from moistwall.verify.bounds import LIST, NUMBER, Content, Rh, number_or_list
from moistwall.verify.forms import MaterialForm

LONGEST_HOURS = 200_000
"""Hours of a problem at most: some 23 years. [h]"""

MOST_CELLS = 2000
"""Cells of a problem at most, before it is refined."""

Name = Annotated[str, StringConstraints(pattern=r"^[A-Za-z][A-Za-z0-9_ -]{0,59}$")]
Key = Annotated[str, StringConstraints(pattern=r"^[A-Za-z][A-Za-z0-9_]{0,59}$")]
FileName = Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9][A-Za-z0-9_. -]{0,99}$")]
Hold = Literal["linear", "step"]
Thickness = Annotated[float, Field(ge=1e-5, le=100.0)]
Temperature = Annotated[float, Field(ge=-50.0, le=100.0)]
HeatFilm = Annotated[float, Field(ge=1e-3, le=1e7)]
VaporFilm = Annotated[float, Field(ge=1e-15, le=1.0)]


class ListSeries(StrictModel):
    """Values hour by hour, in the file itself."""

    values: list[float] = Field(min_length=1, max_length=LONGEST_HOURS + 1)
    hold: Hold


class ColumnSeries(StrictModel):
    """Values hour by hour, in a column of the problem's CSV file."""

    column: Key
    hold: Hold


NONE, VALUES, COLUMN = "~none", "~values", "~column"


def _kind_of_series(given: Any) -> str:
    """Say which form of a series was meant, so that a mistake is told for that form alone."""
    if isinstance(given, ColumnSeries) or (isinstance(given, dict) and "values" not in given):
        return COLUMN
    if isinstance(given, ListSeries | dict):
        return VALUES
    return NONE if isinstance(given, str) else NUMBER


Series = Annotated[
    Annotated[float, Tag(NUMBER)]
    | Annotated[ListSeries, Tag(VALUES)]
    | Annotated[ColumnSeries, Tag(COLUMN)]
    | Annotated[Literal["a number, or a table with values or column, and hold"], Tag(NONE)],
    Discriminator(_kind_of_series),
]
FilmSeries = Annotated[
    Annotated[float, Tag(NUMBER)]
    | Annotated[ListSeries, Tag(VALUES)]
    | Annotated[ColumnSeries, Tag(COLUMN)]
    | Annotated[Literal["none"], Tag(NONE)],
    Discriminator(_kind_of_series),
]
Cellwise = Discriminator(number_or_list)
Permeance = Annotated[float, Field(ge=1e-20, le=1e-5)]


class LayerPart(StrictModel):
    """A material with a thickness, its cells and its state at the start."""

    type: Literal["layer"]
    name: Name
    material: Name
    thickness_m: Thickness
    cells: Annotated[int, Field(ge=1, le=MOST_CELLS)] | None = None
    cell_widths_m: (
        Annotated[
            list[Annotated[float, Field(ge=1e-7, le=10.0)]],
            Field(min_length=1, max_length=MOST_CELLS),
        ]
        | None
    ) = None
    initial_temperature_degC: (  # noqa: N815
        Annotated[
            Annotated[Temperature, Tag(NUMBER)]
            | Annotated[list[Temperature], Field(min_length=1, max_length=MOST_CELLS), Tag(LIST)],
            Cellwise,
        ]
        | None
    ) = None
    initial_relative_humidity: (
        Annotated[
            Annotated[Rh, Tag(NUMBER)]
            | Annotated[list[Rh], Field(min_length=1, max_length=MOST_CELLS), Tag(LIST)],
            Cellwise,
        ]
        | None
    ) = None
    initial_water_content_kg_m3: (
        Annotated[
            Annotated[Content, Tag(NUMBER)]
            | Annotated[list[Content], Field(min_length=1, max_length=MOST_CELLS), Tag(LIST)],
            Cellwise,
        ]
        | None
    ) = None

    @model_validator(mode="after")
    def _one_of_each(self) -> LayerPart:
        faults = []
        if self.cells is not None and self.cell_widths_m is not None:
            faults.append(
                Fault(
                    "", "cells", str(self.cells), "stands beside cell_widths_m", "give one of them"
                )
            )
        if self.cell_widths_m is not None:
            total = sum(self.cell_widths_m)
            if abs(total / self.thickness_m - 1.0) > 1e-6:
                faults.append(
                    Fault(
                        "",
                        "cell_widths_m",
                        f"{total:.9g} m in all",
                        f"must add up to the thickness, {self.thickness_m:g} m",
                        "give widths or a thickness that agree",
                    )
                )
        given = (self.initial_relative_humidity, self.initial_water_content_kg_m3)
        if all(value is not None for value in given):
            faults.append(
                Fault(
                    "",
                    "initial_water_content_kg_m3",
                    "",
                    "stands beside initial_relative_humidity",
                    "give one of them",
                )
            )
        n_cells = self.cells or len(self.cell_widths_m or ()) or None
        for field in (
            "initial_temperature_degC",
            "initial_relative_humidity",
            "initial_water_content_kg_m3",
        ):
            value = getattr(self, field)
            if isinstance(value, list) and len(value) != n_cells:
                problem = (
                    "one value for each cell needs cells or cell_widths_m"
                    if n_cells is None
                    else f"needs one value for each of the {n_cells} cells"
                )
                remedy = "give one number for all cells, or a list as long as there are cells"
                faults.append(Fault("", field, f"{len(value)} values", problem, remedy))
        if faults:
            raise InputError(faults)
        return self


class FilmPart(StrictModel):
    """A sheet or coat without thickness, between layers or on an end."""

    type: Literal["film"]
    name: Name
    permeance_kg_m2sPa: Annotated[  # noqa: N815
        Annotated[Permeance, Tag(NUMBER)]
        | Annotated[list[Permeance], Field(min_length=2), Tag(LIST)],
        Cellwise,
    ]
    relative_humidity: Annotated[list[Rh], Field(min_length=2, max_length=1000)] | None = None
    emittance: Annotated[float, Field(ge=0.0, le=1.0)] | None = None

    @model_validator(mode="after")
    def _points(self) -> FilmPart:
        values, rh = self.permeance_kg_m2sPa, self.relative_humidity
        if isinstance(values, list) != (rh is not None):
            raise InputError(
                Fault(
                    "",
                    "relative_humidity",
                    "",
                    "a list of humidities and a list of permeances belong together",
                    "give both lists, or one number as permeance",
                )
            )
        if isinstance(values, list) and rh is not None:
            if len(values) != len(rh):
                raise InputError(
                    Fault(
                        "",
                        "permeance_kg_m2sPa",
                        f"{len(values)} values",
                        f"needs one value for each of the {len(rh)} relative_humidity",
                        "give both lists the same length",
                    )
                )
            if any(b <= a for a, b in itertools.pairwise(rh)):
                raise InputError(
                    Fault(
                        "",
                        "relative_humidity",
                        str(rh),
                        "must rise from point to point",
                        "sort the points, each humidity once",
                    )
                )
        return self


class GapPart(StrictModel):
    """An air space between two layers, sealed or aired with the outside's air."""

    type: Literal["gap"]
    name: Name
    depth_m: Annotated[float, Field(ge=1e-4, le=1.0)]
    convection_W_m2K: Annotated[float, Field(ge=0.1, le=1000.0)]  # noqa: N815
    air_changes_1_h: Series = 0.0


Part = Annotated[LayerPart | FilmPart | GapPart, Field(discriminator="type")]


class End(StrictModel):
    """What acts on one end of the section."""

    temperature_degC: Series | None = None  # noqa: N815
    relative_humidity: Series | None = None
    humidity_temperature_degC: Series | None = None  # noqa: N815
    vapor_pressure_Pa: Series | None = None  # noqa: N815
    heat_film_W_m2K: FilmSeries = "none"  # noqa: N815
    vapor_film_kg_m2sPa: FilmSeries = "none"  # noqa: N815
    rain_kg_m2s: Series = 0.0
    sun_W_m2: Series = 0.0  # noqa: N815
    longwave_W_m2: Series = 0.0  # noqa: N815
    absorptance: Annotated[float, Field(ge=0.0, le=1.0)] = 0.0
    emittance: Annotated[float, Field(ge=0.0, le=1.0)] = 0.0
    surface_holds_kg_m2: Annotated[float, Field(ge=1e-3, le=10.0)] = 0.1


class Output(StrictModel):
    """One column of the answer: a quantity at a place."""

    name: Key
    quantity: Literal[
        "temperature",
        "relative humidity",
        "vapor pressure",
        "water content",
        "stored water",
        "drained water",
        "heat flow",
        "moisture flow",
        "vapor flow",
        "heat passed",
        "moisture passed",
        "vapor passed",
        "film heat flow",
        "film vapor flow",
    ]
    at: Literal[
        "depth",
        "cell",
        "layer",
        "outer side",
        "inner side",
        "outer surface",
        "inner surface",
        "section",
    ]
    layer: Name | None = None
    depth_m: Annotated[float, Field(ge=0.0, le=200.0)] | None = None
    cell: Annotated[int, Field(ge=1, le=MOST_CELLS)] | None = None


class ProblemFile(StrictModel):
    """A whole problem file."""

    title: Text
    source: Text
    mode: Literal["heat and moisture", "isothermal", "heat only"] = "heat and moisture"
    temperature_degC: Temperature | None = None  # noqa: N815
    hours: Annotated[int, Field(ge=1, le=LONGEST_HOURS)]
    series_file: FileName | None = None
    air_pressure_Pa: Annotated[float, Field(ge=1e4, le=1e15)] = 101_325.0  # noqa: N815
    air_flow_kg_m2s: Series = 0.0
    gap_surface_holds_kg_m2: Annotated[float, Field(ge=1e-3, le=10.0)] = 0.1
    output_every_hours: Annotated[int, Field(ge=1, le=LONGEST_HOURS)] | None = None
    output_hours: (
        Annotated[
            list[Annotated[int, Field(ge=1, le=LONGEST_HOURS)]],
            Field(min_length=1, max_length=LONGEST_HOURS),
        ]
        | None
    ) = None
    material: dict[Name, MaterialForm] = Field(min_length=1, max_length=50)
    part: list[Part] = Field(min_length=1, max_length=200)
    outside: End
    inside: End
    output: list[Output] = Field(min_length=1, max_length=500)
