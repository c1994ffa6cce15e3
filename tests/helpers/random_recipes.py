"""Assemblies, years and rooms drawn at random from all that a file may say, as plain data.

A recipe is fit for JSON, so that one that fails is kept as a case. Everything is drawn from a
`random.Random`: hypothesis gives one that it can shrink, a long run gives one by seed.
"""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass, replace
from functools import cache
from random import Random
from typing import Any

import numpy as np
from numpy.typing import NDArray

from moistwall.assembly import assembly_from_data
from moistwall.climate.hours import HOURS
from moistwall.climate.record import Climate
from moistwall.errors import InputError
from moistwall.library import climate_names, find_entry, material_names, read_year
from moistwall.material import FacedBoard, FilmMaterial

Array = NDArray[np.float64]

WEATHERS = ("shipped", "days shuffled", "hours shuffled", "arctic", "steps", "constant", "sultry")
"""Kinds of years that are drawn."""

COLDEST = -38.0
"""Lowest dew point for which the sky's radiation is known. [degC]"""

ROOMS = ("constant", "wave", "steps")
"""Kinds of rooms that are drawn."""


@dataclass(frozen=True)
class Recipe:
    """What a run is made from.

    Parameters
    ----------
    assembly : dict
        An assembly file, as TOML gives it.
    weather, base : str
        Kind of year, one of `WEATHERS`, and the shipped year that it is made from.
    room : str
        One of `ROOMS`.
    seed : int
        Of what is drawn by the hour.
    first, hours : int
        Where in the year the run starts, and how long it is.
    studs : bool
        Whether the path through the studs is run.
    """

    assembly: dict[str, Any]
    weather: str
    base: str
    room: str
    seed: int
    first: int
    hours: int
    studs: bool = False

    def data(self) -> dict[str, Any]:
        """As plain data."""
        return asdict(self)


