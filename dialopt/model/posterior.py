"""The posterior of a pairing: draws of two surrogates, each with the weight that its evidence gives it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

import numpy as np
from scipy.special import expit, logit

from dialopt.model.config import MODEL, ModelConfig
from dialopt.model.elicited import elicited_priors
from dialopt.model.initial import InitialDistribution, informed_initial, usual_initial
from dialopt.model.likelihood import lapse, taster_sd
from dialopt.model.limits import with_a_say
from dialopt.model.observations import Bools, Floats, Inputs, observe
from dialopt.model.outcome_model import OutcomeModel
from dialopt.model.parametric import ParametricDraws, sample_parametric
from dialopt.model.task_correlation import robust_weight, task_correlation
from dialopt.trade.pairing import Pairing
from dialopt.trade.shot import Shot
from dialopt.trade.verdict import Verdict

if TYPE_CHECKING:
    from dialopt.model.gaussian_process import GaussianProcessDraws


@dataclass(frozen=True, slots=True, kw_only=True)
class Posterior:
    """P equally likely draws of what may be true.

    parametric: every draw under the trade's mean function, which also gives each its shot time and its taster. gp:
    draws of the Gaussian process that assumes nothing, taking the place of the liking of as many draws, `gp_rows`,
    (P,). gp_weight: its posterior model weight, 0–1.
    """

    parametric: ParametricDraws
    gp: GaussianProcessDraws | None
    gp_rows: Bools
    gp_weight: float

    def liking(self, at: Inputs) -> Floats:
        """Liking of an average puck at n settings, points, (P, n)."""
        liking = self.parametric.liking(at)
        if self.gp is not None:
            liking[self.gp_rows] = self.gp.liking(at)
        return liking

    def median_log_time(self, at: Inputs) -> Floats:
        """Median log shot time at n settings, (P, n)."""
        return self.parametric.median_log_time(at)

    @property
    def score_sd(self) -> Floats:
        """Repeat noise of a noted score, (P,)."""
        noise = taster_sd(self.parametric.parameters)[:, 0].copy()
        if self.gp is not None:
            noise[self.gp_rows] = self.gp.score_sd
        return noise

    @property
    def note_offset(self) -> Floats:
        """What the best cup is noted as, from −3 sour to +3 bitter, (P,)."""
        return self.parametric.parameters["note_offset"][:, 0]

    @property
    def time_sd(self) -> Floats:
        """Scatter of log shot time from puck to puck, (P,)."""
        return self.parametric.parameters["time_sd"][:, 0]

    def outcome_model(self, at: Inputs) -> OutcomeModel:
        """What one pull at each of n settings may be noted as."""
        parameters = self.parametric.parameters
        log_time = self.parametric.median_log_time(at)
        return OutcomeModel(
            liking=self.liking(at),
            median_log_time=log_time,
            note=parameters["note_offset"] + parameters["note_gain"] * self.parametric.index(at, log_time),
            score_sd=self.score_sd,
            time_sd=self.time_sd,
            note_sd=parameters["note_sd"][:, 0],
            # Where the trade's mean function doesn't hold, a note is taken to say nothing of the score.
            note_lapse=np.where(self.gp_rows, 1.0, lapse(parameters)[:, 0]),
        )


def fit(
    pairing: Pairing,
    shots: Sequence[Shot],
    earlier: Sequence[tuple[Pairing, Sequence[Shot]]],
    rng: np.random.Generator,
    today: date | None = None,
    config: ModelConfig = MODEL,
    verdicts: Sequence[Verdict] = (),
) -> Posterior:
    """The posterior of a pairing given its shots, starting from what earlier pairings have shown and what the bag says
    of itself.

    shots: none of them a slip of the pen (`Pairing.meant`); of the earlier pairings those are left out here. today: the
    day that is looked at; by default that of the latest shot. verdicts: between two of the shots; the process that
    assumes nothing doesn't read them.
    """
    observations = observe(pairing, shots, today, verdicts)
    parametric = sample_parametric(observations, _initial(pairing, earlier, rng, config), rng, config.draws, config)
    rows = np.zeros(config.draws, dtype=bool)
    scored = observations.scored
    if config.gp_share == 0.0 or not scored.any() or not any(observations.at.turned):
        return Posterior(parametric=parametric, gp=None, gp_rows=rows, gp_weight=0.0)

    # Brought in only here: importing scikit-optimize takes longer than all the rest.
    from dialopt.model.gaussian_process import GaussianProcess

    gp = GaussianProcess(
        observations.at.rows(scored),
        observations.score[scored],
        parametric.outlier_before[scored],
    )
    log_odds = gp.log_evidence - parametric.log_evidence + logit(config.gp_share)
    gp_weight = float(expit(log_odds))
    count = round(gp_weight * config.draws)
    if count == 0:
        return Posterior(parametric=parametric, gp=None, gp_rows=rows, gp_weight=gp_weight)
    rows[rng.permutation(config.draws)[:count]] = True
    return Posterior(parametric=parametric, gp=gp.draw(count, rng), gp_rows=rows, gp_weight=gp_weight)


def _initial(
    pairing: Pairing,
    earlier: Sequence[tuple[Pairing, Sequence[Shot]]],
    rng: np.random.Generator,
    config: ModelConfig,
) -> InitialDistribution:
    informative = with_a_say(earlier)
    elicited = elicited_priors(pairing)
    if not informative and not elicited:
        return usual_initial()
    histories = []
    for other, shots in informative:
        # Read on this pairing's scales, so that a parameter means the same for both.
        observations = observe(replace(other, machine=pairing.machine, basket=pairing.basket), other.meant(shots))
        draws = sample_parametric(observations, usual_initial(), rng, config.earlier_draws, config)
        histories.append((draws.coordinates, task_correlation(other, pairing)))
    weight = robust_weight(pairing, [other for other, _ in informative])
    return informed_initial(histories, elicited, robust_weight=weight, priors=config.priors)
