"""Published response surfaces in two factors, and the dials that they are fed in on.

What a factor does has nothing to do with espresso: the first stands on the grind dial, the second on the temperature
or the dose dial, and the dial that is left over is fixed. Scores are the published response on a straight line to 0–10,
and every repeated run is a shot of its own.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from dialopt import Basket, Bean, Dial, Grinder, Machine, Pairing, Recipe, Shot

# A. Chemical process, central composite design; x1 = (time − 85)/5, x2 = (temperature − 175)/5, response: yield.
# Montgomery, Design and Analysis of Experiments (read). Stationary point and fit: computed, the published
# optimum agrees. The runs stand in tests/model/test_gaussian.py.
PROCESS_BEST, PROCESS_BEST_YIELD = np.array([0.389, 0.306]), 80.21


def process_fit(x1: float, x2: float) -> float:
    """The published quadratic fit (computed by least squares)."""
    return 79.940 + 0.9951 * x1 + 0.5152 * x2 - 1.3764 * x1**2 - 1.0013 * x2**2 + 0.2500 * x1 * x2


def process_score(response: np.ndarray) -> np.ndarray:
    """74–80.67 % spread over 0–10."""
    return (response - 74.0) * 1.5


# E. Steepest ascent; x1 = (time − 35)/5, x2 = (temperature − 155)/5, response: yield (Montgomery & Runger; read).
ASCENT_X = np.array([(-1, -1), (1, -1), (-1, 1), (1, 1), (0, 0), (0, 0), (0, 0), (0, 0), (0, 0)], dtype=float)
ASCENT_Y = np.array([39.3, 40.9, 40.0, 41.5, 40.3, 40.5, 40.7, 40.2, 40.6])
ASCENT_SLOPE = np.array([0.775, 0.325])
PATH = np.array([(40, 157), (45, 159), (50, 161), (55, 163), (60, 165), (65, 167)], dtype=float)
PATH_X = (PATH - (35.0, 155.0)) / 5.0
PATH_Y = np.array([40.5, 51.3, 59.6, 67.1, 63.6, 60.7])

# F. NIST/SEMATECH e-Handbook 5.4.7.3: pressure, ratio, uniformity, stress (stress: read; uniformity: memory, its fit
# agrees with the remembered equation).
COATING = np.array(
    [
        *[(80, 6, 4.6, 8.04), (42, 6, 6.2, 7.78), (68.87, 3.17, 3.4, 7.58), (15.13, 8.83, 6.9, 7.27)],
        *[(4, 6, 7.3, 6.49), (42, 6, 6.4, 7.69), (15.13, 3.17, 8.6, 6.66), (42, 2, 6.3, 7.16)],
        *[(68.87, 8.83, 5.1, 8.33), (42, 10, 5.4, 8.19), (42, 6, 5.0, 7.90)],
    ]
)
COATING_X = (COATING[:, :2] - (42.0, 6.0)) / (38.0, 4.0)
UNIFORMITY, STRESS = COATING[:, 2], COATING[:, 3]


def uniformity_fit(p: np.ndarray, r: np.ndarray) -> np.ndarray:
    """The published fit (R² 0.870); least is best."""
    return 5.927 - 1.912 * p - 0.225 * r + 1.699 * p * r


def stress_fit(p: np.ndarray, r: np.ndarray) -> np.ndarray:
    """The published fit (R² 0.985); most is best."""
    return 7.734 + 0.738 * p + 0.498 * r - 0.495 * p**2


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """A pairing whose grind dial and one other cover coded factors from `low` to `high`, each (2,)."""

    pairing: Pairing
    other: str
    low: np.ndarray
    high: np.ndarray

    def recipe(self, coded: np.ndarray) -> Recipe:
        share = (np.asarray(coded) - self.low) / (self.high - self.low)
        given = {name: dial.low for name, dial in self.pairing.dials.items()}
        for name, part in zip(("grind", self.other), share, strict=True):
            dial = self.pairing.dials[name]
            given[name] = float(dial.low + part * (dial.high - dial.low))
        return Recipe(**given)

    def coded(self, recipe: Recipe) -> np.ndarray:
        dials = [self.pairing.dials[name] for name in ("grind", self.other)]
        values = (recipe.grind, getattr(recipe, self.other))
        share = [(value - dial.low) / (dial.high - dial.low) for value, dial in zip(values, dials, strict=True)]
        return self.low + np.array(share) * (self.high - self.low)

    def shots(self, coded: np.ndarray, score: np.ndarray) -> list[Shot]:
        return [Shot(recipe=self.recipe(x), score=float(y)) for x, y in zip(coded, score, strict=True)]


def bench(other: str, finer: str, low: tuple[float, float], high: tuple[float, float]) -> Bench:
    """A bench without espresso: 101 grinds beside 88–98 °C or 16–20 g, 41 settings each."""
    hot, heavy = Dial(88, 98, 0.25), Dial(16, 20, 0.1)
    return Bench(
        pairing=Pairing(
            bean=Bean(name="no bean"),
            grinder=Grinder(name="first factor", grind=Dial(0, 100, 1), finer=finer),
            machine=Machine(name="bench machine", temp_c=hot if other == "temp_c" else Dial(93, 93)),
            basket=Basket(dose_g=heavy if other == "dose_g" else Dial(18, 18)),
        ),
        other=other,
        low=np.array(low, dtype=float),
        high=np.array(high, dtype=float),
    )
