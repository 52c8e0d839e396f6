"""`ridge`: an optimum on a grind–temperature–dose ridge of extraction, with a mild liking for one temperature and dose.

Signs and sizes follow the trade's facts: finer is slower, hotter a little faster (viscosity), grind is the strong lever
on taste and temperature a weak one (Andueza 2003, Angeloni 2017, Klotz 2020; read).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from experiments.worlds.bench import Floats, Flow, Kit, Taster, draw_kit, draw_taster
from experiments.worlds.world import Surface, World


@dataclass(frozen=True, slots=True, kw_only=True)
class Bean:
    """What one bean likes.

    time_s, temp_c, dose_g: its optimum. heat: extraction that 1 °C adds, in ln s of shot time; body: what a unit of log
    dose adds, in the same. short, long: liking lost a unit of ln s away from the ridge on either side, once outside its
    soft width; depth: the most that bad extraction costs. temp_loss: points lost 4 °C off; dose_loss: 1.5 g off.
    """

    time_s: float
    temp_c: float
    dose_g: float
    peak: float
    heat: float
    body: float
    width: float
    short: float
    long: float
    depth: float
    temp_regret: float
    dose_regret: float

    def lean(self, flow: Flow) -> Surface:
        """Distance from the ridge in ln s, over-extracted above 0."""

        def lean(fine: Floats, dose_g: Floats, temp_c: Floats) -> Floats:
            log_s = flow.log_s(fine, dose_g, temp_c) - np.log(self.time_s)
            return np.asarray(log_s + self.heat * (temp_c - self.temp_c) + self.body * np.log(dose_g / self.dose_g))

        return lean

    def taste(self, flow: Flow) -> Surface:
        """Liking, 0–10."""
        lean = self.lean(flow)

        def taste(fine: Floats, dose_g: Floats, temp_c: Floats) -> Floats:
            return np.asarray(np.clip(self.peak - self.lost(lean(fine, dose_g, temp_c), dose_g, temp_c), 0, 10))

        return taste

    def lost(self, off: Floats, dose_g: Floats, temp_c: Floats) -> Floats:
        """Liking lost at a distance from the ridge, a dose and a temperature."""
        steep = np.where(off > 0, self.long, self.short) * self.width * (np.sqrt(1 + (off / self.width) ** 2) - 1)
        lost = self.depth * (1 - np.exp(-steep / self.depth))
        lost = lost + self.temp_regret * ((temp_c - self.temp_c) / 4) ** 2
        return np.asarray(lost + self.dose_regret * ((dose_g - self.dose_g) / 1.5) ** 2)


def draw_bean(rng: np.random.Generator, kit: Kit) -> Bean:
    """A bean whose optimum lies inside the kit's temperatures and doses."""

    def inside(low: float, high: float) -> float:
        return low + (high - low) * rng.uniform(0.12, 0.88)

    return Bean(
        time_s=28 * np.exp(rng.normal(0, 0.2)),
        temp_c=inside(kit.machine.temp_c.low, kit.machine.temp_c.high),
        dose_g=inside(kit.basket.dose_g.low, kit.basket.dose_g.high),
        peak=rng.uniform(6.5, 9.2),
        heat=rng.uniform(0.02, 0.06),
        body=rng.uniform(-1.0, 0.0),
        width=rng.uniform(0.1, 0.3),
        short=rng.uniform(6.0, 16.0),
        long=rng.uniform(6.0, 16.0),
        depth=rng.uniform(5.0, 9.0),
        temp_regret=rng.uniform(0.25, 1.0),
        dose_regret=rng.uniform(0.25, 1.0),
    )


def draw_flow(rng: np.random.Generator, bean: Bean, fine: float | None = None) -> Flow:
    """A flow by which the bean's optimum lies at `fine` of the grind dial, anywhere plausible by default."""
    place = rng.uniform(0.15, 0.85) if fine is None else fine
    span, power = rng.uniform(1.8, 3.4), rng.uniform(1.2, 2.6)
    scatter = rng.uniform(0.03, 0.08)
    level = level_for(Flow(level=0.0, span=span, dose_power=power, scatter=scatter), bean, place)
    return Flow(level=level, span=span, dose_power=power, scatter=scatter)


def level_for(flow: Flow, bean: Bean, fine: float) -> float:
    """The level of the flow, ln s, at which the bean's optimum lies at `fine`."""
    there = flow.log_s(np.asarray(fine), np.asarray(bean.dose_g), np.asarray(bean.temp_c))
    level: float = np.log(bean.time_s) - there + flow.level
    return level


def assemble(family: str, seed: int, *, kit: Kit, bean: Bean, flow: Flow, taster: Taster) -> World:
    """The world of one bean, one flow and one taster on one kit."""
    return World(
        family=family,
        seed=seed,
        pairing=kit.pairing(f"{family.replace('_', ' ')} {seed}"),
        taste=bean.taste(flow),
        lean=bean.lean(flow),
        seconds=flow.seconds,
        scatter=flow.scatter,
        taster=taster,
    )


def draw(rng: np.random.Generator, *, weak: bool = False) -> tuple[Kit, Bean, Flow]:
    """A kitchen, a bean whose optimum lies within it, and how that bean runs there."""
    kit = draw_kit(rng, weak=weak)
    bean = draw_bean(rng, kit)
    return kit, bean, draw_flow(rng, bean)


def make(seed: int, rng: np.random.Generator, family: str = "ridge", *, weak: bool = False) -> World:
    """A plain ridge."""
    kit, bean, flow = draw(rng, weak=weak)
    return assemble(family, seed, kit=kit, bean=bean, flow=flow, taster=draw_taster(rng))
