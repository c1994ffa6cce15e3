"""``moistwall materials``: what the library holds, one of it in full, and checks of files of one's own."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

import click

from moistwall.cli.completing import complete_material
from moistwall.cli.options import Faults, debug_option
from moistwall.errors import Fault, InputError, MaterialError

if TYPE_CHECKING:
    from moistwall.show.material_facts import MaterialFacts
    from moistwall.units import System


@click.command(short_help="List the library, tell of a material, or check files.")
@click.argument("words", nargs=-1, metavar="[NAME|WORDS|FILE]", shell_complete=complete_material)
@click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    metavar="DIR",
    help="Write the curves of the material (PNG and SVG) into this folder.",
)
@click.option(
    "--json",
    "json_file",
    metavar="FILE",
    help="Write the numbers as JSON (always SI) to this file; - writes them instead of the text.",
)
@click.option(
    "--units",
    type=click.Choice(["ip", "si"]),
    default="ip",
    show_default=True,
    help="Inch-pound or SI in texts and pictures.",
)
@click.option(
    "--check",
    "places",
    multiple=True,
    metavar="FILE|DIR",
    help="Check files of materials and tell every fault of all of them; may be repeated.",
)
@click.option(
    "--template",
    type=click.Choice(["material", "film", "board"]),
    is_flag=False,
    flag_value="material",
    help="Print a file to fill: of a material if nothing else is said, of a film or a faced board.",
)
@click.option("--quiet", is_flag=True, help="Print nothing but what is wrong.")
@debug_option
def materials(
    words: tuple[str, ...],
    out: Path | None,
    json_file: str | None,
    units: str,
    places: tuple[str, ...],
    template: str | None,
    quiet: bool,
) -> None:
    """List the materials, films and faced boards of the library; or tell one of them in full.

    With WORDS those are listed that speak of all of them; with the NAME of one, or a FILE of your own, its
    curves, and the source of every number, are told. Materials of your own are listed as well if
    MOISTWALL_MATERIALS names their folder.
    """
    _refuse_together(words, out, json_file, places, template)
    system = cast("System", units)
    if template is not None:
        from moistwall.show.material_template import Sort, material_template

        click.echo(material_template(cast("Sort", template)), nl=False)
        return
    if places:
        _check(places, quiet)
        return
    from moistwall.cli.files import check_writable, write_all

    found = _found(words)
    one = found[0] if len(found) == 1 and words else None
    if out is not None and one is None:
        remedy = "name one: moistwall materials NAME --out DIR"
        raise InputError(Fault("", "--out", str(out), "needs one material", remedy))
    pictures = {} if out is None or one is None else _pictures(one, system, out)
    json_path = None if json_file in (None, "-") else Path(json_file)
    faults = Faults()
    faults.of(lambda: check_writable([*pictures, *([] if json_path is None else [json_path])]))
    faults.refuse()
    data, text = _told(found, one, system)
    written = json.dumps(data, indent=2, allow_nan=False, ensure_ascii=False) + "\n"
    if json_path is not None:
        pictures[json_path] = written.encode("utf-8")
    write_all(pictures)
    if json_file == "-":
        click.echo(written, nl=False)
    elif not quiet:
        click.echo(text, nl=False)
    if not quiet:
        for path in pictures:
            click.echo(f"wrote {path}", err=True)


def _refuse_together(
    words: tuple[str, ...],
    out: Path | None,
    json_file: str | None,
    places: tuple[str, ...],
    template: str | None,
) -> None:
    """Refuse what has no meaning beside ``--check`` and ``--template``."""
    others = {"NAME": " ".join(words), "--out": out, "--json": json_file}
    if template is not None:
        others["--check"] = " ".join(places)
        alone = "--template"
    elif places:
        alone = "--check"
    else:
        return
    faults = [
        Fault("", name, str(value), f"cannot stand beside {alone}", "give one of the two")
        for name, value in others.items()
        if value
    ]
    if faults:
        raise InputError(faults)


def _check(places: tuple[str, ...], quiet: bool) -> None:
    """Check files; every fault of all of them is one error, what is unusual is told beside."""
    from moistwall.material_folder import check_material_files

    found = check_material_files(places)
    if not quiet:
        for warning in found.warnings:
            click.echo(f"unusual: {warning}", err=True)
    if found.faults:
        raise MaterialError(list(found.faults))
    if not quiet:
        files = "1 file" if len(found.files) == 1 else f"{len(found.files)} files"
        click.echo(f"{files} checked: no fault, {len(found.warnings) or 'nothing'} unusual")


def _found(words: tuple[str, ...]) -> list[MaterialFacts]:
    """What is named, or speaks of all the words; everything without words."""
    from moistwall.library import material_names
    from moistwall.names import did_you_mean, plain_name
    from moistwall.show.material_facts import facts_of_file, material_facts

    text = " ".join(words)
    if text.endswith(".toml"):
        return [facts_of_file(Path(text))]
    names = material_names()
    if words:
        try:
            return [material_facts(text)]
        except MaterialError as error:
            if plain_name(text) in {plain_name(name) for name in names}:
                raise  # its file is wrong
            not_named = error
    found = [material_facts(name) for name in names]
    chosen = [one for one in found if one.speaks_of(text)]
    if not chosen:
        remedy = did_you_mean(text, names) or not_named.faults[0].remedy
        raise InputError(Fault("", "NAME", text, "nothing has this name or speaks of it", remedy))
    return chosen


def _told(
    found: list[MaterialFacts], one: MaterialFacts | None, system: System
) -> tuple[dict[str, Any], str]:
    """Numbers and text of the list, or of one material."""
    if one is not None:
        from moistwall.show.material_summary import material_summary
        from moistwall.show.material_text import material_text

        return material_summary(one), material_text(one, system)
    from moistwall.show.material_list import list_text
    from moistwall.show.material_summary import list_summary

    return list_summary(found), list_text(found, system)


def _pictures(one: MaterialFacts, system: System, out: Path) -> dict[Path, bytes]:
    """Curves of the material, or of each part of a board."""
    from moistwall.library import find_record
    from moistwall.show.material_facts import parts_of
    from moistwall.show.material_pictures import material_figure
    from moistwall.show.pictures import picture_files

    files: dict[Path, bytes] = {}
    parts = parts_of(one.entry)
    for part in parts:
        record = one.record if len(parts) == 1 else find_record(part.name)
        name = "-".join(part.name.lower().replace("/", " ").split())
        figure = material_figure(one, part, record, system)
        files |= {out / file: content for file, content in picture_files(name, figure).items()}
    return files
