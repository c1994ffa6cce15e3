"""What a shell offers when Tab is pressed: names of the library, then files."""

from __future__ import annotations

from collections.abc import Iterable

import click
from click.shell_completion import CompletionItem


def _offered(names: Iterable[str], begun: str) -> list[CompletionItem]:
    """Names that begin so, and files: a shell completes files where no name fits."""
    found = [CompletionItem(name) for name in names if name.startswith(begun)]
    return [*found, CompletionItem(begun, type="file")]


def complete_assembly(
    ctx: click.Context, parameter: click.Parameter, incomplete: str
) -> list[CompletionItem]:
    """Shipped examples and files.

    Parameters
    ----------
    ctx, parameter
        As click gives them.
    incomplete : str
        What has been typed.
    """
    from moistwall.library import data_folder

    names = sorted(path.stem for path in data_folder("examples").glob("*.toml"))
    return _offered(names, incomplete)


def complete_climate(
    ctx: click.Context, parameter: click.Parameter, incomplete: str
) -> list[CompletionItem]:
    """Shipped years and files; as `complete_assembly`.

    Parameters
    ----------
    ctx, parameter
        As click gives them.
    incomplete : str
        What has been typed.
    """
    from moistwall.library import climate_names

    return _offered(climate_names(), incomplete)


def complete_material(
    ctx: click.Context, parameter: click.Parameter, incomplete: str
) -> list[CompletionItem]:
    """Materials, films and boards of the library, and files; as `complete_assembly`.

    Parameters
    ----------
    ctx, parameter
        As click gives them.
    incomplete : str
        What has been typed.
    """
    from moistwall.library import material_names

    return _offered(material_names(), incomplete)


def complete_lesson(
    ctx: click.Context, parameter: click.Parameter, incomplete: str
) -> list[CompletionItem]:
    """Names of lessons.

    Parameters
    ----------
    ctx, parameter
        As click gives them.
    incomplete : str
        What has been typed.
    """
    from moistwall.lesson.plans import LESSONS

    return [CompletionItem(name) for name in LESSONS if name.startswith(incomplete)]
