"""Formulas fitted through few points of sorption, and what absorption follows from a diffusivity."""

from __future__ import annotations

from typing import get_args

import numpy as np
import pytest

from moistwall.material_curves import (
    diffusivity_from_absorption,
    diffusivity_from_table,
    storage_over_humidity,
    storage_over_suction,
)
from moistwall.material_fit import Formula, fit_sorption, sorption_gab
from moistwall.material_liquid import absorption_from_diffusivity

RH = np.array([0.35, 0.5, 0.65, 0.8, 0.95])
FORMULAS = get_args(Formula)


@pytest.mark.parametrize("formula", FORMULAS)
def test_a_fit_finds_its_own_formula(formula: Formula) -> None:
    """Points of a formula are met within 0.01 % by the fit of that formula, between them as well."""

    def curve(rh: np.ndarray) -> np.ndarray:
        if formula == "van Genuchten":
            return storage_over_suction(200.0, 220.0, 2e-7, 1.6, 1.0 - 1.0 / 1.6).content(
                np.log(rh)
            )
        if formula == "Hansen":
            return storage_over_humidity(90.0, 90.0, 0.08, 0.7).content(np.log(rh))
        return sorption_gab(rh, 12.0, 9.0, 0.75)

    fit = fit_sorption(RH, curve(RH), formula, 200.0, 220.0)
    assert fit.formula == formula
    assert fit.worst < 1e-4
    between = np.array([0.42, 0.58, 0.73, 0.88])
    # the curve goes through the formula at whole percents
    np.testing.assert_allclose(fit.storage.content(np.log(between)), curve(between), rtol=2e-4)


def test_gab_equation_by_hand() -> None:
    """With m 10, c 8, k 0.8 at 50 %: 10 x 8 x 0.4 / (0.6 x (0.6 + 3.2)) = 14.035 kg/m3 (computed)."""
    assert sorption_gab(np.array([0.5]), 10.0, 8.0, 0.8)[0] == pytest.approx(14.0351, abs=1e-4)


@pytest.mark.parametrize("formula", FORMULAS)
def test_fitted_storage_rises_to_free_saturation(formula: Formula) -> None:
    """Whatever the formula, content rises strictly from dry air and ends at free saturation."""
    fit = fit_sorption(RH, np.array([4.0, 6.0, 9.0, 16.0, 40.0]), formula, 250.0, 300.0)
    content = fit.storage.content(np.log(np.concatenate((np.linspace(1e-3, 1.0, 2000),))))
    assert np.all(np.diff(content) > 0.0)
    assert content[-1] == pytest.approx(250.0)
    assert fit.storage.holds == 300.0


def test_error_of_a_fit_is_told() -> None:
    """A point 30 % off its neighbors' curve shows in the error, with its sign, and at that point."""
    content = sorption_gab(RH, 12.0, 9.0, 0.75)
    content[2] *= 1.1
    fit = fit_sorption(RH, content, "Guggenheim-Anderson-de Boer", 200.0, 220.0)
    np.testing.assert_allclose(fit.error, fit.content / content - 1.0)
    assert np.argmin(fit.error) == 2
    assert fit.worst == pytest.approx(-fit.error[2])
    assert 0.03 < fit.worst < 0.1


def test_three_points_fix_three_parameters() -> None:
    """Three points are met exactly by three parameters; two are refused."""
    rh, content = np.array([0.5, 0.8, 0.95]), np.array([20.0, 36.0, 55.0])
    fit = fit_sorption(rh, content, "Guggenheim-Anderson-de Boer", 300.0, 300.0)
    assert fit.worst < 1e-4
    with pytest.raises(ValueError, match="needs at least 3 points, got 2"):
        fit_sorption(rh[:2], content[:2], "Hansen", 300.0, 300.0)


@pytest.mark.parametrize(("absorption", "free"), [(0.1, 200.0), (0.002, 500.0), (0.02, 430.0)])
def test_diffusivity_of_an_absorption_draws_it_up(absorption: float, free: float) -> None:
    """D = 3.8 (A / w_f)^2 1000^(w / w_f - 1) draws up 1.010 A by Parlange's integral (computed)."""
    diffusivity = diffusivity_from_absorption(absorption, free)
    found = absorption_from_diffusivity(diffusivity, free)
    assert found / absorption == pytest.approx(1.0100, abs=5e-4)


def test_absorption_of_a_constant_diffusivity() -> None:
    """A constant D draws up within 9 % of w_f 2 sqrt(D / pi), the exact answer.

    Parlange's integral gives w_f sqrt(1.5 D), 1.2247 against 1.1284 (both computed).
    """
    diffusivity = diffusivity_from_table(np.array([0.0]), np.array([1e-8]))
    found = absorption_from_diffusivity(diffusivity, 200.0)
    assert found == pytest.approx(200.0 * np.sqrt(1.5e-8), rel=1e-4)
    assert found == pytest.approx(200.0 * 2.0 * np.sqrt(1e-8 / np.pi), rel=0.09)
