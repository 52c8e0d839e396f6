"""Ridges with something special: a cliff, two peaks, an end of a dial, few settings, days that pass, an odd taster."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

import numpy as np

from experiments.worlds import ridge
from experiments.worlds.bench import Floats, Flow, draw_kit, draw_taster
from experiments.worlds.world import Surface, World


@dataclass(frozen=True, slots=True, kw_only=True)
class Cliff:
    """Where taste falls off. drop: points lost. edge: how far past the bean's own best time, in ln s. sharp: within."""

    drop: float
    edge: float
    sharp: float

    def taste(self, bean: ridge.Bean, flow: Flow) -> Surface:
        """Liking of the bean with this cliff, 0–10."""
        plain = bean.taste(flow)

        def taste(fine: Floats, dose_g: Floats, temp_c: Floats) -> Floats:
            late = flow.log_s(fine, dose_g, temp_c) - np.log(bean.time_s) - self.edge
            fall = self.drop * 0.5 * (1 + np.tanh(late / (2 * self.sharp)))
            return np.asarray(np.clip(plain(fine, dose_g, temp_c) - fall, 0, 10))

        return taste


def draw_cliff(rng: np.random.Generator) -> Cliff:
    """2–4 points lost within a few per cent of shot time, some 8–25 % past the bean's own best time."""
    return Cliff(drop=rng.uniform(2, 4), edge=rng.uniform(0.08, 0.22), sharp=rng.uniform(0.015, 0.04))


def cliff(seed: int, rng: np.random.Generator) -> World:
    """A ridge whose taste falls off a cliff when the shot runs long."""
    kit, bean, flow = ridge.draw(rng)
    drop = draw_cliff(rng)
    plain = ridge.assemble("cliff", seed, kit=kit, bean=bean, flow=flow, taster=draw_taster(rng))
    return replace(plain, taste=drop.taste(bean, flow))


def two_peaks(seed: int, rng: np.random.Generator) -> World:
    """A bean that is also good much shorter or longer, 0.3–1.2 points below its best, with a saddle between."""
    kit = draw_kit(rng)
    bean = ridge.draw_bean(rng, kit)
    flow = ridge.draw_flow(rng, bean, fine=float(rng.uniform(0.3, 0.7)))
    away = float(rng.uniform(0.5, 0.8) * rng.choice([-1, 1]))
    elsewhere = ridge.draw_bean(rng, kit)
    peak = bean.peak - float(rng.uniform(0.3, 1.2))
    time_s = bean.time_s * float(np.exp(away))
    other = replace(bean, time_s=time_s, temp_c=elsewhere.temp_c, dose_g=elsewhere.dose_g, peak=peak)
    plain = ridge.assemble("two_peaks", seed, kit=kit, bean=bean, flow=flow, taster=draw_taster(rng))
    second = other.taste(flow)

    def taste(fine: Floats, dose_g: Floats, temp_c: Floats) -> Floats:
        return np.maximum(plain.taste(fine, dose_g, temp_c), second(fine, dose_g, temp_c))

    return replace(plain, taste=taste)


def edge(seed: int, rng: np.random.Generator) -> World:
    """A ridge whose best setting lies at the end of a dial, since the bean would like one beyond it."""
    while True:
        world = _beyond(seed, rng)
        if ends(world):
            return world


def ends(world: World) -> list[str]:
    """The dials at whose end the best setting lies; one that can't be turned has none."""
    turned = {name: dial for name, dial in world.pairing.dials.items() if not dial.fixed}
    return [name for name, dial in turned.items() if getattr(world.best, name) in (dial.low, dial.high)]


