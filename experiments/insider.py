"""What is lost by an insider: somebody who knows beforehand how the simulator draws a bag.

The prior of every number of a bag is what the simulator's own code draws, and a log is read by the simulator's own
noise, channelled pucks included. Tests, recommendation and the end of testing are dialopt's. So what an insider still
loses comes of few noisy tastings and of looking one shot ahead, and what dialopt loses beyond that of not knowing.

python -m experiments.insider reports/study --seed 21 --tasks 50 --jobs 2
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import partial
from pathlib import Path
from typing import cast

import numpy as np
import pandas as pd
from scipy.special import logsumexp, ndtr

from dialopt import Pairing, Shot
from dialopt.engine.config import CONFIG
from dialopt.model.config import ModelConfig
from dialopt.model.normal import log_sum
from dialopt.model.observations import Inputs, inputs
from dialopt.model.outcome_model import OutcomeModel, log_note
from dialopt.model.smc import Particles, tempered_smc
from experiments.methods.engine import Engine
from experiments.page import INSIDER_LOSSES, INSIDER_STOPS
from experiments.study import RESULTS
from experiments.tables import stopping, summarise
from experiments.trial import CARRY, Row, follow, world_seed
from experiments.workers import run_here, with_progress
from experiments.worlds import make, make_pair, pairs, ridge
from experiments.worlds.bench import LONGEST_S, SHORTEST_S, Floats, Flow, Kit, Taster, draw_taster
from experiments.worlds.variants import draw_cliff
from experiments.worlds.world import (
    CHANNELLED_LEAN,
    CHANNELLED_LEAN_SD,
    CHANNELLED_LOSS,
    CHANNELLED_LOSS_SD,
    CHANNELLED_SHARE,
    CHANNELLED_TIME,
    Surface,
    World,
)

DRAWS, MOVES, MOST_TEMPERATURES = 1024, 10, 30
MOST_NUMBERS = 24
"""No bag takes more draws of the simulator than that."""
_MIDDLES = (np.arange(6) + 0.5) / 6
"""Where a number between two ends is looked at."""
_LEAST = 1e-300


@dataclass(frozen=True, slots=True, kw_only=True)
class Bags:
    """P bags at once; every number of them is an array of shape (P, 1)."""

    taste: Surface
    lean: Surface
    flow: Flow
    taster: Taster


Draw = Callable[[np.random.Generator, Kit], Bags]
"""Draws bags for a kitchen that is known, by a generator or by what stands in for one."""


class Quantiles:
    """Stands in for a generator: every draw is of P numbers, told by the next column of standard normals, (P, k)."""

    def __init__(self, points: Floats) -> None:
        self._columns = iter(points.T[:, :, None])

    def normal(self, mean: float, sd: float) -> Floats:
        """P normal numbers, (P, 1)."""
        return np.asarray(mean + sd * next(self._columns))

    def uniform(self, low: float, high: float) -> Floats:
        """P numbers between two ends, (P, 1)."""
        return low + (high - low) * np.asarray(ndtr(next(self._columns)))


def draw_ridges(rng: np.random.Generator, kit: Kit) -> Bags:
    """Bags of `ridge`."""
    bean = ridge.draw_bean(rng, kit)
    flow = ridge.draw_flow(rng, bean)
    return Bags(taste=bean.taste(flow), lean=bean.lean(flow), flow=flow, taster=draw_taster(rng))


def draw_cliffs(rng: np.random.Generator, kit: Kit, *, every: bool = True) -> Bags:
    """Bags of `cliff`, or else bags of which every other has a cliff."""
    bean = ridge.draw_bean(rng, kit)
    flow = ridge.draw_flow(rng, bean)
    cliff = draw_cliff(rng)
    with_cliff = 1.0 if every else rng.uniform(-1, 1)
    plain, cut = bean.taste(flow), cliff.taste(bean, flow)

    def taste(fine: Floats, dose_g: Floats, temp_c: Floats) -> Floats:
        return np.where(with_cliff > 0, cut(fine, dose_g, temp_c), plain(fine, dose_g, temp_c))

    return Bags(taste=taste, lean=bean.lean(flow), flow=flow, taster=draw_taster(rng))


def draw_next_bags(rng: np.random.Generator, kit: Kit, *, before: World) -> Bags:
    """Second bags of `pairs.new_bag`, once flow and taster of the first are known for certain."""
    bean = ridge.draw_bean(rng, kit)
    old = flow_of(before)
    flow = replace(old, level=old.level + rng.normal(0, 0.15), scatter=rng.uniform(0.03, 0.08))
    flow = pairs.within(flow, bean)
    return Bags(taste=bean.taste(flow), lean=bean.lean(flow), flow=flow, taster=before.taster)


def flow_of(world: World) -> Flow:
    """How a bag runs, told from its median times."""
    fine, dose_g, temp_c = np.array([0.5, 0.6, 0.5]), np.array([18.0, 18.0, 18.5]), np.full(3, 93.0)
    here, finer, fuller = np.log(world.seconds(fine, dose_g, temp_c))
    span, power = (finer - here) / 0.1, (fuller - here) / np.log(18.5 / 18.0)
    return Flow(level=here - 0.5 * span, span=span, dose_power=power, scatter=world.scatter)


@dataclass(frozen=True, slots=True, kw_only=True)
class InsiderPosterior:
    """P equally likely bags, as `dialopt.model.posterior.Posterior` gives them to the decisions."""

    bags: Bags
    gp_weight: float = 0.0

    def liking(self, at: Inputs) -> Floats:
        """Liking of an average puck at n settings, (P, n)."""
        return self.bags.taste(at.fine, at.raw[:, 1], at.raw[:, 2])

    def median_log_time(self, at: Inputs) -> Floats:
        """Median log shot time at n settings, (P, n)."""
        return self.bags.flow.log_s(at.fine, at.raw[:, 1], at.raw[:, 2])

    @property
    def score_sd(self) -> Floats:
        """Noise of a score, (P,)."""
        return _each(self.bags.taster.score_sd)

    @property
    def time_sd(self) -> Floats:
        """Scatter of log time from puck to puck, (P,)."""
        return _each(self.bags.flow.scatter)

    @property
    def note_offset(self) -> Floats:
        """What a cup on the ridge is noted as, (P,)."""
        return _each(self.bags.taster.offset)

    def outcome_model(self, at: Inputs) -> OutcomeModel:
        """What one pull at each of n settings may be noted as, as long as it doesn't channel."""
        lean = self.bags.lean(at.fine, at.raw[:, 1], at.raw[:, 2])
        return OutcomeModel(
            liking=self.liking(at),
            median_log_time=self.median_log_time(at),
            note=_note(self.bags.taster, lean),
            score_sd=self.score_sd,
            time_sd=self.time_sd,
            note_sd=_each(self.bags.taster.note_sd),
            note_lapse=np.zeros(DRAWS),
        )


