"""`physical`: flow, extraction and liking from the physics of a puck, with no ridge written in.

Flow follows Darcy's law with a calibrated permeability: a 58 mm bed, 15 mm deep at 18 g, 9 bar and 0.315 mPa·s run
1.0, 1.5, 2.0 mL/s at 2.0, 3.0, 4.0e-15 m² (computed). Plain Kozeny–Carman disagrees with measurements, so permeability
is drawn, at the low end of what was published or below (Corrochano et al. 2015; read). A very fine puck splits into
clogged and loose paths; uneven flow extracts less, so extraction peaks at an inner grind (Cameron et al. 2020; Lee,
Smith, Arshad 2023; read). Liking comes from extraction yield, evenness, temperature and dose; at a fixed ratio strength
is extraction yield over ratio and says nothing more.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from experiments.worlds.bench import LONGEST_S, SHORTEST_S, Floats, draw_kit, draw_taster, viscosity_mpas
from experiments.worlds.world import World

BED_AREA_M2 = float(np.pi * 0.029**2)
BED_DEPTH_M_PER_G = 0.015 / 18
PRESSURE_PA = 9e5
GRAMS_PER_M3 = 1e6
"""Beverage, taken as water."""


def darcy_ml_s(permeability_m2: Floats, dose_g: Floats, temp_c: Floats) -> Floats:
    """Flow through a whole bed, mL/s."""
    viscosity_pas = viscosity_mpas(temp_c) * 1e-3
    depth_m = BED_DEPTH_M_PER_G * np.asarray(dose_g)
    return np.asarray(permeability_m2 * BED_AREA_M2 * PRESSURE_PA / (viscosity_pas * depth_m) * GRAMS_PER_M3)


@dataclass(frozen=True, slots=True, kw_only=True)
class Puck:
    """What grind, dose and temperature do to one bean.

    ln_k: ln permeability, m², at the coarsest setting; ln_k_span: its fall to the finest; turn: the fineness at which
    the split is half done; abrupt: how quickly it comes; loose, clogged: permeability of the two paths once split, over
    that of an even puck. wetting_s: time before the first drop. most_pct: all that could be dissolved; rate: of the
    diffusion out of grains, a √s at the coarsest; rate_span: rise of its log to the finest; thirst: the ratio of water
    that carries off 63 %.
    """

    ratio: float
    ln_k: float
    ln_k_span: float
    turn: float
    abrupt: float
    loose: float
    clogged: float
    wetting_s: float
    most_pct: float
    rate: float
    rate_span: float
    thirst: float

    def split(self, fine: Floats) -> Floats:
        """How far the puck has split, 0–1."""
        return np.asarray(1 / (1 + np.exp(-(fine - self.turn) / self.abrupt)))

    def paths(self, fine: Floats) -> tuple[Floats, Floats, Floats]:
        """Flow through the clogged path, the loose one and the whole puck, over that of an even puck."""
        split = self.split(fine)
        clogged, loose = 1 - split * (1 - self.clogged), 1 + split * (self.loose - 1)
        return clogged, loose, (clogged + loose) / 2

    def seconds(self, fine: Floats, dose_g: Floats, temp_c: Floats) -> Floats:
        """Shot time, s, as far as a person would wait."""
        even_ml_s = darcy_ml_s(np.exp(self.ln_k - self.ln_k_span * fine), dose_g, temp_c)
        flow_ml_s = even_ml_s * self.paths(fine)[2]
        return np.clip(self.wetting_s + self.ratio * dose_g / flow_ml_s, SHORTEST_S, LONGEST_S)

    def paths_pct(self, fine: Floats, dose_g: Floats, temp_c: Floats) -> tuple[Floats, Floats]:
        """Extraction yield of the clogged path and of the loose one, % of dose, each half of the puck."""
        clogged, loose, whole = self.paths(fine)
        rate = self.rate * np.exp(self.rate_span * fine + 0.012 * (temp_c - 93))
        released = self.most_pct * (1 - np.exp(-rate * np.sqrt(self.seconds(fine, dose_g, temp_c))))
        water = self.ratio / whole / self.thirst
        return released * (1 - np.exp(-water * clogged)), released * (1 - np.exp(-water * loose))

    def yield_pct(self, fine: Floats, dose_g: Floats, temp_c: Floats) -> Floats:
        """Extraction yield, % of dose."""
        clogged, loose = self.paths_pct(fine, dose_g, temp_c)
        return np.asarray((clogged + loose) / 2)


def draw_puck(rng: np.random.Generator, ratio: float, place: float) -> Puck:
    """A puck that runs in about 28 s at `place` of the grind dial and turns loose somewhat finer than that."""
    wetting_s, span = float(rng.uniform(4, 9)), float(rng.uniform(2.0, 4.0))
    turn, abrupt = place + float(rng.uniform(0.25, 0.45)), float(rng.uniform(0.05, 0.1))
    flow_ml_s = ratio * 18.0 / (28 * np.exp(rng.normal(0, 0.18)) - wetting_s)
    per_m2 = darcy_ml_s(np.asarray(1.0), np.asarray(18.0), np.asarray(93.0))
    return Puck(
        ratio=ratio,
        ln_k=float(np.log(flow_ml_s / per_m2) + span * place),
        ln_k_span=span,
        turn=turn,
        abrupt=abrupt,
        loose=float(rng.uniform(1.8, 2.4)),
        clogged=float(rng.uniform(0.1, 0.3)),
        wetting_s=wetting_s,
        most_pct=float(rng.uniform(27, 31)),
        rate=float(rng.uniform(0.24, 0.32)) * float(np.exp(-0.5 * place)),
        rate_span=0.5,
        thirst=float(rng.uniform(0.7, 1.1)),
    )


def make(seed: int, rng: np.random.Generator) -> World:
    """A puck, and a taster who likes one extraction yield, evenness, and mildly one temperature and dose."""
    kit = draw_kit(rng)
    ratio, place = float(rng.choice([1.8, 2.0, 2.0, 2.2, 2.5])), float(rng.uniform(0.2, 0.7))
    puck = draw_puck(rng, ratio, place)
    liked_c = kit.machine.temp_c.low + (kit.machine.temp_c.high - kit.machine.temp_c.low) * rng.uniform(0.12, 0.88)
    liked_g = kit.basket.dose_g.low + (kit.basket.dose_g.high - kit.basket.dose_g.low) * rng.uniform(0.12, 0.88)
    liked_pct = puck.yield_pct(np.asarray(place), np.asarray(liked_g), np.asarray(liked_c)).item()
    peak, floor = rng.uniform(6.5, 9.2), rng.uniform(0.5, 2.5)
    narrow_pct, warm_c, full_g = rng.uniform(0.7, 1.3), rng.uniform(4.5, 9.0), rng.uniform(1.6, 3.2)
    harsh = rng.uniform(0.1, 0.3)

    def taste(fine: Floats, dose_g: Floats, temp_c: Floats) -> Floats:
        clogged, loose = puck.paths_pct(fine, dose_g, temp_c)
        off = (((clogged + loose) / 2 - liked_pct) / narrow_pct) ** 2 + (harsh * (loose - clogged)) ** 2
        off = off + ((temp_c - liked_c) / warm_c) ** 2 + ((dose_g - liked_g) / full_g) ** 2
        return np.asarray(floor + (peak - floor) / (1 + 0.5 * off))

    def lean(fine: Floats, dose_g: Floats, temp_c: Floats) -> Floats:
        clogged, loose = puck.paths_pct(fine, dose_g, temp_c)
        return np.asarray(0.18 * ((clogged + loose) / 2 - liked_pct) + 0.05 * (loose - clogged))

    return World(
        family="physical",
        seed=seed,
        pairing=kit.pairing(f"physical {seed}", ratio),
        taste=taste,
        lean=lean,
        seconds=puck.seconds,
        scatter=float(rng.uniform(0.03, 0.08)),
        taster=draw_taster(rng),
    )
