"""`drift`: a bag that changes while it is dialled in. Days off roast against flow have no published figures."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta

import numpy as np

from dialopt import Bean, Pairing
from experiments.worlds import ridge
from experiments.worlds.kit import draw_kit
from experiments.worlds.taster import draw_taster
from experiments.worlds.world import World

SHOTS_A_DAY = 3
OPENED = datetime(2031, 3, 3, 8, 0)


def make(seed: int, rng: np.random.Generator) -> World:
    """A ridge whose shots run 2–6 % faster each day (one bag in five: slower); best time and heat move a little too."""
    kit = draw_kit(rng)
    bean, taster = ridge.draw_bean(rng, kit), draw_taster(rng)
    clock = ridge.draw_clock(rng, bean, fine=float(rng.uniform(0.25, 0.75)))
    faster = float(rng.uniform(0.02, 0.06) * (-1 if rng.random() < 0.2 else 1))
    longer, cooler = float(rng.normal(0, 0.02)), float(rng.normal(0, 0.15))
    pairing = _dated(kit.pairing(f"drift {seed}"), age_days=int(rng.integers(5, 15)))

    def later(index: int) -> World:
        day = index // SHOTS_A_DAY
        aged = replace(bean, time_s=bean.time_s * float(np.exp(longer * day)), temp_c=bean.temp_c - cooler * day)
        run = replace(clock, level=clock.level - faster * day)
        world = ridge.assemble("drift", seed, kit=kit, bean=aged, clock=run, taster=taster)
        at = OPENED + timedelta(days=day, minutes=10 * (index % SHOTS_A_DAY))
        return replace(world, pairing=pairing, later=later, pulled_at=at)

    return later(0)


def _dated(pairing: Pairing, age_days: int) -> Pairing:
    roasted: date = OPENED.date() - timedelta(days=age_days)
    return replace(pairing, bean=Bean(name=pairing.bean.name, roasted_on=roasted))
