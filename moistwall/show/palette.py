"""Colors of all pictures: the color-blind-safe set of Okabe and Ito (2008), and cividis for humidity."""

from __future__ import annotations

TEMPERATURE = "#E69F00"
"""Orange."""

DEW_POINT = "#8A5A9E"
"""Purple, for dew points and vapor pressure (a darker mix of the set's reddish purple)."""

INK = "#222222"
HATCH = "#8A8A8A"
PAPER = "#FFFFFF"
FILM = "#0072B2"
"""Films laid by themselves."""

FACER = "#6E6E6E"
"""Facers of boards."""

CONTROL = "#D55E00"
"""The water-control layer."""

NO_PORES = "#B9BEC1"
"""Layers in which no moisture is, in the humidity map."""

SUN_RAMP = ("#FFF8E8", "#FBE0A8", "#F3BE50", TEMPERATURE, "#BC7800")
"""Sunshine, from little to much: tints and shades of the orange of temperature."""

HUMIDITY_MAP = "cividis_r"
"""Dry is light, wet is dark."""

LAYER_FILL = {
    "cladding": "#D3D8DB",
    "foam": "#F3E7C9",
    "sheathing": "#D8B98A",
    "wool": "#F6EFD9",
    "lining": "#E9E9E6",
    "lumber": "#CDA873",
    "masonry": "#CFC8BE",
    "natural": "#E3D5AE",
    "flooring": "#DDD6CB",
    "ground": "#BFAE94",
}
"""Fill by kind of material; other kinds are white."""

LAYER_HATCH = {
    "cladding": "---",
    "foam": "o",
    "sheathing": "xx",
    "wool": "//",
    "lining": "..",
    "lumber": "||",
    "masonry": "++",
    "natural": "\\\\",
    "flooring": "--",
    "ground": "O.",
}
"""Hatch by kind of material, so that no layer is told by color alone."""