@cache
def _library() -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Names of all materials and boards, and of all films."""
    films, solid = [], []
    for name in material_names():
        (films if isinstance(find_entry(name), FilmMaterial) else solid).append(name)
    return tuple(solid), tuple(films)


@cache
def shipped(name: str) -> Climate:
    """A shipped year."""
    return read_year(name)


def draw_recipe(
    random: Random, *, most_layers: int = 12, hours: tuple[int, int] = (24, 168)
) -> Recipe:
    """Draw a run.

    Parameters
    ----------
    random : Random
        Where chance comes from.
    most_layers : int
        Layers at most.
    hours : (int, int)
        Shortest and longest run. [h]
    """
    length = random.randint(*hours)
    first = random.randint(0, HOURS - length)
    assembly = _assembly(random, most_layers, first, length)
    return Recipe(
        assembly,
        weather=random.choice(WEATHERS),
        base=random.choice(climate_names()),
        room=random.choice(ROOMS),
        seed=random.randint(0, 99_999),
        first=first,
        hours=length,
        studs="studs" in assembly and random.random() < 0.5,
    )


def draw_zoned_recipe(
    random: Random, *, most_layers: int = 8, hours: tuple[int, int] = (24, 168)
) -> Recipe:
    """Draw a run whose air at one end is balanced: a room with its machines, a sealed attic, a crawl space.

    Parameters
    ----------
    random : Random
        Where chance comes from.
    most_layers : int
        Layers at most.
    hours : (int, int)
        Shortest and longest run. [h]
    """
    plain = draw_recipe(random, most_layers=most_layers, hours=hours)
    data = dict(plain.assembly)
    table = random.choice(("room", "room", "attic", "crawl_space"))
    data.pop("event", None)  # days without cooling are those of a room that is set
    data["kind"] = {"room": data["kind"], "attic": "roof", "crawl_space": "floor"}[table]
    low, high = {"wall": (30, 150), "roof": (0, 90), "floor": (90, 180)}[data["kind"]]
    data["slope"] = f"{random.randint(low, high)} deg"
    if table == "room":
        data.get("leakage", {}).pop("meets", None)
        data["room"] = _balanced_room(random, "leakage" in data)
    else:
        data.pop("leakage", None)
        for entry in data["layer"]:
            for key in ("net_free_area", "rise"):
                entry.pop(key, None)
        data[table] = _attic(random) if table == "attic" else _crawl_space(random)
    return replace(plain, assembly=data, room="constant", studs=False)


# assemblies --------------------------------------------------------------------------------------


def _millimeters(random: Random, low: float, high: float) -> str:
    """A length between two, each decade as likely as another."""
    return f"{math.exp(random.uniform(math.log(low), math.log(high))):.4g} mm"


def _assembly(random: Random, most_layers: int, first: int, length: int) -> dict[str, Any]:
    kind = random.choice(("wall", "wall", "roof", "floor"))
    low, high = {"wall": (30, 150), "roof": (0, 90), "floor": (90, 180)}[kind]
    data: dict[str, Any] = {
        "name": "drawn",
        "kind": kind,
        "facing": f"{random.randint(0, 359)} deg",
    }
    if kind == "roof" or random.random() < 0.3:
        data["slope"] = f"{random.randint(low, high)} deg"
    if random.random() < 0.3:
        data["surfaces_hold"] = f"{random.choice((1, 35, 100, 400, 1000))} g/m2"
    if random.random() < 0.5:
        shades = ("white", "light", "medium", "dark", "black")
        data["outside"] = random.choice(
            ({"color": random.choice(shades)}, {"absorptance": "100 %", "emittance": "5 %"})
        )
    data["room"] = {
        "temperature": f"{random.choice((2, 12, 18, 22, 24, 26, 32, 45))} degC",
        "humidity": f"{random.choice((3, 20, 40, 50, 65, 80, 95, 99))} %",
    }
    entries = _entries(random, most_layers)
    data["layer"] = entries
    solid = [k for k, one in enumerate(entries) if "gap" not in one]
    if random.random() < 0.6:
        layer = entries[random.choice(solid)]["id"]
        data["water_control"] = {
            "layer": layer,
            "seams": random.choice(("taped", "lapped", "open")),
        }
    if random.random() < 0.4:
        data["start"] = {
            "preset": random.choice(("damp lumber", "rained on during framing", "flooded"))
        }
    data["building"] = {
        "height": f"{random.choice((3, 6, 30, 100))} m",
        "volume": f"{random.choice((50, 300, 5000))} m3",
        "envelope_area": f"{random.choice((60, 400, 3000))} m2",
        "exposure": random.choice(("sheltered", "medium", "severe")),
    }
    _loads(random, data, first, length)
    try:
        assembly_from_data(data, file="drawn")
    except InputError as error:
        if any(fault.field == "start.preset" for fault in error.faults):
            del data["start"]  # a preset that changes nothing is refused, and rightly so
    return data


def _entries(random: Random, most_layers: int) -> list[dict[str, Any]]:
    """Layers from outside to inside, with films on their faces and gaps between some."""
    solid, films = _library()
    count = random.choice((1, 2, 3, 4, 5, 6, 7, 8, 10, 12))
    count = min(count, most_layers)
    entries: list[dict[str, Any]] = []

    def film() -> None:
        if random.random() < 0.2:
            entries.append({"film": random.choice(films), "id": f"film {len(entries)}"})

    for k in range(count):
        film()
        if k > 0 and random.random() < 0.25:
            entries.append(_gap(random, f"gap {len(entries)}"))
            film()
        name = random.choice(solid)
        thickness = (
            _millimeters(random, 0.05, 1000)
            if random.random() < 0.5
            else _millimeters(random, 5, 150)
        )
        entry = {"material": name, "thickness": thickness, "id": f"layer {len(entries)}"}
        if random.random() < 0.5:
            entry["start"] = _start(random, name)
        entries.append(entry)
    film()
    return entries


def _start(random: Random, name: str) -> str:
    """Water at the start: mostly a humidity, else a share of all that the material holds."""
    if random.random() < 0.7:
        return f"{random.choice((1, 10, 30, 50, 70, 80, 90, 95, 98, 99))} %"
    entry = find_entry(name)
    material = entry.core if isinstance(entry, FacedBoard) else entry
    assert not isinstance(material, FilmMaterial)
    storage = material.storage
    dry = float(storage.content(np.array([math.log(0.05)]))[0])
    content = dry + random.random() * (storage.holds - dry)
    return f"{min(content, storage.holds):.9f} kg/m3"


def _gap(random: Random, name: str) -> dict[str, Any]:
    kind = random.choice(("sealed", "drained", "vented", "ventilated"))
    depth = random.choice((1, 3, 10, 20, 50, 200, 1500))
    gap: dict[str, Any] = {"gap": kind, "depth": f"{depth} mm", "id": name}
    how = random.random()
    if kind == "sealed" or how < 0.3:
        return gap
    if how < 0.5:
        gap["air_changes"] = f"{random.choice((0, 0.01, 1, 30, 800, 5000))} 1/h"
        return gap
    if kind == "ventilated" and how < 0.6:
        gap |= {"net_free_area": random.choice(("1/150", "1/300", "1/20")), "rise": "1.5 m"}
        return gap
    gap["inlet"] = f"{random.choice((0.1, 0.5, 1.0)) * depth:g} mm"
    if kind == "ventilated":
        gap["outlet"] = f"{random.choice((0.1, 1.0)) * depth:g} mm"
    gap["screen_free_area"] = random.choice(("5 %", "50 %", "100 %"))
    gap["length"] = random.choice(("0.1 m", "2.4 m", "50 m"))
    gap["furring"] = random.choice(("vertical", "horizontal"))
    return gap


def _between(random: Random, data: dict[str, Any]) -> list[str]:
    """Two neighbors, the outer one first."""
    names = ["outside", *(entry["id"] for entry in data["layer"]), "room"]
    k = random.randint(0, len(names) - 2)
    return names[k : k + 2]


MONTHS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
NAMES = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]


def _date(day: int) -> str:
    month = 0
    while day >= MONTHS[month]:
        day -= MONTHS[month]
        month += 1
    return f"{NAMES[month]} {day + 1}"


def _loads(random: Random, data: dict[str, Any], first: int, length: int) -> None:
    """Put rain, leakage, events and studs on an assembly; those that happen once, during the run."""
    control = data.get("water_control")
    outermost = control is not None and control["layer"] == data["layer"][0]["id"]
    if random.random() < 0.5:
        rain: dict[str, Any] = {
            "position": random.choice(("below steep roof", "subject to runoff"))
        }
        if not control:
            rain["leak_share"] = "0 %"
        elif not outermost and random.random() < 0.5:
            rain["leak_share"] = random.choice(("1 %", "20 %", "60 %"))
        if random.random() < 0.5:
            share = random.choice(("0.1 %", "2 %", "30 %"))
            rain["behind"] = [{"share": share, "between": _between(random, data), "name": "flange"}]
        data["rain"] = rain
    if random.random() < 0.4:
        leakage: dict[str, Any] = {"ach50": f"{random.choice((0.6, 3, 7, 30, 100))} 1/h"}
        if random.random() < 0.5:
            leakage[random.choice(("exhaust", "supply"))] = random.choice(("80 cfm", "900 cfm"))
        if random.random() < 0.5:
            leakage["meets"] = _between(random, data)
        data["leakage"] = leakage
    day = min(first // 24 + random.randint(0, max(length // 24 - 1, 0)), 360)
    events: list[dict[str, Any]] = []
    if random.random() < 0.3:
        amount = random.choice(("0.01 kg/m2", "1 kg/m2", "20 kg/m2", "100 kg/m2"))
        events.append(
            {
                "kind": "storm leak",
                "date": _date(day),
                "amount": amount,
                "lasts": random.choice(("1 h", "6 h", "72 h")),
                "between": _between(random, data),
            }
        )
    if random.random() < 0.3:
        kind = random.choice(("cooling off", "shut"))
        events.append({"kind": kind, "date": _date(day), "lasts": random.choice(("5 h", "4 days"))})
    if events:
        data["event"] = events
    layers = [entry["id"] for entry in data["layer"] if "material" in entry]
    if random.random() < 0.2:
        data["studs"] = {
            "layer": random.choice(layers),
            "material": random.choice(("spruce", "Douglas fir", "southern pine")),
        }


# zones -------------------------------------------------------------------------------------------


def _shares(random: Random) -> str:
    """A schedule of a day or a week."""
    return (
        " ".join(random.choice(("0", "50", "100")) for _ in range(random.choice((24, 168)))) + " %"
    )


def _some(random: Random, **keys: Any) -> dict[str, Any]:
    """Some of these keys."""
    return {key: value for key, value in keys.items() if random.random() < 0.5}


def _drier(random: Random) -> dict[str, Any]:
    return {
        "setpoint": f"{random.choice((20, 45, 60))} %",
        "capacity": f"{random.choice((1, 30, 200))} pints/day",
    }


def _balanced_room(random: Random, leaks: bool) -> dict[str, Any]:
    """A room by balance: tiny to huge, idle to crowded, with machines that fit and that do not."""
    room: dict[str, Any] = {
        "form": "balanced",
        "section_area": f"{random.choice((2, 200, 20_000))} m2",
        "volume": f"{random.choice((5, 300, 50_000))} m3",
    }
    if not leaks and random.random() < 0.7:
        room["air_changes"] = f"{random.choice((0, 0.1, 3, 50))} 1/h"
    tons = random.choice((0.5, 2, 20))
    fresh = {"flow": f"{random.choice((0, 50, 5000))} cfm"} | _some(
        random, schedule=_shares(random), sensible_recovery="65 %", latent_recovery="50 %"
    )
    return room | _some(
        random,
        moisture=f"{random.choice((0, 5, 500))} pints/day",
        other_conductance=f"{random.choice((0, 60, 5000))} W/K",
        cooling={
            "setpoint": "75 degF",
            "capacity": f"{tons} ton",
            "fan": random.choice(("auto", "on")),
        }
        | _some(
            random,
            oversized="50 %",
            sensible_share=f"{random.choice((65, 75, 85))} %",
            fan_power="500 W",
            lowest_speed="40 %",
        ),
        heating={"setpoint": "68 degF"}
        | _some(random, capacity=f"{random.choice((0, 2, 100))} kW"),
        dehumidifier=_drier(random),
        ventilation=fresh,
        people={"count": random.choice(("0", "2", "500"))}
        | _some(random, schedule=_shares(random)),
        equipment={"power": f"{random.choice((0, 400, 90_000))} W"},
        window=[
            {
                "area": f"{random.choice((1, 20, 900))} m2",
                "facing": random.choice(("north", "west")),
            }
        ],
        cold_object=[{"name": "pipe"}, {"name": "duct", "temperature": "45 degF"}],
    )


def _attic(random: Random) -> dict[str, Any]:
    area = random.choice((2, 80, 5000))
    return {"ceiling_area": f"{area} m2", "volume": f"{area * random.choice((0.6, 2))} m3"} | _some(
        random,
        ceiling_resistance=random.choice(("R-1", "R-50")),
        ceiling_leakage=f"{random.choice((0, 40, 2000))} cfm",
        outdoor_leakage=f"{random.choice((0, 0.2, 20))} 1/h",
        supply=random.choice(("by rule", "0 cfm", "60 cfm", "3000 cfm")),
        duct_conductance=f"{random.choice((0, 15, 2000))} W/K",
        duct_leakage=f"{random.choice((0, 20, 500))} cfm",
        diffusion_vent=random.choice(("1/600", "1/20")),
        ridge={} | _some(random, roof_share="5 %", exchange="100 cfm", rising="60 %"),
        dehumidifier=_drier(random),
    )


def _crawl_space(random: Random) -> dict[str, Any]:
    return {
        "floor_area": f"{random.choice((2, 60, 5000))} m2",
        "height": f"{random.choice((0.1, 1, 10))} m",
        "air_changes": f"{random.choice((0, 0.05, 5, 500))} 1/h",
    } | _some(
        random,
        wall_conductance=f"{random.choice((0, 40, 5000))} W/K",
        ground_cover=random.choice(("0.01 perm", "0.1 perm", "500 perm")),
        ground_depth=f"{random.choice((0.1, 1, 10))} m",
        floor_leakage=f"{random.choice((0, 20, 2000))} cfm",
        supply=random.choice(("0 cfm", "60 cfm", "3000 cfm")),
        duct_conductance=f"{random.choice((0, 15, 2000))} W/K",
        dehumidifier=_drier(random),
    )


# years -------------------------------------------------------------------------------------------


def weather_of(recipe: Recipe) -> Climate:
    """Make the year of a recipe."""
    base = shipped(recipe.base)
    if recipe.weather == "shipped":
        return base
    chance = np.random.default_rng(recipe.seed)
    series = {
        name: getattr(base, name).copy()
        for name in (
            "temperature",
            "dew_point",
            "pressure",
            "wind_speed",
            "wind_direction",
            "sun_global",
            "sun_direct",
            "sun_diffuse",
            "cloud",
        )
    }
    if base.rain is not None:
        series["rain"] = base.rain.copy()
    if recipe.weather == "days shuffled":
        order = (24 * chance.permutation(365)[:, None] + np.arange(24)).ravel()
        series = {name: values[order] for name, values in series.items()}
    elif recipe.weather == "hours shuffled":
        # each hour of the day among its own, so that the sun shines by day
        order = np.array([24 * chance.permutation(365) + hour for hour in range(24)]).T.ravel()
        series = {name: values[order] for name, values in series.items()}
    elif recipe.weather == "arctic":
        # from a base between about 0 and 35 degC to one between about -38 and 2 degC
        drop = chance.uniform(20.0, 38.0)
        depression = series["temperature"] - series["dew_point"]
        series["temperature"] = np.clip(series["temperature"] - drop, COLDEST, 15.0)
        series["dew_point"] = np.maximum(series["temperature"] - depression, COLDEST)
    elif recipe.weather == "sultry":
        series["temperature"] = np.clip(
            series["temperature"] + chance.uniform(5.0, 12.0), -20, 48.0
        )
        series["dew_point"] = np.minimum(series["temperature"], 34.0)
        series["rain"] = np.where(chance.random(HOURS) < 0.2, chance.exponential(20.0, HOURS), 0.0)
        series["wind_speed"] = chance.uniform(0.0, 40.0, HOURS)
    else:
        series |= _stepped(
            chance, 1 if recipe.weather == "constant" else int(chance.integers(2, 400))
        )
    return replace(base, name=f"{recipe.weather} from {recipe.base}", notes=(), **series)


def _stepped(chance: np.random.Generator, pieces: int) -> dict[str, Array]:
    """Air, wind, cloud and rain that stay as they are for a while, and then jump."""
    cuts = np.sort(chance.integers(0, HOURS, pieces - 1)) if pieces > 1 else np.array([], int)
    piece = np.searchsorted(cuts, np.arange(HOURS), side="right")
    temperature = chance.uniform(-30.0, 45.0, pieces)
    depression = chance.choice([0.0, 0.5, 5.0, 15.0], pieces)
    dew_point = np.clip(temperature - depression, COLDEST, 34.0)
    wind = chance.choice([0.0, 1.0, 5.0, 25.0], pieces)
    rain = chance.choice([0.0, 0.0, 0.0, 0.5, 40.0], pieces)
    return {
        "temperature": temperature[piece],
        "dew_point": dew_point[piece],
        "wind_speed": wind[piece],
        "wind_direction": chance.uniform(0.0, 360.0, pieces)[piece],
        "cloud": chance.uniform(0.0, 1.0, pieces)[piece],
        "rain": rain[piece],
    }


def room_of(recipe: Recipe, temperature: float, rh: float) -> tuple[float | Array, float | Array]:
    """Make the air of the room from what the assembly says of it. [degC], [-]"""
    if recipe.room == "constant":
        return temperature, rh
    chance = np.random.default_rng(recipe.seed + 1)
    if recipe.room == "wave":
        wave = np.sin(2.0 * np.pi * np.arange(HOURS) / chance.choice([24.0, 168.0, 8760.0]))
        return temperature + 5.0 * wave, np.clip(rh + 0.3 * wave, 0.02, 1.0)
    block = np.arange(HOURS) // int(chance.integers(1, 100))
    jumps = chance.uniform(0.0, 1.0, (2, int(block[-1]) + 1))
    return 2.0 + 43.0 * jumps[0][block], 0.02 + 0.98 * jumps[1][block]
