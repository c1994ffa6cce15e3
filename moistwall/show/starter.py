"""A first file of a wall, roof or floor: with a remark on each part, and ready to run."""

from __future__ import annotations

import json
import re
from importlib.resources import files
from typing import Literal

from moistwall.units import System

Kind = Literal["wall", "roof", "floor"]

PAIR = re.compile(r"@([^@|\n]+)\|([^@|\n]+)@")
"""A quantity in inch-pound and in SI, as the templates write it."""

PLAIN_WORD = re.compile(r"[\w.+/-]+", re.ASCII)
"""A name of a file that no shell takes for anything else."""


def starter(kind: Kind, file: str, name: str, system: System) -> str:
    """Fill the template of a kind.

    Parameters
    ----------
    kind : {'wall', 'roof', 'floor'}
        Which template.
    file : str
        Name of the file that it becomes, for the commands in its head.
    name : str
        What the report shall call it.
    system : {'ip', 'si'}
        Units of its quantities.

    Returns
    -------
    str
        An assembly file in TOML.
    """
    text = (files("moistwall.show") / "starters" / f"{kind}.toml").read_text(encoding="utf-8")
    text = PAIR.sub(lambda found: found[1 if system == "ip" else 2], text)
    shown = file if PLAIN_WORD.fullmatch(file) else "FILE"
    return text.replace("@file@", shown).replace("@name@", _toml_text(name or f"my {kind}"))


def _toml_text(text: str) -> str:
    """A text as TOML writes it, on one line; what is no text in Unicode becomes a question mark."""
    printable = "".join(one if one.isprintable() else "?" for one in text)
    return json.dumps(printable, ensure_ascii=False)
