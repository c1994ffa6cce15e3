"""``moistwall dry-out``: how many days a wet layer takes to dry."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from moistwall.cli.answering import files_asked_for, give_answer, slide_files, slide_names
from moistwall.cli.completing import complete_assembly, complete_climate, complete_stages
from moistwall.cli.options import (
    Faults,
    debug_option,
    json_option,
    rain_option,
    report_option,
    slides_option,
)
from moistwall.errors import Fault, InputError

if TYPE_CHECKING:
    from moistwall.assembly.fields import Wetness
    from moistwall.climate.record import Climate
    from moistwall.section import Section
    from moistwall.study.dry_out import DryStage, Target


@click.command("dry-out", short_help="Tell how long wet layers take to dry.")
@click.argument("assembly", shell_complete=complete_assembly)
@click.option(
    "--climate", metavar="NAME|FILE", shell_complete=complete_climate, help="The year, as for run."
)
@click.option(
    "--wet", metavar="LAYER", multiple=True, help="Layer that starts wet; may be repeated."
)
@click.option("--start", metavar="WATER", help='How wet, such as "30 %MC", "95 %" or "120 kg/m3".')
@click.option("--target", metavar="WATER", help='When it is dry enough, such as "16 %MC".')
@click.option(
    "--stages",
    "stages_file",
    metavar="FILE",
    shell_complete=complete_stages,
    help="TOML file of stages (flooded, opened up, dehumidifier, closed), or the name of a shipped one, "
    "in place of --target.",
)
@click.option("--on", "date", metavar="DATE", default="Jan 1", show_default=True, help="First day.")
@rain_option
@json_option
@report_option
@slides_option
@click.option("--quiet", is_flag=True, help="Print nothing.")
@debug_option
def dry_out(
    assembly: str,
    climate: str | None,
    wet: tuple[str, ...],
    start: str | None,
    target: str | None,
    stages_file: str | None,
    date: str,
    rain: str,
    json_file: str | None,
    report_file: Path | None,
    slides: Path | None,
    quiet: bool,
) -> None:
    """Tell how long the wet layers of ASSEMBLY take to dry, from a date on, or through stages."""
    from moistwall.cli.files import check_writable, find_assembly

    faults = Faults()
    section = faults.of(lambda: _section(find_assembly(assembly)))
    year = faults.of(lambda: _year(climate, rain))
    day = faults.of(lambda: _day(date))
    faults.of(
        lambda: check_writable(
            files_asked_for(json_file, report_file, *slide_names(slides, ["dry-out"]))
        )
    )
    faults.refuse()
    assert section is not None
    assert year is not None
    assert day is not None
    stages = _stages(section, wet, start, target, stages_file)
    if not quiet:
        _tell_shares(section, wet, start, target)

    from moistwall.show.dry_out import dry_out_summary, dry_out_text
    from moistwall.study.dry_out import dry_out as march

    def told(name: str, days: int) -> None:
        if not quiet and sys.stderr.isatty():
            click.echo(f"\r{name}: day {days}", nl=False, err=True)

    found = march(stages, year, day, tell=told)
    if not quiet and sys.stderr.isatty():
        click.echo("", err=True)
    files: dict[Path, bytes] = {}
    if slides is not None:
        from moistwall.show.study_pictures import dry_out_figure

        files |= slide_files(slides, {"dry-out": dry_out_figure(stages, found)})
    if report_file is not None:
        from moistwall.show.dry_out_page import dry_out_page

        page = dry_out_page(section, year, date, stages, found)
        files[report_file] = page.encode("utf-8")
    give_answer(
        lambda: dry_out_summary(section, year, date, stages, found),
        lambda: dry_out_text(section, year, date, stages, found),
        json_file=json_file,
        quiet=quiet,
        files=files,
    )


def _section(path: Path) -> Section:
    from moistwall.assembly import load_section

    return load_section(path)


def _year(climate: str | None, rain: str) -> Climate:
    from moistwall.library import climate_names, read_year

    if climate is None:
        remedy = f"name one that is shipped ({', '.join(climate_names())}), or a file"
        raise InputError(Fault("", "--climate", "", "is missing", remedy))
    return read_year(climate, rain_as_read=rain == "as-read", field="--climate")


def _day(date: str) -> int:
    from moistwall.assembly.fields import read_day
    from moistwall.errors import UnitError

    try:
        return read_day(date)
    except UnitError as error:
        fault = error.faults[0]
        raise InputError(Fault("", "--on", date, fault.problem, fault.remedy)) from None


def _stages(
    section: Section,
    wet: tuple[str, ...],
    start: str | None,
    target: str | None,
    stages_file: str | None,
) -> list[DryStage]:
    """The stages that were asked for: of a file, or one that waits for the target."""
    from dataclasses import replace

    from moistwall.assembly.fields import read_wetness
    from moistwall.assembly.stages import preset_section, read_stages, wetted
    from moistwall.library import find_stages
    from moistwall.study.dry_out import DryStage, without

    faults = []
    if wet and start is None:
        faults.append(Fault("", "--start", "", "is missing", 'say how wet, such as "30 %MC"'))
    if start is not None and not wet:
        faults.append(Fault("", "--wet", "", "is missing", "name the layer that starts wet"))
    if stages_file is None and target is None:
        remedy = 'say when it is dry enough, such as "16 %MC", or give --stages'
        faults.append(Fault("", "--target", "", "is missing", remedy))
    if stages_file is not None and target is not None:
        faults.append(Fault("", "--target", target, "is given beside --stages", "give one"))
    if stages_file is None and not wet:
        faults.append(Fault("", "--wet", "", "is missing", "name the layer that is to dry"))
    if faults:
        raise InputError(faults)
    preset, stages = (None, []) if stages_file is None else read_stages(find_stages(stages_file))
    wet_section = section if preset is None else preset_section(section, preset)
    if wet and start is not None:
        wet_section = wetted(wet_section, wet, read_wetness(start), ("--wet", "--start"))

    if target is not None:
        waits = _target(section, wet[0], read_wetness(target))
        return [DryStage("drying", wet_section, target=waits)]
    found: list[DryStage] = []
    for stage in stages:
        # what is put in again later is new, and dry
        here = without(section if found else wet_section, stage.remove)
        here = replace(
            here,
            room_temperature=section.room_temperature
            if stage.room_temperature is None
            else stage.room_temperature,
            room_rh=section.room_rh if stage.room_rh is None else stage.room_rh,
            room=section.room if stage.room_temperature is None and stage.room_rh is None else None,
        )
        until = None
        if stage.until is not None:
            assert stage.layer is not None
            until = _target(section, stage.layer, stage.until)
        found.append(DryStage(stage.name, here, stage.days, until))
    return found


def _tell_shares(section: Section, wet: tuple[str, ...], *given: str | None) -> None:
    """Say of wood that a plain percentage is humidity: people mean the mass of water as often."""
    from moistwall.assembly.fields import read_wetness

    if not any(one.material.wood for one in section.layers if one.name in wet):
        return
    for text in given:
        if text is not None and read_wetness(text).kind == "share":
            number = text.rstrip("RH %")
            click.echo(
                f"note: {text} is the humidity in its pores; of the mass of dry wood write {number} %MC",
                err=True,
            )


def _target(section: Section, layer: str, wetness: Wetness) -> Target:
    """When a layer is dry enough, in water content."""
    from moistwall.assembly.starting import content_in_equilibrium
    from moistwall.study.dry_out import Target

    found = {one.name: one for one in section.layers}
    if layer not in found:
        remedy = f"its layers: {', '.join(found)}"
        raise InputError(Fault("", "layer", layer, "is no layer of this section", remedy))
    return Target(layer, content_in_equilibrium(wetness, found[layer].material))
