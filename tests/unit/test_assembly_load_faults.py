"""What is wrong with the loads in an assembly file is said in one message each."""

import copy
import random
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from moistwall.assembly import assembly_from_data, load_paths, read_assembly, resolve
from moistwall.errors import AssemblyError, Fault
from moistwall.library import data_folder

HEAD = """
[building]
height = "14 ft"
volume = "10800 ft3"
envelope_area = "3600 ft2"
[water_control]
layer = "foam"
seams = "taped"
"""
LAYERS = """
[[layer]]
id = "siding"
material = "fiber cement"
thickness = "5/16 in"
[[layer]]
id = "furring"
gap = "ventilated"
depth = "3/4 in"
[[layer]]
id = "foam"
material = "XPS"
thickness = "1 in"
[[layer]]
id = "sheathing"
material = "OSB"
thickness = "7/16 in"
[[layer]]
id = "wool"
material = "mineral wool"
thickness = "5 1/2 in"
[[layer]]
id = "board"
material = "gypsum board"
thickness = "1/2 in"
"""
GAP = 'gap = "ventilated"\ndepth = "3/4 in"'
ATTIC = 'gap = "ventilated"\ndepth = "3 ft"'


def faults(folder: Path, text: str) -> tuple[Fault, ...]:
    """Return the faults of a file with this content."""
    path = folder / "wall.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(AssemblyError) as caught:
        read_assembly(path)
    return caught.value.faults


def with_tables(tables: str) -> str:
    return HEAD + tables + LAYERS


def gap(keys: str, kind: str = GAP) -> str:
    return (HEAD + LAYERS).replace(GAP, f"{kind}\n{keys}")


def layer(name: str, keys: str, tables: str = "") -> str:
    return (HEAD + tables + LAYERS).replace(f'id = "{name}"', f'id = "{name}"\n{keys}')


def behind(share: str, first: str = "foam", second: str = "sheathing", more: str = "") -> str:
    return f'[[rain.behind]]\nshare = "{share}"\nbetween = ["{first}", "{second}"]\n{more}\n'


def storm(date: str = "Sep 10", more: str = "", first: str = "sheathing") -> str:
    return (
        f'[[event]]\nkind = "storm leak"\ndate = "{date}"\namount = "2 kg/m2"\n'
        f'between = ["{first}", "wool"]\n{more}\n'
    )


def uncooled(date: str, lasts: str, kind: str = "cooling off") -> str:
    return f'[[event]]\nkind = "{kind}"\ndate = "{date}"\nlasts = "{lasts}"\n'


NO_VOLUME = HEAD.replace('volume = "10800 ft3"\n', "")
NO_AREA = HEAD.replace('envelope_area = "3600 ft2"\n', "")
NO_CONTROL = HEAD.partition("[water_control]")[0]

