"""Material files to fill: a material, a film or a faced board of one's own."""

from __future__ import annotations

from typing import Literal

HEAD = """\
# {what} of one's own for moistwall. Every number here is invented: replace it.
# Quantities are text with their unit, as the source gives them. quality: published, handbook, memory
# (the source is named but was not seen) or estimate. valid: where the numbers hold. spread: how far
# sources lie apart; leave it out where there is one source only.
# Put the file into a folder named after its kind, such as foam, wool, sheathing, lining, cladding;
# name file or folder under materials = [...] in the assembly, or in MOISTWALL_MATERIALS.
# Check it with: moistwall materials --check FILE
"""

MATERIAL = """
type = "material"
name = "my board"
aliases = []
note = "invented: replace every number"
usual_thickness = "1/2 in"
wood = false   # true: water is read in percent of dry mass; with panel = true for glued panels

[density]
value = "40 lb/ft3"   # dry
spread = "36 lb/ft3 to 44 lb/ft3"
source = "invented"
quality = "estimate"
valid = ["-20 degC to 80 degC"]

[heat_capacity]
value = "0.3 Btu/(lb degF)"   # dry
source = "invented"
quality = "estimate"
valid = ["0 degC to 60 degC"]

[conductivity]
resistance = "R-0.5"   # or value = "0.14 W/(m K)", or points over water content
thickness = "1/2 in"
source = "invented"
quality = "estimate"
valid = ["0 degC to 50 degC"]

[vapor]
dry_cup = "5 perm"   # or value, or points over humidity; "1.2 perm in", "mu 10", "sd 2 m" as well
wet_cup = "12 perm"
thickness = "1/2 in"   # of the sample that the permeances are of
dry_cup_spread = "3 perm to 8 perm"
source = "invented"
quality = "estimate"
valid = ["25 %RH to 75 %RH", "5 degC to 40 degC"]

[storage]
form = "points"   # a monotone cubic; fit = "Guggenheim-Anderson-de Boer" where points are few
points = [
  ["50 %", "12 kg/m3"],
  ["65 %", "16 kg/m3"],
  ["80 %", "24 kg/m3"],
  ["95 %", "50 kg/m3"],
]
free = "300 kg/m3"    # what it draws up by itself
holds = "350 kg/m3"   # above it, water runs out
source = "invented"
quality = "estimate"
valid = ["50 %RH to 95 %RH", "10 degC to 40 degC"]

[liquid]
absorption = "0.01 kg/(m2 s^0.5)"   # or transport = "none"
source = "invented"
quality = "estimate"
valid = ["5 degC to 40 degC"]

[surface]
emittance = "90 %"
absorptance = "60 %"
source = "invented"
quality = "estimate"
valid = ["-20 degC to 80 degC"]

[mold]
sensitivity = "sensitive"   # very sensitive, sensitive, medium resistant, resistant
source = "invented"
quality = "estimate"
valid = ["0 degC to 50 degC"]
"""

FILM = """
type = "film"
name = "my membrane"
aliases = []
note = "invented: replace every number"

[vapor]
dry_cup = "5 perm"   # or value, or points = [["25 %", "1 perm"], ["75 %", "8 perm"]]
wet_cup = "8 perm"
dry_cup_spread = "3 perm to 8 perm"
source = "invented"
quality = "estimate"
valid = ["25 %RH to 75 %RH", "5 degC to 40 degC"]

[surface]
emittance = "90 %"
absorptance = "50 %"
source = "invented"
quality = "estimate"
valid = ["-20 degC to 80 degC"]

[mold]
sensitivity = "resistant"
source = "invented"
quality = "estimate"
valid = ["0 degC to 50 degC"]
"""

BOARD = """
type = "board"
name = "my faced board"
aliases = []
note = "a core between facers: only the core grows with the thickness"
usual_thickness = "1 in"
core = "polyiso core under foil"   # a material
outside = "foil facer"             # a film; leave one out where there is none
inside = "glass facer"
"""

Sort = Literal["material", "film", "board"]
WHAT: dict[Sort, tuple[str, str]] = {
    "material": ("A material", MATERIAL),
    "film": ("A film, sheet or coat", FILM),
    "board": ("A faced board", BOARD),
}


def material_template(sort: Sort) -> str:
    """A file to fill.

    Parameters
    ----------
    sort : {'material', 'film', 'board'}
        What it is a file of.

    Returns
    -------
    str
        TOML that can be read as it is, with invented numbers.
    """
    what, body = WHAT[sort]
    return HEAD.format(what=what) + body
