"""The rule of thumb: one thing at a time, by clock, tongue and note (common practice)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from dialopt import Dial, Pairing, Recipe, Shot
from experiments.methods.method import Earlier, best_scoring, middle

FASTEST_S, SLOWEST_S = 22.0, 34.0
FIRST_MOVE = 1 / 6
"""The first move of the grind, as a share of its dial."""
LONGER = 0.3
"""What the ratio is moved by."""
TWEAKS = (("temp_c", 1.0), ("temp_c", -1.0), ("dose_g", 0.5), ("dose_g", -0.5))
"""What is tried, one after the other, once time and balance are right: °C and g."""


@dataclass(slots=True)
class RuleOfThumb:
    """Too fast or sour: finer. Too slow or bitter: coarser; half the move when the direction turns. Where the ratio may
    vary, sour in the right time: a longer cup, bitter: a shorter one.

    Once the shot runs in its time and tastes balanced, temperature and dose are moved a little, and moved back unless
    the score rose.
    """

    pairing: Pairing
    _move: float = field(init=False)
    _heading: int = field(init=False, default=0)
    _tweak: int = field(init=False, default=0)
    _home: Recipe | None = field(init=False, default=None)
    _home_score: float = field(init=False, default=-1.0)

    def __post_init__(self) -> None:
        self._move = (self.pairing.grinder.grind.count - 1) * FIRST_MOVE

    def ask(self, shots: Sequence[Shot]) -> Recipe:
        """The next recipe."""
        if not shots:
            return middle(self.pairing)
        last = shots[-1]
        heading = _finer_wanted(last)
        ratio = self.pairing.dials["ratio"]
        if heading and not ratio.fixed and last.time_s is not None and FASTEST_S <= last.time_s <= SLOWEST_S:
            steps = heading * max(1, round(LONGER / ratio.step))
            return replace(last.recipe, ratio=_moved(ratio, self.pairing.ratio_of(last.recipe), steps))
        if heading:
            return self._regrind(last.recipe, heading)
        return self._tweaked(last)

    def recommend(self, shots: Sequence[Shot]) -> Recipe:
        """The best-scoring recipe so far."""
        return best_scoring(self.pairing, shots)

    def _regrind(self, recipe: Recipe, heading: int) -> Recipe:
        if self._heading and heading != self._heading:
            self._move /= 2
        self._heading = heading
        steps = max(1, round(self._move)) * heading
        grinder = self.pairing.grinder
        grind = _moved(grinder.grind, recipe.grind, -steps if grinder.finer == "down" else steps)
        self._home = None
        return replace(recipe, grind=grind)

    def _tweaked(self, last: Shot) -> Recipe:
        score = last.score or 0.0
        if self._home is None or score > self._home_score:
            self._home, self._home_score = last.recipe, score
        else:
            self._tweak += 1
        name, amount = TWEAKS[self._tweak % len(TWEAKS)]
        dial = self.pairing.dials[name]
        settings = {field: getattr(self._home, field) for field in self.pairing.dials}
        steps = max(1, round(abs(amount) / dial.step))
        settings[name] = _moved(dial, settings[name], steps if amount > 0 else -steps)
        return Recipe(**settings)


def _finer_wanted(shot: Shot) -> int:
    """1 for finer, −1 for coarser, 0 for leave it."""
    time_s, balance = shot.time_s, shot.balance
    if time_s is not None and time_s < FASTEST_S:
        return 1
    if time_s is not None and time_s > SLOWEST_S:
        return -1
    if balance is not None and abs(balance) >= 1:
        return 1 if balance < 0 else -1
    return 0


def _moved(dial: Dial, value: float, steps: int) -> float:
    settings = dial.settings()
    return settings[min(max(dial.index(value) + steps, 0), dial.count - 1)]


def rule_of_thumb(pairing: Pairing, seed: int, earlier: Earlier = ()) -> RuleOfThumb:
    """The rule of thumb; it takes no seed and learns nothing from earlier bags."""
    return RuleOfThumb(pairing)