CASES = {
    "inlet larger than the gap": (
        gap('inlet = "1 in"'),
        (
            "layer[2].inlet",
            "1 in",
            "larger than the gap, which is 3/4 in deep",
            "at most the depth",
        ),
    ),
    "outlet larger than the gap": (
        gap('inlet = "1/2 in"\noutlet = "20 mm"'),
        ("layer[2].outlet", "20 mm", "larger than the gap, which is 3/4 in deep", "at most the"),
    ),
    "negative inlet": (
        gap('inlet = "-1/2 in"'),
        ("layer[2].inlet", "-1/2 in", "must not be negative", "19 mm"),
    ),
    "openings beside a rate": (
        gap('inlet = "1/2 in"\nair_changes = "100 1/h"'),
        ("layer[2].inlet", "1/2 in", "is given beside air_changes", "give one of them"),
    ),
    "openings of a sealed gap": (
        gap('inlet = "1/2 in"', 'gap = "sealed"\ndepth = "3/4 in"'),
        ("layer[2].inlet", "1/2 in", "a sealed gap has no outdoor air", "name another gap"),
    ),
    "second opening of a vented gap": (
        gap('inlet = "1/2 in"\noutlet = "1/2 in"', 'gap = "vented"\ndepth = "3/4 in"'),
        ("layer[2].outlet", "1/2 in", "a vented gap has one", "ventilated"),
    ),
    "ventilated gap closed at its top": (
        gap('inlet = "1/2 in"\noutlet = "0 in"'),
        ("layer[2].outlet", "0 in", "is closed", 'gap = "vented"'),
    ),
    "vented gap without an opening": (
        gap('inlet = "0 in"', 'gap = "vented"\ndepth = "3/4 in"'),
        ("layer[2].inlet", "0 in", "leaves no opening", "open one"),
    ),
    "screen of no opening": (
        gap('screen_free_area = "50 %"'),
        ("layer[2].screen_free_area", "50 %", "no meaning without openings", 'inlet = "3/4 in"'),
    ),
    "screen of more than everything": (
        gap('inlet = "1/2 in"\nscreen_free_area = "120 %"'),
        ("layer[2].screen_free_area", "120 %", "a share must lie between", "50 %"),
    ),
    "rise above the path": (
        gap('inlet = "1/2 in"\nlength = "8 ft"\nrise = "9 ft"'),
        ("layer[2].rise", "9 ft", "more than the length of the path, 8 ft", "between the openings"),
    ),
    "rise of level furring": (
        gap('inlet = "1/2 in"\nrise = "4 ft"\nfurring = "horizontal"'),
        ("layer[2].rise", "4 ft", "level furring", "leave it out"),
    ),
    "attic without a rise": (
        gap('net_free_area = "1/150"', ATTIC),
        ("layer[2].rise", "", "is missing: how high the ridge vents lie", 'rise = "4 ft"'),
    ),
    "attic with slots": (
        gap('net_free_area = "1/150"\nrise = "4 ft"\ninlet = "1 in"', ATTIC),
        ("layer[2].inlet", "1 in", "is given beside net_free_area", "give slots, or"),
    ),
    "attic ratio that is none": (
        gap('net_free_area = "150"\nrise = "4 ft"', ATTIC),
        ("layer[2].net_free_area", "150", "is no ratio", "1/300"),
    ),
    "attic of one opening": (
        gap('net_free_area = "1/300"\nrise = "4 ft"', 'gap = "vented"\ndepth = "3 ft"'),
        ("layer[2].net_free_area", "1/300", "open low and high", 'gap = "ventilated"'),
    ),
    "air changes at 50 Pa without a volume": (
        NO_VOLUME + '[leakage]\nach50 = "7 1/h"\n' + LAYERS,
        ("leakage.ach50", "7 1/h", "without the volume of the building", "volume = "),
    ),
    "test of a series without a volume": (
        NO_VOLUME + '[leakage]\n[[leakage.test]]\nlabel = "a"\nach50 = "7 1/h"\n' + LAYERS,
        ("leakage.test[1].ach50", "7 1/h", "without the volume of the building", "volume = "),
    ),
    "flow at 50 Pa without an area": (
        NO_AREA + '[leakage]\ncfm50 = "1200 cfm"\n' + LAYERS,
        ("leakage.cfm50", "1200 cfm", "needs the area of the enclosure", "envelope_area = "),
    ),
    "negative fan": (
        with_tables('[leakage]\nach50 = "7 1/h"\nexhaust = "-80 cfm"\n'),
        ("leakage.exhaust", "-80 cfm", "is out of range", "from 0 cfm"),
    ),
    "negative leakage": (
        with_tables('[leakage]\ncfm50 = "-1200 cfm"\n'),
        ("leakage.cfm50", "-1200 cfm", "is out of range", "from 1 cfm"),
    ),
    "bare air changes": (
        with_tables("[leakage]\nach50 = 7.0\n"),
        ("leakage.ach50", "7.0", "a bare number; needs a number of air changes", "100 1/h"),
    ),
    "leakage without a test": (
        with_tables('[leakage]\nexhaust = "80 cfm"\n'),
        ("leakage", "", "needs a blower-door test", "[[leakage.test]]"),
    ),
    "leakage said twice": (
        with_tables('[leakage]\nach50 = "7 1/h"\ncfm50 = "1200 cfm"\n'),
        ("leakage", "", "has ach50 and cfm50", "give one of"),
    ),
    "test of a series without a result": (
        with_tables('[leakage]\n[[leakage.test]]\nlabel = "before"\n'),
        ("leakage.test[1]", "before", "needs one of ach50 and cfm50", "7 1/h"),
    ),
    "labels alike": (
        with_tables(
            '[leakage]\n[[leakage.test]]\nlabel = "a"\nach50 = "7 1/h"\n'
            '[[leakage.test]]\nlabel = "A"\nach50 = "3 1/h"\n'
        ),
        ("leakage.test[2].label", "A", "is the label of leakage.test[1] as well", "its own"),
    ),
    "exponent that no crack has": (
        with_tables('[leakage]\nach50 = "7 1/h"\nexponent = "0.4"\n'),
        ("leakage.exponent", "0.4", "is no exponent from 0.5 to 1", "0.65"),
    ),
    "leaks above the building": (
        with_tables('[leakage]\nach50 = "7 1/h"\nleaks_at = "15 ft"\n'),
        ("leakage.leaks_at", "15 ft", "is above the building, which is 14 ft high", "lowest floor"),
    ),
    "leaks above a building of unsaid height": (
        with_tables('[leakage]\nach50 = "7 1/h"\nleaks_at = "13 ft"\n').replace(
            'height = "14 ft"\n', ""
        ),
        ("leakage.leaks_at", "13 ft", "12 ft, as none is given, high", "lowest floor"),
    ),
    "contact of air that meets nothing": (
        with_tables('[leakage]\nach50 = "7 1/h"\ncontact = "50 %"\n'),
        ("leakage.contact", "50 %", "no meaning where the air spreads", "meets = "),
    ),
    "short cut to an interface that is not there": (
        with_tables('[leakage]\nach50 = "7 1/h"\nmeets = ["sheathing", "board"]\n'),
        ("leakage.meets", "sheathing and board", "do not touch: between them lies wool", "wool"),
    ),
    "short cut to a layer that is not there": (
        with_tables('[leakage]\nach50 = "7 1/h"\nmeets = ["sheeting", "wool"]\n'),
        ("leakage.meets[1]", "sheeting", "names no layer, film or gap", "'sheathing'"),
    ),
    "short cut inside out": (
        with_tables('[leakage]\nach50 = "7 1/h"\nmeets = ["wool", "sheathing"]\n'),
        ("leakage.meets", "wool and sheathing", "not in order", '["sheathing", "wool"]'),
    ),
    "short cut within one layer": (
        with_tables('[leakage]\nach50 = "7 1/h"\nmeets = ["wool", "wool"]\n'),
        ("leakage.meets", "wool and wool", "are one and the same", "two neighbors"),
    ),
    "place of one name": (
        with_tables('[leakage]\nach50 = "7 1/h"\nmeets = ["wool"]\n'),
        ("leakage.meets", "['wool']", "has 1 entry", "give at least 2"),
    ),
    "rain over 100 %": (
        with_tables('[rain]\nleak_share = "60 %"\n' + behind("41 %")),
        ("rain.behind", "", "add up to 101 %, over 100 %", "at most all of the rain"),
    ),
    "one share of rain over 100 %": (
        with_tables('[rain]\nleak_share = "101 %"\n'),
        ("rain.leak_share", "101 %", "a share must lie between", "50 %"),
    ),
    "rain and nothing that keeps it out": (
        NO_CONTROL + "[rain]\n" + LAYERS,
        ("rain.leak_share", "", "there is no water-control layer", 'leak_share = "0 %"'),
    ),
    "rain behind the outermost layer": (
        with_tables('[rain]\nleak_share = "2 %"\n').replace('layer = "foam"', 'layer = "siding"'),
        ("rain.leak_share", "2 %", "is the outermost one", "leave it out"),
    ),
    "rain at a place that is not there": (
        with_tables("[rain]\n" + behind("1 %", "siding", "foam")),
        ("rain.behind[1].between", "siding and foam", "between them lies furring", '"furring"]'),
    ),
    "unknown position": (
        with_tables('[rain]\nposition = "below the moon"\n'),
        ("rain.position", "below the moon", "must be one of 'below steep roof'", ""),
    ),
    "unknown exposure": (
        with_tables("[rain]\n").replace('height = "14 ft"', 'exposure = "windy"'),
        ("building.exposure", "windy", "must be one of 'sheltered', 'medium' or 'severe'", ""),
    ),
    "leaks named alike": (
        with_tables(
            "[rain]\n"
            + behind("1 %", more='name = "hole"')
            + behind("1 %", "sheathing", "wool", 'name = "Hole"')
        ),
        ("rain.behind[2].name", "Hole", "has the name of rain.behind[1]", "a name of its own"),
    ),
    "leak and event named alike": (
        with_tables("[rain]\n" + behind("1 %", more='name = "hole"') + storm(more='name = "hole"')),
        ("event[1].name", "hole", "has the name of rain.behind[1]", "a name of its own"),
    ),
    "date outside the year": (
        with_tables(storm("Feb 29")),
        ("event[1].date", "Feb 29", "lies outside the year: Feb has 28 days", "Sep 10"),
    ),
    "no date": (
        with_tables(storm("10/9")),
        ("event[1].date", "10/9", "is no date of the year", "Sep 10"),
    ),
    "no month": (
        with_tables(storm("Marvember 3")),
        ("event[1].date", "Marvember 3", "is no date of the year", "Sep 10"),
    ),
    "event beyond the year": (
        with_tables(uncooled("Dec 28", "10 days")),
        ("event[1].lasts", "10 days", "runs beyond the end of the year", "Dec 31"),
    ),
    "event of half an hour more": (
        with_tables(storm(more='lasts = "90 min"')),
        ("event[1].lasts", "90 min", "is no number of hours", "whole hours"),
    ),
    "cooling off twice at a time": (
        with_tables(uncooled("Sep 1", "10 days") + uncooled("Sep 10", "2 days")),
        ("event[2].date", "Sep 10", "overlaps event[1]", "join the two"),
    ),
    "shut while cooling is off": (
        with_tables(uncooled("Sep 5", "10 days") + uncooled("Sep 1", "2 weeks", "shut")),
        ("event[2].date", "Sep 1", "overlaps event[1]", "join the two"),
    ),
    "two storm leaks at one place and time": (
        with_tables(storm() + storm(more='name = "other"\nlasts = "1 h"')),
        ("event[2].date", "Sep 10", "overlaps event[1]", "join the two"),
    ),
    "unknown event": (
        with_tables('[[event]]\nkind = "meteor"\ndate = "Sep 10"\n'),
        ("event[1].kind", "meteor", "must be one of 'storm leak', 'cooling off', 'shut'", ""),
    ),
    "key of another kind of event": (
        with_tables(uncooled("Sep 1", "2 days") + 'amount = "2 kg/m2"\n'),
        ("event[1].amount", "2 kg/m2", "is not a known key", ""),
    ),
    "storm leak of nothing": (
        with_tables(storm().replace("2 kg/m2", "0 kg/m2")),
        ("event[1].amount", "0 kg/m2", "is out of range", "from 1 g/m2"),
    ),
    "start twice": (
        layer("wool", 'start = "80 %"\nstart_humidity = "80 %"'),
        ("layer[5].start", "80 %", "is given beside start_humidity", ""),
    ),
    "wetter than the material can be": (
        layer("sheathing", 'start = "95 %MC"'),
        ("layer[4].start", "95 %MC", "more water than OSB holds", "570 kg/m3"),
    ),
    "drier than dry": (
        layer("sheathing", 'start = "0 kg/m3"'),
        ("layer[4].start", "0 kg/m3", "less water than OSB has at 1 %", "570 kg/m3"),
    ),
    "start humidity above saturation": (
        layer("sheathing", 'start = "100 %"'),
        ("layer[4].start", "100 %", "is out of range", "19 %MC"),
    ),
    "bare start": (
        layer("sheathing", 'start = "19"'),
        ("layer[4].start", "19", "has no unit", '"12 %MC"'),
    ),
    "preset without effect": (
        with_tables('[start]\npreset = "damp lumber"\n'),
        ("start.preset", "damp lumber", "changes none of the layers", "leave it out"),
    ),
    "unknown preset": (
        with_tables('[start]\npreset = "moist"\n'),
        ("start.preset", "moist", "must be one of 'damp lumber'", ""),
    ),
    "studs in a gap": (
        with_tables('[studs]\nlayer = "furring"\n'),
        ("studs.layer", "furring", "studs interrupt a layer", "name a layer"),
    ),
    "studs in nothing": (
        with_tables("[studs]\n").replace('material = "mineral wool"', 'material = "XPS"'),
        ("studs.layer", "", "there is no wool", "name the layer"),
    ),
    "studs in wool of an unknown name": (
        with_tables("[studs]\n").replace('material = "mineral wool"', 'material = "R-13 batts"'),
        ("layer[5].material", "R-13 batts", "no material, film or board has this name", ""),
    ),
    "studs in two wools": (
        with_tables("[studs]\n").replace('material = "gypsum board"', 'material = "mineral wool"'),
        ("studs.layer", "", "could be wool, board", "name the layer"),
    ),
    "studs of unknown lumber": (
        with_tables('[studs]\nmaterial = "sprouce"\n'),
        ("studs.material", "sprouce", "no material", "'spruce'"),
    ),
    "studs as wide as their spacing": (
        with_tables('[studs]\nwidth = "16 in"\nspacing = "16 in"\n'),
        ("studs.width", "16 in", "leaves no room between studs that are 16 in apart", "wider"),
    ),
    "width without a spacing": (
        with_tables('[studs]\nwidth = "1 1/2 in"\n'),
        ("studs.spacing", "", "is missing beside width", 'spacing = "16 in"'),
    ),
    "share beside a spacing": (
        with_tables('[studs]\nshare = "25 %"\nspacing = "16 in"\n'),
        ("studs.spacing", "16 in", "is given beside the share", "give one"),
    ),
    "share of everything": (
        with_tables('[studs]\nshare = "100 %"\n'),
        ("studs.share", "100 %", "is out of range", "from 1 % to 90 %"),
    ),
    "studs too wet": (
        with_tables('[studs]\nstart = "200 %MC"\n'),
        ("studs.start", "200 %MC", "more water than spruce holds", "%MC"),
    ),
}


