"""``moistwall run``: one section, one year, the answer per interface."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

import click

from moistwall.cli.answering import emphasized, slide_files, slide_names
from moistwall.cli.completing import complete_assembly, complete_climate
from moistwall.cli.options import Faults, debug_option, rain_option, report_option, slides_option
from moistwall.errors import Fault, InputError

if TYPE_CHECKING:
    from moistwall.assess.criteria import Criteria
    from moistwall.climate.record import Climate
    from moistwall.result import Result
    from moistwall.section import Section
    from moistwall.simulate import Progress
    from moistwall.units import System

FILES = (
    "summary.json",
    "hourly.csv",
    "section.png",
    "section.svg",
    "humidity.png",
    "humidity.svg",
)
"""What ``--out`` writes."""

SLIDES = ("section", "humidity", "places", "water", "drying", "depth")
"""Pictures that ``--slides`` writes; 'drying' only where there is a gap."""


@click.command(short_help="Run an assembly through a year, hour by hour.")
@click.argument("assembly", shell_complete=complete_assembly)
@click.option(
    "--climate",
    metavar="NAME|FILE",
    shell_complete=complete_climate,
    help="The year, always needed: a shipped one by name (such as miami), or a file: TMY2, TMY3, "
    "EPW, a climate table in CSV or monthly values in TOML.",
)
@rain_option
@click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    metavar="DIR",
    help="Write pictures (PNG and SVG), hourly.csv and summary.json into this folder.",
)
@click.option(
    "--json",
    "json_file",
    metavar="FILE",
    help="Write the summary as JSON (always SI) to this file; - writes it instead of the report.",
)
@report_option
@slides_option
@click.option(
    "--units",
    type=click.Choice(["ip", "si"]),
    default="ip",
    show_default=True,
    help="Inch-pound or SI in the report, the pictures and hourly.csv.",
)
@click.option(
    "--criteria",
    metavar="FILE",
    help="Judge by the criteria of this file instead of the shipped ones (criteria/screening.toml).",
)
@click.option(
    "--rooms",
    is_flag=True,
    help="Judge beside two more rooms as well: one kept at 70 degF and 50 %, and one that turns damp in "
    "spring and fall. Takes three times as long.",
)
@click.option("--quiet", is_flag=True, help="Print no report and no progress.")
@debug_option
def run(
    assembly: str,
    climate: str | None,
    rain: str,
    out: Path | None,
    json_file: str | None,
    report_file: Path | None,
    slides: Path | None,
    units: str,
    criteria: str | None,
    rooms: bool,
    quiet: bool,
) -> None:
    """Run ASSEMBLY (a TOML file, or a shipped example) through a year and print where it is wet."""
    summary_file = None if json_file in (None, "-") else Path(json_file)
    outputs = [one for one in (summary_file, report_file) if one is not None]
    if out is not None:
        outputs += [out / name for name in FILES]
    outputs += slide_names(slides, SLIDES)
    paths, stages, year, rules = _read(assembly, climate, rain, criteria, outputs)
    if not quiet:
        _announce_compiling()

    from moistwall.show.summary import summary
    from moistwall.study.judged import judge_run
    from moistwall.study.rooms import room_pairs
    from moistwall.study.whole_run import run_whole

    beside = room_pairs(paths[0], year) if rooms else []
    with _progress(not quiet and sys.stderr.isatty()) as told:
        whole = run_whole(paths, stages, year, told, beside)
    judged = judge_run(whole, rules)
    result = whole.clear
    system = cast("System", units)
    data = (
        json.dumps(summary(result, whole, judged), indent=2, allow_nan=False, ensure_ascii=False)
        + "\n"
    )
    printed = ""
    if json_file == "-":
        printed = data
    elif not quiet:
        from moistwall.show.text import report

        printed = report(result, system, whole, judged)
    files: dict[Path, bytes] = {}
    if summary_file is not None:
        files[summary_file] = data.encode()
    if out is not None:
        files |= _folder(result, out, system, data)
    if slides is not None:
        files |= _slides(result, slides, system)
    if report_file is not None:
        from moistwall.assess.weather import wall_weather
        from moistwall.show.report_page import report_page

        page = report_page(whole, judged, system, paths[0], wall_weather(year))
        files[report_file] = page.encode("utf-8")

    from moistwall.cli.files import write_all

    write_all(files)
    click.echo(printed if json_file == "-" else emphasized(printed), nl=False)
    if not quiet:
        for path in files:
            click.echo(f"wrote {path}", err=True)


def _read(
    assembly: str,
    climate: str | None,
    rain: str,
    criteria: str | None,
    outputs: list[Path],
) -> tuple[list[Section], list[tuple[str, Section]], Climate, Criteria]:
    """The paths, the tests, the year and the criteria, once nothing is wrong with them nor with outputs."""
    from moistwall.assembly import load_paths, load_stages, read_assembly
    from moistwall.cli.files import check_writable, find_assembly
    from moistwall.criteria_file import find_criteria
    from moistwall.library import read_year

    faults = Faults()
    # read once, since a file may change while it is worked with
    given = faults.of(lambda: read_assembly(find_assembly(assembly)))
    year = faults.of(
        lambda: read_year(
            _given_climate(climate), rain_as_read=rain == "as-read", field="--climate"
        )
    )
    rules = faults.of(lambda: find_criteria(criteria))
    faults.of(lambda: check_writable(outputs))
    faults.refuse()
    assert given is not None
    assert year is not None
    assert rules is not None
    return load_paths(given), load_stages(given), year, rules


def _given_climate(climate: str | None) -> str:
    """The year that was asked for; a missing one is an error that lists what is shipped."""
    if climate is not None:
        return climate
    from moistwall.library import climate_names

    shipped = ", ".join(climate_names())
    remedy = f"name one that is shipped ({shipped}), or a file of a year of weather"
    raise InputError(Fault("", "--climate", "", "is missing", remedy))


def _announce_compiling() -> None:
    from moistwall.solver.march import is_cached

    if not is_cached():
        click.echo("compiling the solver, once: about a minute", err=True)


def _progress(shown: bool) -> AbstractContextManager[Callable[[Progress], None] | None]:
    """A bar over the hours of the year being run, on a terminal."""
    return cast(Any, _Bar()) if shown else nullcontext(None)


class _Bar:
    """Progress of a run, year by year."""

    def __enter__(self) -> Callable[[Progress], None]:
        self._year = 0
        self._bar: Any = None
        return self._told

    def _told(self, progress: Progress) -> None:
        if progress.year != self._year:
            self._close()
            self._year = progress.year
            label = "first year" if self._year == 1 else f"year {self._year}, until it repeats"
            self._bar = click.progressbar(length=8760, label=label, file=sys.stderr)
            self._bar.__enter__()
            self._done = 0
        self._bar.update(progress.hours - self._done)
        self._done = progress.hours

    def _close(self) -> None:
        if self._bar is not None:
            self._bar.__exit__(None, None, None)

    def __exit__(self, *error: object) -> None:
        self._close()


def _slides(result: Result, folder: Path, system: System) -> dict[Path, bytes]:
    """Everything that ``--slides`` writes: of each name the figure that the package offers."""
    import moistwall

    figures = {name: getattr(moistwall, f"{name}_figure")(result, system=system) for name in SLIDES}
    return slide_files(folder, figures)


def _folder(result: Result, out: Path, system: System, data: str) -> dict[Path, bytes]:
    """Everything that ``--out`` writes."""
    from moistwall.show.hourly import hourly_csv
    from moistwall.show.humidity import humidity_figure
    from moistwall.show.pictures import picture_files
    from moistwall.show.section import section_figure

    files = {
        out / "summary.json": data.encode(),
        out / "hourly.csv": hourly_csv(result, system).encode(),
    }
    for name, figure in (
        ("section", section_figure(result, system)),
        ("humidity", humidity_figure(result, system)),
    ):
        files |= {out / file: content for file, content in picture_files(name, figure).items()}
    assert {path.name for path in files} == set(FILES)
    return files
