from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date, datetime

import numpy as np
import pytest

from dialopt.engine.advice import Advice, Draws, Estimate, PredictedOutcome, Predictions, SweetSpot
from dialopt.engine.grinder_independent import grinder_independent
from dialopt.engine.reason import Move, Reason
from dialopt.engine.standing import mark_steps, standing
from dialopt.logbook.records import Log
from dialopt.report.hindsight import Look
from dialopt.report.sides import Shown, Side, labels
from dialopt.trade.bean import Bean
from dialopt.trade.dial import Dial
from dialopt.trade.kit import Basket, Grinder, Machine
from dialopt.trade.pairing import Pairing
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot

NOW = datetime(2031, 4, 12, 9, 30)
GRIND, DOSE_G, TEMP_C = Dial(10, 26, 1), Dial(17, 19, 0.5), Dial(90, 96, 1)
HOSTILE = "</script><img src=x onerror=alert(1)>"


class Bowl:
    """Knowledge written by hand: a bowl of liking whose middle is the best setting."""

    def __init__(self, best: Recipe) -> None:
        self.best_recipe = best

    def _away(self, recipe: Recipe) -> float:
        best = self.best_recipe
        return math.hypot(
            (recipe.grind - best.grind) / 8, (recipe.dose_g - best.dose_g) / 2, (recipe.temp_c - best.temp_c) / 6
        )

    def predict(self, recipes: Sequence[Recipe]) -> Predictions:
        away = np.array([self._away(recipe) for recipe in recipes])
        return Predictions(
            score_mean=np.clip(8 - 2 * away**2, 0, 10),
            score_sd=0.3 + away / 2,
            score_low=np.clip(7.5 - 2 * away**2 - away, 0, 10),
            score_high=np.clip(8.5 - 2 * away**2 + away, 0, 10),
            time_s=np.array([28 * math.exp((self.best_recipe.grind - recipe.grind) / 20) for recipe in recipes]),
        )

    def predict_outcome(self, recipe: Recipe, level: float) -> PredictedOutcome:
        known = self.predict([recipe])
        mean, time = float(known.score_mean[0]), float(known.time_s[0])
        half = 2.0 * level / 0.9 * (0.5 + float(known.score_sd[0]))
        return PredictedOutcome(
            score=Estimate(mean=mean, low=max(mean - half, 0), high=min(mean + half, 10)),
            time_s=Estimate(mean=time, low=time / (1 + level / 3), high=time * (1 + level / 3)),
        )

    def contains(self, recipe: Recipe, level: float) -> bool:
        return self._away(recipe) <= level

    def best(self) -> list[Recipe]:
        """A block around the best."""
        middle = self.best_recipe
        return [
            Recipe(grind=middle.grind + grind, dose_g=middle.dose_g + dose_g, temp_c=middle.temp_c + temp_c)
            for grind in (-6, -3, 0, 3, 6)
            for dose_g in (-1, 0, 1)
            for temp_c in (-2, 0, 2)
        ]

    def draws(self, recipes: Sequence[Recipe]) -> Draws:
        """As many as `best` has, a point and a tenth of the time about what is expected."""
        known, count = self.predict(recipes), len(self.best())
        off = np.linspace(-1, 1, count)[:, None]
        return Draws(
            liking=np.clip(known.score_mean + off, 0, 10), time_s=known.time_s * np.exp(0.1 * np.roll(off, 7, axis=0))
        )


@pytest.fixture
def a_pairing() -> Callable[..., Pairing]:
    def build(
        bean: str = "Harbour Fog",
        grind: Dial = GRIND,
        dose_g: Dial = DOSE_G,
        temp_c: Dial = TEMP_C,
        **rest: object,
    ) -> Pairing:
        return Pairing(
            bean=Bean(name=bean, roasted_on=date(2031, 4, 1), **rest),  # type: ignore[arg-type]  # each test says what
            grinder=Grinder(name="bench grinder", grind=grind),
            machine=Machine(name="bench machine", temp_c=temp_c),
            basket=Basket(dose_g=dose_g),
        )

    return build