@pytest.mark.parametrize(("text", "wanted"), CASES.values(), ids=CASES)
def test_one_mistake_gives_one_message(
    tmp_path: Path, text: str, wanted: tuple[str, str, str, str]
) -> None:
    """Each mistake alone gives one fault, with file, field, value, problem and remedy."""
    (fault,) = faults(tmp_path, text)
    field, value, problem, remedy = wanted
    assert fault.file == str(tmp_path / "wall.toml")
    assert (fault.field, fault.value) == (field, value)
    assert problem in fault.problem
    assert remedy in fault.remedy


def test_the_file_that_the_cases_change_is_right(tmp_path: Path) -> None:
    """What the cases start from has no fault of its own."""
    path = tmp_path / "wall.toml"
    path.write_text(HEAD + LAYERS, encoding="utf-8")
    assert len(read_assembly(path).given.layer) == 6


def test_mistakes_of_several_tables_come_together(tmp_path: Path) -> None:
    """A wrong value in one table hides no mistake between the others."""
    text = with_tables(
        '[rain]\nleak_share = "60 %"\n'
        + behind("50 %")
        + '[leakage]\nach50 = 7\n[studs]\nmaterial = "sprouce"\n'
        + uncooled("Dec 30", "1 week")
    )
    fields = {fault.field for fault in faults(tmp_path, text)}
    assert fields == {"rain.behind", "leakage.ach50", "studs.material", "event[1].lasts"}


