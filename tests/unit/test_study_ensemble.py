"""Ensembles: distributions, draws, scaled materials, chances, convergence, and what matters."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from heron_point import miami
from scipy import stats

from moistwall.assembly import Assembly, assembly_from_data, read_assembly, resolve
from moistwall.errors import InputError
from moistwall.library import data_folder
from moistwall.material_liquid import absorption_from_diffusivity
from moistwall.section import Film, Layer
from moistwall.show.ensemble_text import ensemble_data, ensemble_text
from moistwall.study.changing import changed
from moistwall.study.engine import Done
from moistwall.study.ensemble import (
    Ensemble,
    chance_of,
    convergence,
    influences,
    plan_ensemble,
    quantiles,
)
from moistwall.study.job import FORMAT, Job, sections_of
from moistwall.study.measures import read_criterion
from moistwall.study.scaling import Scale, scaled
from moistwall.study.uncertain import JUDGEMENT, Uncertain, read_uncertain, uncertain_inputs


def wall(name: str = "wall") -> Assembly:
    """Read an example."""
    return read_assembly(data_folder("examples") / f"heron-point-{name}.toml")


def plan(draws: int = 64, seed: int = 1) -> Ensemble:
    """Plan an ensemble of the example wall."""
    base = wall()
    return plan_ensemble(base, uncertain_inputs(base), draws, seed, {"miami": miami()})


def outcome(job: Job, hours: float, verdict: str = "dries") -> Done:
    """A draw that came out with so many damp hours."""
    word = {"dries": 0.0, "marginal": 1.0, "stays wet": 2.0}[verdict]
    measures = {"hours_rh_80": hours, "verdict": word, "nearness": hours / 1000.0}
    summary = {"format": FORMAT, "measures": measures, "worst": "x", "verdict": verdict,
               "decided_by": "mold"}  # fmt: skip
    return Done(job, summary)


@pytest.mark.parametrize("logarithmic", [False, True])
def test_triangle_is_scipys(logarithmic: bool) -> None:
    """The quantiles of a triangle, over the number or its logarithm, are those of scipy.stats.triang."""
    one = Uncertain("x", 1.0, 2.0, 6.0, "", logarithmic, "")
    low, mode, high = np.log([1.0, 2.0, 6.0]) if logarithmic else (1.0, 2.0, 6.0)
    reference = stats.triang((mode - low) / (high - low), low, high - low)
    for chance in (0.0, 0.05, 0.2, 0.5, 0.9, 1.0):
        found = np.log(one.at(chance)) if logarithmic else one.at(chance)
        assert found == pytest.approx(reference.ppf(chance), rel=1e-12, abs=1e-12)


def test_flat() -> None:
    """Without a peak the chance is spread evenly."""
    one = read_uncertain("room.humidity = 40 % .. 60 %")
    assert [one.at(chance) for chance in (0.0, 0.25, 1.0)] == pytest.approx([40.0, 45.0, 60.0])
    assert one.change(0.25) == ("room.humidity", "45 %")


@pytest.mark.parametrize(
    "text",
    [
        "room.humidity",
        "room.humidity = 40 %",
        "room.humidity = 60 % .. 40 %",
        "room.humidity = 40 % .. 70 % .. 60 %",
        "room.humidity = 40 % .. 50 % .. 55 % .. 60 %",
        "room.humidity = 40 degF .. 50 degF",
        "room.humidty = 40 % .. 50 %",
    ],
)
def test_wrong_distributions(text: str) -> None:
    """What is no distribution of a field is refused."""
    with pytest.raises(InputError):
        read_uncertain(text)


@pytest.mark.parametrize(
    "path", sorted(data_folder("examples").glob("*.toml")), ids=lambda p: p.stem
)
def test_every_end_of_every_input_is_an_assembly(path: Path) -> None:
    """For every example, all inputs at their lowest and all at their highest give a section."""
    base = read_assembly(path)
    inputs = uncertain_inputs(base)
    assert all(one.source for one in inputs)
    assert all(one.source.startswith(("library: ", JUDGEMENT)) for one in inputs)
    for chance in (0.0, 1.0):
        changes = [one.change(chance) for one in inputs if not one.material]
        scales = tuple(one.scale(chance) for one in inputs if one.material)
        data, _ = changed(base, changes)
        job = Job(0, "", data, base.file, base.folder, "miami", scales=scales)
        assert sections_of(job)[0].parts


def test_what_is_asked_takes_the_place_of_a_default() -> None:
    """A distribution that is given replaces the default of its field, and two of one field are refused."""
    asked = read_uncertain("room.humidity = 45 % .. 65 %")
    inputs = uncertain_inputs(wall(), (asked,))
    assert [one for one in inputs if one.name == "room.humidity"] == [asked]
    with pytest.raises(InputError, match="two distributions"):
        uncertain_inputs(wall(), (asked, asked))
    air = read_uncertain("layer[rainscreen gap].air_changes = 10 1/h .. 50 1/h")
    names = [one.name for one in uncertain_inputs(wall(), (air,))]
    assert "layer[2].air_changes" not in names


def with_spreads(**spreads: str) -> Assembly:
    """The example wall with distributions of its own; two underscores stand for what names cannot hold."""
    data = dict(wall().data)
    data["uncertain"] = {path.replace("__", "."): text for path, text in spreads.items()}
    return assembly_from_data(data, file="own.toml", folder=wall().folder)


def test_what_the_file_states_goes_between() -> None:
    """A spread of the file goes before the default, and one that is asked for before that of the file."""
    base = with_spreads(room__humidity="45 % .. 65 %", room__temperature="70 degF .. 76 degF")
    asked = read_uncertain("room.humidity = 40 % .. 50 % .. 60 %")
    found = {one.name: one for one in uncertain_inputs(base, (asked,))}
    assert found["room.humidity"] == asked
    warm = found["room.temperature"]
    assert (warm.low, warm.mode, warm.high) == (70.0, None, 76.0)
    assert warm.source == "as the file says"


@pytest.mark.parametrize(
    ("path", "text", "field"),
    [
        ("layer[bla].thickness", "1 in .. 2 in", 'uncertain."layer[bla].thickness"'),
        ("room.humidity", "45 % .. 20 %", 'uncertain."room.humidity"'),
        ("room.humidity", "45 in .. 50 in", "room.humidity"),
    ],
)
def test_wrong_spreads_of_the_file(path: str, text: str, field: str) -> None:
    """A path that means nothing, ends in the wrong order or unit are told with the place in the file."""
    with pytest.raises(InputError) as told:
        uncertain_inputs(with_spreads(**{path: text}))
    assert told.value.faults[0].file == "own.toml"
    assert field in str(told.value)


@pytest.mark.parametrize("text", ["45 %", "45 % ..", "1 % .. 2 % .. 3 % .. 4 %"])
def test_no_spread_at_all(text: str) -> None:
    """What is no distribution is refused when the file is read, whatever is run."""
    with pytest.raises(InputError, match="is no distribution"):
        with_spreads(room__humidity=text)


def test_scaling_bites() -> None:
    """Each property is scaled where it is, and nothing else: vapor of films too, uptake by its root."""
    section = resolve(wall())
    names = {part.name: part for part in section.parts}
    osb, paint = names["sheathing"], names["inside finish"]
    assert isinstance(osb, Layer)
    assert isinstance(paint, Film)
    scales = (
        Scale(osb.material.name, "vapor", 2.0),
        Scale(osb.material.name, "liquid", 3.0),
        Scale(osb.material.name, "conductivity", 1.5),
        Scale(paint.made_of, "vapor", 0.5),
    )
    after = {part.name: part for part in scaled(section, scales).parts}
    board, coat = after["sheathing"], after["inside finish"]
    assert isinstance(board, Layer)
    assert isinstance(coat, Film)
    ratio = board.material.vapor_permeability / osb.material.vapor_permeability
    assert ratio == pytest.approx(2.0)
    assert board.material.conductivity / osb.material.conductivity == pytest.approx(1.5)
    assert coat.permeance / paint.permeance == pytest.approx(0.5)
    assert osb.material.diffusivity is not None
    assert board.material.diffusivity is not None
    free = osb.material.storage.free
    uptake = absorption_from_diffusivity(board.material.diffusivity, free)
    assert uptake == pytest.approx(
        3.0 * absorption_from_diffusivity(osb.material.diffusivity, free)
    )
    for name in names.keys() - {"sheathing", "inside finish"}:
        mine, other = names[name], after[name]
        if isinstance(mine, Layer):
            assert isinstance(other, Layer)
            assert np.array_equal(
                mine.material.vapor_permeability, other.material.vapor_permeability
            )


def test_draws_are_a_latin_hypercube() -> None:
    """Each input falls once into each of as many equal slices as there are draws; a seed gives one set."""
    chances = plan(draws=40).chances()
    assert chances.shape == (40, len(plan().inputs))
    for column in chances.T:
        assert sorted((column * 40).astype(int)) == list(range(40))
    assert np.array_equal(chances, plan(draws=40).chances())
    assert not np.array_equal(chances, plan(draws=40, seed=2).chances())


def test_jobs_differ_and_keep_their_keys() -> None:
    """Every draw is a variant of its own, under the same key whenever it is planned."""
    first = [job.key("a") for job in plan(draws=8).jobs()]
    assert len(set(first)) == 8
    assert first == [job.key("a") for job in plan(draws=8).jobs()]
    one = next(plan(draws=8).jobs())
    other = replace(one, scales=(replace(one.scales[0], factor=1.0), *one.scales[1:]))
    assert other.key("a") != one.key("a")
    assert assembly_from_data(dict(one.data))


def test_chances() -> None:
    """Bounds of Clopper and Pearson: none of n has the upper bound 1 - 0.025^(1/n), all of n its mirror."""
    none, every = chance_of(0, 50), chance_of(50, 50)
    assert (none.low, every.high) == (0.0, 1.0)
    assert none.high == pytest.approx(1.0 - 0.025 ** (1 / 50))
    assert every.low == pytest.approx(0.025 ** (1 / 50))
    half = chance_of(100, 200)
    assert half.low < 0.5 < half.high


def test_convergence_narrows() -> None:
    """More draws give a narrower interval; the last is that of all."""
    steps = convergence([k % 4 == 0 for k in range(200)])
    assert [one.total for one in steps] == [25, 50, 100, 200]
    widths = [one.high - one.low for one in steps]
    assert widths == sorted(widths, reverse=True)
    assert steps[-1].count == 50


def test_quantiles() -> None:
    """Of 0 to 100 the quantiles are 5, 50 and 95."""
    assert quantiles([float(k) for k in range(101)]) == pytest.approx((5.0, 50.0, 95.0))


def test_the_input_that_matters_is_found() -> None:
    """An answer made of one input has that one on top with its sign; the idle ones are not told apart."""
    draws = plan(draws=100)
    humid = [one.name for one in draws.inputs].index("room.humidity")
    column = draws.chances()[:, humid]
    found = [outcome(job, float(1000.0 - 900.0 * column[job.number])) for job in draws.jobs()]
    rows = influences(draws, found, "hours_rh_80")
    assert rows[0].name == "room.humidity"
    assert rows[0].rank_correlation == pytest.approx(-1.0)
    assert [row.told_apart for row in rows].count(True) == 1


def test_nothing_matters_where_nothing_moves() -> None:
    """The same answer in all draws: no correlation is made up, and it is said."""
    draws = plan(draws=8)
    found = [outcome(job, 5.0) for job in draws.jobs()]
    assert influences(draws, found, "hours_rh_80") == []
    assert "no input matters" in ensemble_text(draws, found, read_criterion("dries"))


def test_text_and_data() -> None:
    """A quarter of the draws stays wet: chances, convergence, inputs and failures are told."""
    draws = plan(draws=40)
    words = ["stays wet", "dries", "dries", "marginal"]
    found = [outcome(job, 10.0 * job.number, words[job.number % 4]) for job in draws.jobs()]
    found[-1] = Done(found[-1].job, None, "no solution")
    criterion = read_criterion("dries")
    text = ensemble_text(draws, found, criterion)
    assert "1 draws failed and are left out; the first: no solution" in text
    assert max(map(len, text.splitlines())) <= 80
    assert "stays wet    25.6 %" in text
    data = ensemble_data(draws, found, criterion)
    assert data["verdicts"]["stays wet"]["share"] == pytest.approx(10 / 39)
    assert data["convergence"][-1]["draws"] == 39
    assert len(data["inputs"]) == len(draws.inputs)


def test_too_few_draws() -> None:
    """Seven draws say nothing."""
    with pytest.raises(InputError, match="too few"):
        plan(draws=7)
