"""Walls and weather drawn at random, as recipes short enough to read when a law fails."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from driven import Air, Driven, bare_section
from hypothesis import strategies as st
from numpy.typing import NDArray

from moistwall.air import KELVIN, STEFAN_BOLTZMANN, saturation_pressure, vapor_film_from_convection
from moistwall.library import find_film, find_material
from moistwall.section import Face, Film, Gap, Layer, Part, Section

Array = NDArray[np.float64]

BOARDS = {
    "fiber cement": (6, 12),
    "gypsum board": (9, 16),
    "OSB": (9, 18),
    "plywood": (9, 18),
    "spruce": (12, 40),
    "steel sheet": (1, 2),
    "XPS": (15, 80),
    "polyiso core under foil": (15, 80),
    "glass-fiber batt": (40, 160),
    "mineral wool batt": (40, 160),
}
"""Materials of the library, and how thick they are drawn. [mm]"""

FILMS = (
    "foil facer",
    "glass facer",
    "housewrap",
    "latex paint",
    "polyethylene",
    "sheathing coat",
    "vinyl wallcovering",
)
"""Films of the library."""

GAP = "gap"

SKY = 8.0
"""By how much what a face sees is colder than the air. [K]"""


@dataclass(frozen=True)
class Wall:
    """What a section is made from.

    Parameters
    ----------
    layers : tuple of (str, float, float)
        Material, thickness [mm] and relative humidity at the start [%], outside to inside.
    between : tuple of tuple of str
        Films, and 'gap', before the first layer, between them and behind the last one.
    emittance : float
        Of the outer face; what the inner one radiates is in its film. [-]
    """

    layers: tuple[tuple[str, float, float], ...]
    between: tuple[tuple[str, ...], ...]
    emittance: float = 0.0

    @property
    def mirrored(self) -> Wall:
        """The same wall, outside and inside exchanged."""
        between = tuple(things[::-1] for things in self.between[::-1])
        return replace(self, layers=self.layers[::-1], between=between)

    @property
    def n_gaps(self) -> int:
        """Number of gaps."""
        return sum(things.count(GAP) for things in self.between)

    def at(self, rh: float) -> Wall:
        """The same wall, all layers at one relative humidity at the start. [%]"""
        return replace(self, layers=tuple((name, mm, rh) for name, mm, _ in self.layers))

    def with_layer(self, number: int, layer: tuple[str, float, float]) -> Wall:
        """The same wall with another layer in place of one of its own."""
        return replace(self, layers=(*self.layers[:number], layer, *self.layers[number + 1 :]))

    def thicker(self, number: int, factor: float) -> Wall:
        """The same wall with one layer of another thickness."""
        name, thickness, rh = self.layers[number]
        return self.with_layer(number, (name, factor * thickness, rh))

    def split(self, number: int, outer: float = 0.5, inner: float = 0.5) -> Wall:
        """The same wall with one layer as two; ``outer`` and ``inner`` are shares of its thickness."""
        name, thickness, rh = self.layers[number]
        two = ((name, outer * thickness, rh), (name, inner * thickness, rh))
        layers = self.layers[:number] + two + self.layers[number + 1 :]
        between = (*self.between[: number + 1], (), *self.between[number + 1 :])
        return replace(self, layers=layers, between=between)

    def section(self) -> Section:
        """Build the section; its layers are named by their number from 1."""
        parts: list[Part] = []
        for k, things in enumerate(self.between):
            for thing in things:
                name = f"{thing} {len(parts)}"
                if thing == GAP:
                    parts.append(Gap(name, 0.02, "ventilated", 4.0))
                else:
                    film = find_film(thing)
                    parts.append(Film(name, film.rh, film.permeance, film.emittance))
            if k < len(self.layers):
                material, thickness, rh = self.layers[k]
                name = f"layer {k + 1}"
                parts.append(Layer(name, find_material(material), 1e-3 * thickness, 0.01 * rh))
        section = bare_section("drawn", parts)
        return replace(section, outer=Face(self.emittance, 0.0))


@dataclass(frozen=True)
class Weather:
    """What acts on an end: a daily wave with noise on it, and a shower of three hours a day.

    Parameters
    ----------
    mean, swing, noise : float
        Of the air's temperature. [degC], [K], [K]
    rh : float
        Of the air at its mean temperature, never above saturation. [%]
    convection : float
        Heat transfer coefficient; vapor follows by the Lewis relation. [W/(m2 K)]
    rain : float
        In a shower. [kg/(m2 h)]
    seed : int
        Of the noise.
    """

    mean: float
    swing: float
    noise: float
    rh: float
    convection: float
    rain: float = 0.0
    seed: int = 0

    def air(self, hours: int) -> Air:
        """Give its values at the hour marks."""
        noise = np.random.default_rng(self.seed)
        hour = np.arange(hours + 1)
        wave = np.sin(2.0 * np.pi * (hour / 24.0 + noise.uniform()))
        temperature = self.mean + self.swing * wave + self.noise * noise.uniform(-1, 1, hours + 1)
        vapor = 0.01 * self.rh * float(saturation_pressure(self.mean))
        vapor = vapor * (1.0 + 0.02 * self.noise * noise.uniform(-1, 1, hours + 1))
        shower = (hour - noise.integers(24)) % 24 < 3
        return Air(
            temperature,
            np.minimum(vapor, saturation_pressure(temperature)),
            heat_film=self.convection,
            vapor_film=float(vapor_film_from_convection(self.convection)),
            longwave=STEFAN_BOLTZMANN * (temperature + KELVIN - SKY) ** 4,
            rain=np.where(shower, self.rain / 3600.0, 0.0),
        )


def drive(
    wall: Wall, outer: Air, inner: Air, hours: int, air_changes: float = 0.0, **others: Any
) -> Driven:
    """Prepare a wall under its loads; ``air_changes`` are those of its gaps. [1/h]"""
    return Driven(wall.section(), outer, inner, hours, (air_changes,) * wall.n_gaps, **others)


@st.composite
def walls(draw: st.DrawFn, without: tuple[str, ...] = ()) -> Wall:
    """Two to five layers, films on some of their faces, a gap between two of some.

    Parameters
    ----------
    without : tuple of str
        Materials that are not drawn.
    """
    names = sorted(BOARDS.keys() - set(without))
    count = draw(st.integers(2, 5))
    with_gap = draw(st.integers(1, count - 1)) if draw(st.booleans()) else 0
    layers: list[tuple[str, float, float]] = []
    between: list[tuple[str, ...]] = []
    for k in range(count + 1):
        films = st.lists(st.sampled_from(FILMS), max_size=1)
        things = draw(films)
        if 0 < k == with_gap:
            things = [*things, GAP, *draw(films)]
        between.append(tuple(things))
        if k < count:
            name = draw(st.sampled_from(names))
            layers.append((name, draw(st.integers(*BOARDS[name])), draw(st.integers(20, 95))))
    return Wall(tuple(layers), tuple(between), draw(st.sampled_from((0.0, 0.9))))


def weathers(rain: float = 1.0) -> st.SearchStrategy[Weather]:
    """From a dry winter day to a humid summer, whose waves also stand for sun; showers for some."""
    return st.builds(
        Weather,
        mean=st.integers(0, 35),
        swing=st.integers(0, 15),
        noise=st.integers(0, 4),
        rh=st.integers(25, 95),
        convection=st.integers(4, 25),
        rain=st.sampled_from((0.0, 0.0, rain)),
        seed=st.integers(0, 999),
    )
