"""The likelihood of verdicts, against the model's own prior reweighed by the closed form of a single one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.special import ndtr
from scipy.stats import truncnorm

from dialopt import Basket, Bean, Dial, Grinder, Machine, Pairing, Recipe, Shot, Verdict
from dialopt.model.config import MODEL
from dialopt.model.initial import usual_initial
from dialopt.model.likelihood import OUTLIER_SCORE, Tastings
from dialopt.model.mean_function import extraction_index, liking_lost, median_log_time
from dialopt.model.observations import inputs, observe
from dialopt.model.parametric import sample_parametric
from dialopt.model.priors import PRIORS

PAIRING = Pairing(
    bean=Bean(name="washed sample"),
    grinder=Grinder(name="bench grinder", grind=Dial(0, 40, 1)),
    machine=Machine(name="bench machine", temp_c=Dial(93, 93)),
    basket=Basket(dose_g=Dial(18, 18)),
)
RECIPES = [Recipe(grind=grind, dose_g=18, temp_c=93) for grind in (14, 26)]
CUPS = [Shot(recipe=recipe) for recipe in RECIPES]
# Without a discrepancy the difference between two cups is that of the mean function and noise alone.
CONFIG = replace(MODEL, priors=PRIORS._replace(discrepancy_sd=PRIORS.discrepancy_sd._replace(centre=1e-6)))


def lead(parameters):
    """By how much the first cup is liked more than the second, (P,)."""
    at = inputs(PAIRING, RECIPES)
    lost = liking_lost(parameters, at, extraction_index(parameters, at, median_log_time(parameters, at)))
    return lost[:, 1] - lost[:, 0]


@pytest.mark.parametrize("says", ["better", "same", "worse"])
def test_one_verdict_reweighs_the_prior_as_the_closed_form_does(says):
    rng = np.random.default_rng(5)
    prior = CONFIG.priors.unpack(usual_initial().draw(200_000, rng))
    gap, same, noise = lead(prior), prior["same_within"][:, 0], prior["verdict_sd"][:, 0]
    share, weight = CONFIG.outlier_share, np.zeros(len(gap))
    for one in (0, 1):
        for other in (0, 1):
            middle = gap + OUTLIER_SCORE[0] * (one - other)
            sd = np.sqrt(noise**2 + OUTLIER_SCORE[1] ** 2 * (one + other))
            under, over = ndtr((-same - middle) / sd), ndtr((middle - same) / sd)
            chance = {"better": over, "worse": under, "same": 1 - under - over}[says]
            weight += share ** (one + other) * (1 - share) ** (2 - one - other) * chance
    expected, evidence = np.average(gap, weights=weight), np.log(weight.mean())

    observations = observe(PAIRING, CUPS, verdicts=[Verdict(one=0, other=1, says=says)])
    found = [sample_parametric(observations, usual_initial(), np.random.default_rng(n), 2048, CONFIG) for n in range(4)]
    spread = np.sqrt(np.average((gap - expected) ** 2, weights=weight))
    assert np.mean([lead(draws.parameters).mean() for draws in found]) == pytest.approx(expected, abs=0.1 * spread)
    assert np.mean([draws.log_evidence for draws in found]) == pytest.approx(evidence, abs=0.1)


def test_what_the_scores_add_is_their_density_given_the_verdicts():
    """log p(scores, verdicts) = log p(verdicts) + log p(scores | verdicts), each found on its own."""
    verdicts = [Verdict(one=0, other=1, says="better")]
    scored = [replace(cup, score=score) for cup, score in zip(CUPS, (7.5, 5.0), strict=True)]

    def evidence(shots, verdicts):
        observations = observe(PAIRING, shots, verdicts=verdicts)
        return np.mean(
            [
                sample_parametric(observations, usual_initial(), np.random.default_rng(n), 2048).log_evidence
                for n in range(4)
            ]
        )

    # The verdict agrees with the scores, so it makes them likelier.
    assert evidence(scored, verdicts) > evidence(scored, [])
    against = [Verdict(one=0, other=1, says="worse")]
    assert evidence(scored, against) < evidence(scored, [])


@pytest.mark.parametrize("says", ["better", "same", "worse"])
@pytest.mark.parametrize("expected", [0.0, 5.0, -40.0, 40.0])
def test_a_difference_is_drawn_with_its_own_density_however_unlikely_the_verdict(says, expected):
    """Else a point under which a verdict is next to impossible would be weighed as if it were a good one."""
    tastings = Tastings(observe(PAIRING, CUPS, verdicts=[Verdict(one=0, other=1, says=says)]))
    parameters = CONFIG.priors.unpack(np.zeros((50, len(PRIORS))))
    level, sound = np.full((50, 1), expected), np.zeros((50, 2), dtype=bool)
    drawn, density = tastings.differences(parameters, level, sound, np.random.default_rng(0))
    same, sd = parameters["same_within"][0, 0], np.sqrt(tastings.noise_variance(parameters, sound))[0, 0]
    low, high = {"better": (same, np.inf), "same": (-same, same), "worse": (-np.inf, -same)}[says]
    exact = truncnorm((low - expected) / sd, (high - expected) / sd, loc=expected, scale=sd)
    assert density == pytest.approx(exact.logpdf(drawn[:, 0]), abs=1e-3)