@pytest.fixture
def an_advice(a_pairing: Callable[..., Pairing]) -> Callable[..., Advice]:
    def build(pairing: Pairing | None = None, **changes: object) -> Advice:
        pairing = pairing or a_pairing()
        best = pairing.snap(Recipe(grind=18, dose_g=18, temp_c=93))
        spot = SweetSpot(
            recipe=best,
            score=Estimate(mean=7.94, low=7.31, high=8.42),
            prob_near_optimal=0.83,
            edges=(),
            predictive=Bowl(best),
        )
        next_recipe = pairing.snap(Recipe(grind=16, dose_g=18, temp_c=93))
        advice = Advice(
            pairing=pairing,
            next_recipe=next_recipe,
            settled=False,
            why=Reason(
                kind="moves",
                prob_near_optimal=0.83,
                moves=(Move(dial="grind", was=18, now=16, why="towards_best"),),
            ),
            sweet_spot=spot,
            expected=Bowl(best).predict_outcome(next_recipe, 0.9),
            shots_left=7,
            gp_weight=0.12,
            seed=5,
            version="0.0.0",
        )
        inner = {name: changes.pop(name) for name in ("edges", "prob_near_optimal") if name in changes}
        if inner:
            advice = replace(advice, sweet_spot=replace(spot, **inner))  # type: ignore[arg-type]  # as above
        return replace(advice, **changes)  # type: ignore[arg-type]  # as above

    return build


@pytest.fixture
def shots() -> list[Shot]:
    def at(grind: float, dose_g: float = 18, temp_c: float = 93) -> Recipe:
        return Recipe(grind=grind, dose_g=dose_g, temp_c=temp_c)

    return [
        Shot(recipe=at(22), yield_g=36.2, time_s=21, score=5.5, balance=-2, pulled_at=datetime(2031, 4, 9, 8)),
        Shot(recipe=at(18, 18.5), yield_g=37, time_s=28, score=8, balance=0, tds_pct=9.8, note="plum jam, secret"),
        Shot(recipe=at(18), yield_g=36, time_s=15, score=3, fault="channelled"),
        Shot(recipe=at(14, 18, 95), yield_g=35.5, time_s=41),
        Shot(recipe=at(17), score=2.5, pulled_at=datetime(2031, 4, 11, 8)),
    ]


@pytest.fixture
def log(shots: list[Shot]) -> Log:
    return dict(enumerate(shots, start=1))


@pytest.fixture
def looks(shots: list[Shot], an_advice: Callable[..., Advice]) -> list[Look]:
    advice = an_advice()
    return [
        Look(
            number=number,
            before=number - 1,
            shot=shot,
            predicted=advice.predict_outcome(shot.recipe, 0.9),
            best=Estimate(mean=7, low=6 - 1 / number, high=8 + 1 / number),
            prob_near_optimal=0.2 + 0.1 * number,
        )
        for number, shot in enumerate(shots, start=1)
    ]


@pytest.fixture
def lined(an_advice: Callable[..., Advice], shots: list[Shot], looks: list[Look]) -> Callable[..., list[Shown]]:
    """Pairings in their places, known by hand. tasted: whether each has shots; all of them unless said."""

    def build(*pairings: Pairing, tasted: Sequence[bool] | None = None, **changes: object) -> list[Shown]:
        shown = []
        for number, (pairing, label) in enumerate(zip(pairings, labels(pairings), strict=True)):
            advice = an_advice(pairing)
            pulled = tasted is None or tasted[number]
            side = Side(shots=shots if pulled else [], advice=advice, pairing_id=number + 1)
            shown.append(
                Shown(
                    side=replace(side, **changes),  # type: ignore[arg-type]  # each test says what
                    number=number,
                    label=label,
                    standing=standing(advice),
                    free=grinder_independent(advice, side.shots),
                    mark_steps=mark_steps(advice),
                    looks=tuple(looks) if pulled else (),
                )
            )
        return shown

    return build


@pytest.fixture
def now() -> datetime:
    return NOW


@pytest.fixture
def hostile() -> str:
    return HOSTILE