def test_an_unknown_stage_is_named(tmp_path: Path) -> None:
    """A test that the series does not have comes with those that it has."""
    path = tmp_path / "wall.toml"
    path.write_text(
        with_tables('[leakage]\n[[leakage.test]]\nlabel = "before sealing"\nach50 = "7 1/h"\n'),
        encoding="utf-8",
    )
    with pytest.raises(AssemblyError, match="label of no blower-door test") as caught:
        load_paths(path, stage="after")
    assert caught.value.faults[0].remedy == "known: before sealing"


def places(table: Any, above: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """List the places of everything that stands in a file."""
    pairs = table.items() if isinstance(table, dict) else enumerate(table)
    for key, value in pairs:
        yield (*above, key)
        if isinstance(value, dict | list):
            yield from places(value, (*above, key))


@pytest.mark.parametrize("seed", range(6))
def test_whatever_stands_anywhere_is_taken_or_refused(seed: int) -> None:
    """Odd values and missing keys at random places end in a section or in an error that names them."""
    odd = [5, -1, "", "x", [], {}, None, True, "1 in", ["a", "b"], {"a": 1}, "0 in", "100 %", 1e300]
    chance = random.Random(seed)
    name = data_folder("examples") / "heron-point-wall-all-loads.toml"
    whole = tomllib.loads(name.read_text(encoding="utf-8"))
    refused = 0
    for _ in range(60):
        data = copy.deepcopy(whole)
        *above, key = chance.choice(list(places(data)))
        here: Any = data
        for step in above:
            here = here[step]
        if chance.random() < 0.25:
            del here[key]
        else:
            here[key] = copy.deepcopy(chance.choice(odd))
        try:
            assembly = assembly_from_data(data, file="wall.toml")
        except AssemblyError as error:
            found = error.faults
            refused += 1
        else:
            found = ()
            resolve(assembly)
            if assembly.given.studs is not None:
                resolve(assembly, studs=True)
        assert all(fault.file and fault.problem for fault in found)
    assert 20 < refused < 60
