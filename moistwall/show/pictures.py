"""Pictures as files: PNG and SVG, the same bytes for the same picture."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from matplotlib.figure import Figure

DPI = 150


def picture_files(name: str, figure: Figure) -> dict[str, bytes]:
    """A figure as PNG and SVG.

    Parameters
    ----------
    name : str
        Name of the files without ending.
    figure : Figure
        The figure.

    Returns
    -------
    dict of str to bytes
        File names and contents; text in the SVG is text.
    """
    import matplotlib

    png, svg = io.BytesIO(), io.BytesIO()
    with matplotlib.rc_context({"svg.hashsalt": name, "svg.fonttype": "none"}):
        figure.savefig(png, format="png", dpi=DPI, metadata={"Software": None})
        figure.savefig(svg, format="svg", metadata={"Date": None, "Creator": None})
    return {f"{name}.png": png.getvalue(), f"{name}.svg": svg.getvalue()}