def insider_fit(
    draw: Draw,
    pairing: Pairing,
    shots: Sequence[Shot],
    earlier: object,
    rng: np.random.Generator,
    today: date | None,
    config: ModelConfig,
    verdicts: object = (),
) -> InsiderPosterior:
    """Bags as `draw` draws them, given the log; in the place of `dialopt.model.posterior.fit`."""
    kit = Kit.of(pairing)

    def bags(points: Floats) -> Bags:
        return draw(cast(np.random.Generator, Quantiles(points)), kit)

    def weigh(points: Floats, rng: np.random.Generator) -> Particles:
        gain = log_chances(bags(points), pairing, shots).sum(axis=1)
        base = -0.5 * np.sum(points**2, axis=1)
        none = np.empty((len(points), 0))
        return Particles(points=points, log_base=base, log_likelihood=gain, hidden=none.astype(bool), latent=none)

    points = rng.standard_normal((DRAWS, MOST_NUMBERS))
    if shots:
        particles, _ = tempered_smc(weigh, points, rng, moves=MOVES, most_temperatures=MOST_TEMPERATURES)
        points = particles.points
    return InsiderPosterior(bags=bags(points))


def log_chances(bags: Bags, pairing: Pairing, shots: Sequence[Shot]) -> Floats:
    """Log chance of what was noted of each of n shots in P bags, (P, n)."""
    at = inputs(pairing, [shot.recipe for shot in shots])
    where = at.fine, at.raw[:, 1], at.raw[:, 2]
    time_s, yield_g, score, balance = (
        np.array([getattr(shot, name) for shot in shots], dtype=float)
        for name in ("time_s", "yield_g", "score", "balance")
    )
    fuller = yield_g / np.array([pairing.yield_g(shot.recipe) for shot in shots])
    liking, lean, log_s = bags.taste(*where), bags.lean(*where), bags.flow.log_s(*where) + np.log(fuller)
    taster, scatter = bags.taster, bags.flow.scatter
    sound = _log_time(time_s, log_s, scatter) + _log_score(score, liking, taster.score_sd)
    sound = sound + _log_note(balance, taster, lean, taster.note_sd)

    fast, worse = (low + (high - low) * _MIDDLES for low, high in (CHANNELLED_TIME, CHANNELLED_LOSS))
    score_sd, note_sd = (
        np.hypot(taster.score_sd, CHANNELLED_LOSS_SD),
        np.hypot(taster.note_sd, taster.gain * CHANNELLED_LEAN_SD),
    )
    channelled = _mean([_log_time(time_s, log_s + np.log(share), scatter) for share in fast])
    channelled = channelled + _mean([_log_score(score, liking - lost, score_sd) for lost in worse])
    channelled = channelled + _log_note(balance, taster, lean + CHANNELLED_LEAN, note_sd)
    return log_sum(np.log(1 - CHANNELLED_SHARE) + sound, np.log(CHANNELLED_SHARE) + channelled)


