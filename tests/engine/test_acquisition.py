"""Acquisitions on posteriors written by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from skopt.acquisition import gaussian_ei

from dialopt.engine.acquisition import acquisition_value, expected_improvement, knowledge_gradient
from dialopt.engine.config import CONFIG
from dialopt.model.outcome_model import log_note
from tests.engine.outcomes import outcome_model

# (mean, sd, best) and expected improvement: formula of Jones, Schonlau & Welch 1998, values computed with scipy.
VECTORS = [
    (0.0, 1.0, 0.0, 0.398942),
    (1.0, 1.0, 0.0, 1.083315),
    (-1.0, 1.0, 0.0, 0.083315),
    (0.5, 0.2, 0.7, 0.016663),
    (7.2, 0.5, 7.0, 0.315219),
]


@pytest.mark.parametrize(("mean", "sd", "best", "expected"), VECTORS)
def test_expected_improvement(mean: float, sd: float, best: float, expected: float) -> None:
    assert expected_improvement(np.array([mean]), np.array([sd]), best) == pytest.approx(expected, abs=1e-6)
    draws = np.random.default_rng(0).normal(mean, sd, 400_000)
    assert np.maximum(draws - best, 0).mean() == pytest.approx(expected, abs=4e-3)


class FixedModel:
    """A regression of scikit-optimize's shape that always says the same; it minimises, so signs are turned."""

    def predict(self, X: np.ndarray, return_std: bool = False) -> tuple[np.ndarray, np.ndarray]:
        rows = np.array(VECTORS)
        return -rows[:, 0], rows[:, 1]


def test_expected_improvement_agrees_with_scikit_optimize() -> None:
    rows = np.array(VECTORS)
    for number, row in enumerate(rows):
        theirs = gaussian_ei(np.zeros((len(rows), 1)), FixedModel(), y_opt=-row[2], xi=0.0)[number]
        assert expected_improvement(row[:1], row[1:2], row[2]) == pytest.approx(theirs, abs=1e-9)


def test_no_spread_no_improvement() -> None:
    assert expected_improvement(np.array([1.0, 3.0]), np.zeros(2), 2.0) == pytest.approx([0.0, 1.0])


@pytest.mark.parametrize("lapse", [0.0, 0.3, 1.0])
def test_what_is_imagined_is_what_it_is_weighed_by(lapse: float) -> None:
    """Notes come up as often as their likelihood says: where they say nothing, each of seven as often as another."""
    one = outcome_model(np.full((1, 1), 6.0), 0.5, note=np.full((1, 1), 0.8), lapse=lapse)
    uniforms = np.tile((np.arange(7000) + 0.5) / 7000, (3, 1))
    fantasies = one.fantasize(0, np.zeros(7000, dtype=int), uniforms).balance
    often = np.array([np.mean(fantasies == step) for step in range(-3, 4)])
    expected = np.exp(log_note(np.arange(-3.0, 4.0), middle=0.8, sd=0.4, lapse=lapse))
    assert often == pytest.approx(expected, abs=2e-3)


MANY = replace(CONFIG, fantasies=1500)


@pytest.mark.parametrize("noise", [0.3, 1.0, 3.0])
def test_gradient_of_one_unknown_cup_beside_a_known_one(noise: float) -> None:
    """One cup N(0, 1) and one known to be 0; with σ̃ = 1/√(1 + noise²) the best mean rises by σ̃·φ(0) (Frazier et al.
    2009).
    """
    unknown = np.random.default_rng(1).standard_normal((3000, 1))
    unknown -= unknown.mean()
    cups = np.concatenate([unknown, np.zeros_like(unknown)], axis=1)
    gradient = knowledge_gradient(outcome_model(unknown, noise), cups, np.random.default_rng(2), MANY)
    assert gradient[0] == pytest.approx(0.398942 / np.sqrt(1 + noise**2), abs=0.025)


def test_a_cup_that_is_known_teaches_nothing() -> None:
    unknown = np.random.default_rng(1).standard_normal((2000, 1))
    known = np.zeros_like(unknown)
    gradient = knowledge_gradient(
        outcome_model(known, 0.5), np.concatenate([unknown, known], axis=1), np.random.default_rng(2), MANY
    )
    assert abs(gradient[0]) < 0.03


def test_a_note_alone_can_teach() -> None:
    """The score says nothing, but the note tells which of two cups is the good one."""
    side = np.where(np.arange(2000) % 2 == 0, 1.0, -1.0)[:, None]
    cups = np.concatenate([side, -side], axis=1)
    silent = knowledge_gradient(outcome_model(np.zeros_like(side), 1.0, 2 * side), cups, np.random.default_rng(0), MANY)
    telling = knowledge_gradient(
        outcome_model(np.zeros_like(side), 1.0, 2 * side, lapse=0.0), cups, np.random.default_rng(0), MANY
    )
    assert abs(silent[0]) < 0.08
    assert telling[0] == pytest.approx(1.0, abs=0.08)


@pytest.mark.parametrize("times", [1, 4])
def test_the_value_adds_up_a_cup(times: int) -> None:
    """What the cups bring themselves, and what all of them teach, over as many cups as there are."""
    cup, gradient = np.array([-1.0 - 0.05, -0.3]), np.array([0.2, 0.1])
    value = acquisition_value(cup=cup, gradient=gradient, horizon=5.0, times=times)
    assert value == pytest.approx([5 * 0.2 / times - 1.0 - 0.05, 0.5 / times - 0.3])
