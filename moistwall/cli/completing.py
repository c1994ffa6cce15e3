"""What a shell offers when Tab is pressed: names of the library, then files."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from importlib import import_module

import click
from click.shell_completion import CompletionItem

Complete = Callable[[click.Context, click.Parameter, str], list[CompletionItem]]


def offers(names: Callable[[], Iterable[str]]) -> Complete:
    """Make what click asks for the words that begin so: the names, and files beside them.

    Parameters
    ----------
    names : callable
        Lists the names; called when Tab is pressed.
    """

    def complete(
        ctx: click.Context, parameter: click.Parameter, incomplete: str
    ) -> list[CompletionItem]:
        # a shell completes files where no name fits
        found = [CompletionItem(name) for name in names() if name.startswith(incomplete)]
        return [*found, CompletionItem(incomplete, type="file")]

    return complete


def _of_library(function: str) -> Complete:
    """Offer what a function of the library lists, imported when Tab is pressed."""
    return offers(lambda: getattr(import_module("moistwall.library"), function)())


complete_assembly = _of_library("example_names")
"""Shipped examples and files."""

complete_climate = _of_library("climate_names")
"""Shipped years and files."""

complete_material = _of_library("material_names")
"""Materials, films and boards of the library, and files."""

complete_stages = _of_library("stages_names")
"""Shipped files of stages, and files."""


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
