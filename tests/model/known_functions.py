"""Test functions with published minima, on three dials.

Minima: Branin 0.397887 at three settings, Hartmann-3 −3.862780 (computed; definitions from memory, which the published
minima check in the tests).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from dialopt import Basket, Bean, Dial, Grinder, Machine, Pairing
from dialopt.model.gaussian_process import GaussianProcess
from dialopt.model.observations import Inputs, inputs_from_array
from dialopt.trade.pairing import USUAL_RATIO

BRANIN_LEAST = 0.397887
BRANIN_AT = np.array([(-np.pi, 12.275), (np.pi, 2.275), (9.42478, 2.475)])
HARTMANN_LEAST = -3.862780
HARTMANN_AT = np.array([(0.1146, 0.5556, 0.8525)])

_WEIGHTS = np.array([1.0, 1.2, 3.0, 3.2])
_STEEP = np.array([(3.0, 10, 30), (0.1, 10, 35), (3.0, 10, 30), (0.1, 10, 35)])
_CENTRES = 1e-4 * np.array([(3689, 1170, 2673), (4699, 4387, 7470), (1091, 8732, 5547), (381, 5743, 8828)])


def branin(x: np.ndarray) -> np.ndarray:
    """At n rows of x1 from −5 to 10 and x2 from 0 to 15."""
    valley = (x[:, 1] - 5.1 / (4 * np.pi**2) * x[:, 0] ** 2 + 5 / np.pi * x[:, 0] - 6) ** 2
    return valley + 10 * (1 - 1 / (8 * np.pi)) * np.cos(x[:, 0]) + 10


def hartmann3(x: np.ndarray) -> np.ndarray:
    """At n rows in the unit cube."""
    return -np.exp(-np.sum(_STEEP * (x[:, None, :] - _CENTRES) ** 2, axis=2)) @ _WEIGHTS


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """A function to be minimised, where from and where to, (d,), what its least and greatest values are, and where."""

    value: Callable[[np.ndarray], np.ndarray]
    low: np.ndarray
    high: np.ndarray
    least: float
    greatest: float
    best: np.ndarray

    def score(self, x: np.ndarray) -> np.ndarray:
        """The least value as 10, the greatest as 0, a straight line between."""
        return 10.0 * (self.greatest - self.value(x)) / (self.greatest - self.least)

    def spread(self, share: np.ndarray) -> np.ndarray:
        """Places from shares of each side, (n, d)."""
        return self.low + share * (self.high - self.low)

    @property
    def pairing(self) -> Pairing:
        """Dials for it: grind and temperature, with the dose between them where there are three sides."""
        return Pairing(
            bean=Bean(name="no bean"),
            grinder=Grinder(name="first side", grind=Dial(0, 1000, 1), finer="up"),
            machine=Machine(name="last side", temp_c=Dial(88, 98, 0.01)),
            basket=Basket(dose_g=Dial(16, 20, 0.01) if len(self.low) == 3 else Dial(18, 18)),
        )

    def inputs(self, x: np.ndarray) -> Inputs:
        """n places as settings of the dials."""
        dials = [dial for dial in self.pairing.dials.values() if not dial.fixed]
        share = (x - self.low) / (self.high - self.low)
        turned = [dial.low + part * (dial.high - dial.low) for dial, part in zip(dials, share.T, strict=True)]
        if len(turned) == 2:
            turned.insert(1, np.full(len(x), 18.0))
        turned.append(np.full(len(x), USUAL_RATIO))
        return inputs_from_array(self.pairing, np.stack(turned, axis=1))


BRANIN = Known(
    value=branin,
    low=np.array([-5.0, 0.0]),
    high=np.array([10.0, 15.0]),
    least=BRANIN_LEAST,
    greatest=308.129,  # in the corner (−5, 0)
    best=BRANIN_AT,
)
HARTMANN = Known(
    value=hartmann3,
    low=np.zeros(3),
    high=np.ones(3),
    least=HARTMANN_LEAST,
    greatest=0.0,
    best=HARTMANN_AT,
)


def sound_process(at: Inputs, score: np.ndarray) -> GaussianProcess:
    """The process fitted to scores of which none is an outlier."""
    return GaussianProcess(at, score, outlier=np.zeros(len(score)))
