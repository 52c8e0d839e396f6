"""Branin and Hartmann-3 through the Gaussian process: it learns them, and knows how well."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import qmc

from tests.model.known_functions import BRANIN, HARTMANN, Known, sound_process

FIRST, ALL = 8, 24
either = pytest.mark.parametrize("known", [BRANIN, HARTMANN], ids=["branin", "hartmann"])


@either
def test_the_published_minima_are_minima(known: Known) -> None:
    assert known.value(known.best) == pytest.approx(known.least, abs=2e-6)
    around = np.random.default_rng(0).normal(size=(2000, len(known.low)))
    for place in known.best:
        assert known.value(place + 1e-2 * around).min() > known.least - 2e-6
    anywhere = known.spread(qmc.Sobol(len(known.low), rng=0).random(4096))
    values = known.value(anywhere)
    assert known.least < values.min()
    assert values.max() < known.greatest
    assert known.score(known.best) == pytest.approx(10, abs=1e-5)


def sought(known: Known, rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
    """Where the surrogate takes the minimum to be after `ALL` noiseless looks, and all the places looked at.

    The first looks fill the space; each later one goes where one draw of the surface is highest.
    """
    looked = known.spread(qmc.Sobol(len(known.low), rng=rng).random(FIRST))
    offered = known.spread(qmc.Sobol(len(known.low), rng=rng).random(1024))
    at_offered = known.inputs(offered)

    def draws(count: int) -> np.ndarray:
        process = sound_process(known.inputs(looked), known.score(looked))
        return process.draw(count, rng).liking(at_offered)

    while len(looked) < ALL:
        surface = draws(128)[rng.integers(128)]
        looked = np.concatenate([looked, offered[[np.argmax(surface)]]])
    return offered[np.argmax(draws(1000).mean(axis=0))], looked


@pytest.mark.slow
@pytest.mark.parametrize(
    ("known", "above", "off"), [(BRANIN, 3.0, 0.2), (HARTMANN, 0.3, 0.35)], ids=["branin", "hartmann"]
)
def test_its_own_draws_lead_it_to_the_minimum(known: Known, above: float, off: float) -> None:
    """above: how far above the published minimum the place lies that it would recommend, the median of seven searches.
    off: how far from it in shares of the sides, likewise.

    Branin's 3 is a tenth of a point on the scale of 0–10, where the surrogate takes any score to be noisy by 0.5 or
    more. One search in seven ends in one of Hartmann's other hollows. Its valley is shallow along its first side, on
    which a surrogate that takes scores for noisy by up to 1.8 goes astray while looks are few: its place is 0.28 off,
    the median of 21 searches, where with noises of 0.45 and 0.8 it would be 0.16; the values are as near.
    """
    missed, apart, gained = [], [], []
    for seed in range(7):
        place, looked = sought(known, np.random.default_rng([5, seed]))
        missed.append(known.value(place[None])[0] - known.least)
        apart.append(np.linalg.norm((place - known.best) / (known.high - known.low), axis=1).min())
        gained.append(known.value(looked[:FIRST]).min() - known.value(looked).min())
    assert np.median(missed) < above, missed
    assert np.median(apart) < off, apart
    assert np.mean(gained) > 2 * above, gained


@either
def test_it_knows_how_well_it_knows(known: Known) -> None:
    """24 looks with a taster's noise of 0.5; intervals at places not looked at hold new looks at about their rate.

    Functions are no draws of the prior, so that the rate is only near: 10 points of a hundred, in the mean of six sets.
    """
    noise, covered, missed, by_the_mean = 0.5, [], [], []
    for seed in range(6):
        rng = np.random.default_rng([6, seed])
        looked = known.spread(qmc.Sobol(len(known.low), rng=rng).random(32)[:24])
        fresh = known.spread(rng.random((200, len(known.low))))
        score = known.score(looked) + noise * rng.standard_normal(len(looked))
        draws = sound_process(known.inputs(looked), score).draw(1000, rng)
        liking = draws.liking(known.inputs(fresh))
        predicted = liking + draws.score_sd[:, None] * rng.standard_normal(liking.shape)
        seen = known.score(fresh) + noise * rng.standard_normal(len(fresh))
        below = (predicted < seen).mean(axis=0)
        covered.append([np.mean(np.abs(below - 0.5) < level / 2) for level in (0.5, 0.8, 0.9)])
        missed.append(np.sqrt(np.mean((liking.mean(axis=0) - known.score(fresh)) ** 2)))
        by_the_mean.append(np.std(known.score(fresh)))
    assert np.mean(covered, axis=0) == pytest.approx([0.5, 0.8, 0.9], abs=0.1)
    assert np.mean(missed) < 0.65 * np.mean(by_the_mean), "it must predict better than the overall mean does"
