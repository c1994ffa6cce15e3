"""``moistwall lesson``: a page for a class from a computed year, with a handout and the teacher's key."""

from __future__ import annotations

import sys
import time
from pathlib import Path
from typing import TYPE_CHECKING

import click

from moistwall.cli.completing import complete_climate, complete_lesson
from moistwall.cli.options import Faults, debug_option, rain_option
from moistwall.errors import Fault, InputError

if TYPE_CHECKING:
    from moistwall.lesson.story import Lesson


@click.command(short_help="Make a page for a class, with handout and key.")
@click.argument("name", metavar="LESSON", shell_complete=complete_lesson)
@click.option(
    "--climate",
    metavar="NAME|FILE",
    default="miami",
    show_default=True,
    shell_complete=complete_climate,
    help="The year, as for run.",
)
@click.option(
    "--level",
    type=click.Choice(["intro", "trade"]),
    default="intro",
    show_default=True,
    help="trade adds vapor pressure, perms and the saturation line.",
)
@click.option(
    "--out",
    metavar="FILE",
    type=click.Path(path_type=Path),
    required=True,
    help="The page, such as lesson.html; lesson-handout.html and lesson-key.html are written beside it.",
)
@click.option(
    "--gif",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="Write the moments as a moving picture too.",
)
@click.option(
    "--pictures",
    metavar="FOLDER",
    type=click.Path(path_type=Path),
    help="Write every moment as PNG and SVG into this folder too.",
)
@rain_option
@click.option("--quiet", is_flag=True, help="Print nothing.")
@debug_option
def lesson(
    name: str,
    climate: str,
    level: str,
    out: Path,
    gif: Path | None,
    pictures: Path | None,
    rain: str,
    quiet: bool,
) -> None:
    """Make the page of a LESSON: vapor-drive, foam, roof, leaks or dry-out.

    About ten sections of Heron Point are run through the year. The page is one file that works offline; its
    numbers are those of these runs.
    """
    from moistwall.cli.files import check_writable, write_all
    from moistwall.cli.study_options import announce_compiling
    from moistwall.lesson.plans import plan
    from moistwall.library import read_year

    faults = Faults()
    planned = faults.of(lambda: plan(name))
    year = faults.of(lambda: read_year(climate, rain_as_read=rain == "as-read", field="--climate"))
    faults.of(lambda: _ends_in_html(out))
    papers = [out, _beside(out, "handout"), _beside(out, "key")]
    outputs = papers + [path for path in (gif,) if path is not None]
    faults.of(lambda: check_writable(outputs + ([pictures / "moment.png"] if pictures else [])))
    faults.refuse()
    assert planned is not None
    assert year is not None
    if not quiet:
        announce_compiling()

    from moistwall.lesson.story import build_lesson

    def told(line: str) -> None:
        if not quiet and sys.stderr.isatty():
            click.echo(line, err=True)

    began = time.perf_counter()
    made = build_lesson(planned, year, told)
    files = _papers(made, papers, level == "trade") | _pictures(made, gif, pictures, level == "trade")  # fmt: skip
    write_all(files)
    if quiet:
        return
    from moistwall.lesson.text import lesson_text

    click.echo(lesson_text(made), nl=False)
    for path in files:
        click.echo(f"wrote {path}", err=True)
    click.echo(f"in {time.perf_counter() - began:.0f} s", err=True)


def _ends_in_html(out: Path) -> None:
    """Refuse a page that no browser would open when it is clicked."""
    if out.suffix.lower() not in (".html", ".htm"):
        remedy = f"write {out.with_name(out.name + '.html')}"
        raise InputError(Fault("", "--out", str(out), "does not end in .html", remedy))


def _beside(out: Path, what: str) -> Path:
    return out.with_name(f"{out.stem}-{what}{out.suffix or '.html'}")


def _papers(made: Lesson, paths: list[Path], trade: bool) -> dict[Path, bytes]:
    from moistwall.lesson.page import lesson_handout, lesson_key, lesson_page

    makers = (lesson_page, lesson_handout, lesson_key)
    return {
        path: maker(made, trade=trade).encode("utf-8")
        for path, maker in zip(paths, makers, strict=True)
    }


def _pictures(
    made: Lesson, gif: Path | None, folder: Path | None, trade: bool
) -> dict[Path, bytes]:
    files: dict[Path, bytes] = {}
    if gif is not None:
        from moistwall.lesson.figures import moments_gif

        files[gif] = moments_gif(made, trade=trade)
    if folder is not None:
        from moistwall.lesson.figures import moment_figure, picture_names
        from moistwall.show.pictures import picture_files

        for moment, stem in enumerate(picture_names(made)):
            figure = moment_figure(made, moment, trade=trade)
            for file, content in picture_files(stem, figure).items():
                files[folder / file] = content
    return files