def _log_time(time_s: Floats, log_s: Floats, scatter: float) -> Floats:
    """Log chance of times in whole seconds, cut off where a person stops waiting."""
    low = np.where(time_s <= SHORTEST_S, -np.inf, np.log(time_s - 0.5))
    high = np.where(time_s >= LONGEST_S, np.inf, np.log(time_s + 0.5))
    return _log_between(low, high, log_s, scatter)


def _log_score(score: Floats, liking: Floats, sd: float) -> Floats:
    """Log chance of scores in halves from 0 to 10."""
    low, high = np.where(score <= 0, -np.inf, score - 0.25), np.where(score >= 10, np.inf, score + 0.25)
    return _log_between(low, high, liking, sd)


def _log_between(low: Floats, high: Floats, mean: Floats, sd: float) -> Floats:
    return np.asarray(np.log(np.maximum(ndtr((high - mean) / sd) - ndtr((low - mean) / sd), _LEAST)))


def _log_note(balance: Floats, taster: Taster, lean: Floats, sd: float) -> Floats:
    return log_note(balance, middle=_note(taster, lean), sd=np.asarray(sd), lapse=np.zeros(1))


def _note(taster: Taster, lean: Floats) -> Floats:
    """What a cup that leans like that is noted as, before it is rounded."""
    return np.asarray(3 * np.tanh(taster.gain * lean / 3) + taster.offset)


def _mean(logs: Sequence[Floats]) -> Floats:
    return np.asarray(logsumexp(logs, axis=0) - np.log(len(logs)))


def _each(number: object) -> Floats:
    """A number of every bag, or one that all of them share, as (P,)."""
    return np.broadcast_to(np.asarray(number, dtype=float).reshape(-1), DRAWS).copy()


KNOWN: dict[str, Draw] = {"ridge": draw_ridges, "cliff": draw_cliffs}
"""How the simulator draws the bags of a family."""
INSIDER, HALF_INSIDER = "(insider)", "(insider, of ridge and cliff)"
ALL: tuple[tuple[str, str], ...] = (
    ("ridge", INSIDER),
    ("ridge", HALF_INSIDER),
    ("cliff", INSIDER),
    ("cliff", HALF_INSIDER),
    (CARRY + "new_bag", INSIDER),
)
"""Families, and who is measured on each."""


def insider_rows(family: str, name: str, task: int, *, shots: int, seed: int) -> list[Row]:
    """The rows of one insider on a study's bag, as `experiments.trial.run` gives those of a method."""
    number = world_seed(seed, task)
    draw: Draw
    if family.startswith(CARRY):
        before, world = make_pair(family.removeprefix(CARRY), number)
        draw = partial(draw_next_bags, before=before)
    else:
        world = make(family, number)
        draw = partial(draw_cliffs, every=False) if name == HALF_INSIDER else KNOWN[family]
    knowing = Engine(world.pairing, task, config=replace(CONFIG, fit=partial(insider_fit, draw)))
    return follow(world, knowing, family, name, task, shots)


def main(arguments: Sequence[str] | None = None) -> int:
    """Writes what insiders lose, beside dialopt's rows in the study's folder, and when they settle."""
    parser = argparse.ArgumentParser(prog="python -m experiments.insider", description="Losses of one who knows.")
    parser.add_argument("study", type=Path, help="a study's folder, in which the tables are put; its page shows them")
    parser.add_argument("--tasks", type=int, default=100, help="bags a family")
    parser.add_argument("--shots", type=int, default=12, help="shots a bag")
    parser.add_argument("--seed", type=int, default=1, help="the study's, for its bags")
    parser.add_argument("--jobs", type=int, default=1, help="processes")
    options = parser.parse_args(arguments)
    trials = [(family, name, task) for family, name in ALL for task in range(options.tasks)]
    found = run_here(trials, shots=options.shots, seed=options.seed, jobs=options.jobs, trial=insider_rows)
    done = {(rows[0]["family"], rows[0]["method"], rows[0]["task"]): rows for rows in with_progress(found, len(trials))}
    rows = pd.DataFrame([row for trial in trials for row in done[trial]])
    own = pd.read_csv(options.study / RESULTS, low_memory=False)
    own = own[own["method"] == "dialopt"]
    both = summarise(pd.concat([rows, own], ignore_index=True), "dialopt", options.seed)
    both[both["method"] != "dialopt"].to_csv(options.study / INSIDER_LOSSES, index=False)
    stopping(rows).to_csv(options.study / INSIDER_STOPS, index=False)
    return 0


if __name__ == "__main__":
    from experiments.insider import main as run  # so that other processes find by its module what they are sent

    raise SystemExit(run())