def _beyond(seed: int, rng: np.random.Generator) -> World:
    """A ridge whose bean would like a setting 0.1–0.4 of a dial beyond its end."""
    kit = draw_kit(rng)
    bean, fine = ridge.draw_bean(rng, kit), float(rng.uniform(0.15, 0.85))
    which, above = int(rng.integers(3)), rng.random() < 0.5
    past = float(rng.uniform(0.1, 0.4))
    if which == 0:
        fine = 1 + 0.5 * past if above else -0.5 * past
    else:
        name, dial = (("dose_g", kit.basket.dose_g), ("temp_c", kit.machine.temp_c))[which - 1]
        beyond = past * (dial.high - dial.low)
        bean = replace(bean, **{name: dial.high + beyond if above else dial.low - beyond})
    flow = ridge.draw_flow(rng, bean, fine=fine)
    return ridge.assemble("edge", seed, kit=kit, bean=bean, flow=flow, taster=draw_taster(rng))


def weak_dial(seed: int, rng: np.random.Generator) -> World:
    """A plain ridge on kit of few settings: 5–8 grinds, 3–6 doses, one temperature or three."""
    return ridge.make(seed, rng, "weak_dial", weak=True)


SHOTS_A_DAY = 3
OPENED = datetime(2031, 3, 3, 8, 0)


def drift(seed: int, rng: np.random.Generator) -> World:
    """A ridge whose shots run 2–6 % faster each day (one bag in five: slower); best time and heat move a little too.

    Days off roast against flow have no published figures.
    """
    kit = draw_kit(rng)
    bean, taster = ridge.draw_bean(rng, kit), draw_taster(rng)
    flow = ridge.draw_flow(rng, bean, fine=float(rng.uniform(0.25, 0.75)))
    faster = float(rng.uniform(0.02, 0.06) * (-1 if rng.random() < 0.2 else 1))
    longer, cooler = float(rng.normal(0, 0.02)), float(rng.normal(0, 0.15))
    pairing = kit.pairing(f"drift {seed}")
    roasted_on = OPENED.date() - timedelta(days=int(rng.integers(5, 15)))
    pairing = replace(pairing, bean=replace(pairing.bean, roasted_on=roasted_on))

    def later(index: int) -> World:
        day = index // SHOTS_A_DAY
        aged = replace(bean, time_s=bean.time_s * float(np.exp(longer * day)), temp_c=bean.temp_c - cooler * day)
        run = replace(flow, level=flow.level - faster * day)
        world = ridge.assemble("drift", seed, kit=kit, bean=aged, flow=run, taster=taster)
        at = OPENED + timedelta(days=day, minutes=10 * (index % SHOTS_A_DAY))
        return replace(world, pairing=pairing, later=later, pulled_at=at)

    return later(0)


def biased_palate(seed: int, rng: np.random.Generator) -> World:
    """Balance notes shifted by 0.7–1.3 of a step, to either side."""
    plain = ridge.make(seed, rng, "biased_palate")
    shift = float(rng.uniform(0.7, 1.3) * rng.choice([-1, 1]))
    return replace(plain, taster=replace(plain.taster, offset=shift))


def no_notes(seed: int, rng: np.random.Generator) -> World:
    """A taster who notes no balance."""
    plain = ridge.make(seed, rng, "no_notes")
    return replace(plain, taster=replace(plain.taster, notes=False))


def flipped_notes(seed: int, rng: np.random.Generator) -> World:
    """A taster who says sour for bitter and bitter for sour."""
    plain = ridge.make(seed, rng, "flipped_notes")
    return replace(plain, taster=replace(plain.taster, gain=-plain.taster.gain))


def useless_notes(seed: int, rng: np.random.Generator) -> World:
    """Balance notes that say nothing about the cup."""
    plain = ridge.make(seed, rng, "useless_notes")
    return replace(plain, taster=replace(plain.taster, gain=0.0, note_sd=1.2))


def heavy_tails(seed: int, rng: np.random.Generator) -> World:
    """Score noise with Student-t tails of 2.5 freedoms, from a taster so generous that good cups pile up at 10."""
    plain = ridge.make(seed, rng, "heavy_tails")
    generous = float(rng.uniform(9.3, 10.0)) - plain.best_liking
    return replace(plain, taster=replace(plain.taster, tail_df=2.5, generous=generous))
