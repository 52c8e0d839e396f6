"""Bags wider than a ridge at one ratio: `usual_ratio`, `wants_longer`, `wants_shorter`, `flat`, `loud`.

Where the ratio varies, time to it includes wetting, extraction rises with the log of it, and each bag has one that it
likes best, as strength is extraction over ratio (common practice; that the mass in the cup tells most of extraction:
Schmieder 2023, Foods 12:2871, read). Sizes are our own.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from dialopt import Dial
from experiments.worlds import ridge
from experiments.worlds.bench import Floats, draw_kit, draw_taster
from experiments.worlds.world import World

RATIOS = Dial(1.4, 3.0, 0.1)
_OFF = 0.35
"""Log units of ratio off the best that cost `strength_regret`."""


def usual_ratio(seed: int, rng: np.random.Generator) -> World:
    """Best at about 1:2."""
    return _with_ratio("usual_ratio", seed, rng, 1.85, 2.2)


def wants_longer(seed: int, rng: np.random.Generator) -> World:
    """Best at 1:2.3 to 1:2.9, as light roasts often are."""
    return _with_ratio("wants_longer", seed, rng, 2.3, 2.9)


def wants_shorter(seed: int, rng: np.random.Generator) -> World:
    """Best at 1:1.4 to 1:1.75."""
    return _with_ratio("wants_shorter", seed, rng, 1.4, 1.75)


def flat(seed: int, rng: np.random.Generator) -> World:
    """A bag on which hardly anything makes a difference: at most half a point between the best and the worst cup."""
    plain = ridge.make(seed, rng, "flat")

    def taste(fine: Floats, dose_g: Floats, temp_c: Floats) -> Floats:
        lost = plain.best_liking - plain.taste(fine, dose_g, temp_c)
        return np.asarray(plain.best_liking - 0.12 * np.minimum(lost, 4.0))

    return replace(plain, taste=taste)


def loud(seed: int, rng: np.random.Generator) -> World:
    """A plain ridge, tasted by somebody whose scores scatter by 1.0 to 1.6."""
    plain = ridge.make(seed, rng, "loud")
    return replace(plain, taster=replace(plain.taster, score_sd=float(rng.uniform(1.0, 1.6))))


def _with_ratio(family: str, seed: int, rng: np.random.Generator, low: float, high: float) -> World:
    kit = draw_kit(rng)
    bean = ridge.draw_bean(rng, kit)
    flow, taster = ridge.draw_flow(rng, bean), draw_taster(rng)
    best, pull, regret = rng.uniform(low, high), rng.uniform(0.3, 1.1), rng.uniform(0.5, 2.0)
    power, wetting_s = rng.uniform(0.85, 1.0), rng.uniform(3.0, 8.0)
    at_two = bean.lean(flow)

    def stretch(fine: Floats, dose_g: Floats, temp_c: Floats, ratio: Floats) -> tuple[Floats, Floats]:
        """Seconds to the ratio, and its log over those to 1:2."""
        usual_s = flow.seconds(fine, dose_g, temp_c)
        wetted_s = np.minimum(wetting_s, 0.3 * usual_s)
        time_s = wetted_s + (usual_s - wetted_s) * (ratio / 2) ** power
        return time_s, np.log(time_s / usual_s)

    def lean(fine: Floats, dose_g: Floats, temp_c: Floats, ratio: Floats) -> Floats:
        longer = stretch(fine, dose_g, temp_c, ratio)[1]
        return np.asarray(at_two(fine, dose_g, temp_c) + longer + pull * np.log(ratio / best))

    def taste(fine: Floats, dose_g: Floats, temp_c: Floats, ratio: Floats) -> Floats:
        off = lean(fine, dose_g, temp_c, ratio)
        strength = regret * (np.log(ratio / best) / _OFF) ** 2
        return np.asarray(np.clip(bean.peak - bean.lost(off, dose_g, temp_c) - strength, 0, 10))

    def seconds(fine: Floats, dose_g: Floats, temp_c: Floats, ratio: Floats) -> Floats:
        return stretch(fine, dose_g, temp_c, ratio)[0]

    return World(
        family=family,
        seed=seed,
        pairing=replace(kit.pairing(f"{family.replace('_', ' ')} {seed}"), ratio=RATIOS),
        taste=taste,
        lean=lean,
        seconds=seconds,
        scatter=flow.scatter,
        taster=taster,
    )
