from __future__ import annotations

import base64
import math
import re
from dataclasses import replace
from datetime import date, datetime
from html.parser import HTMLParser

import numpy as np
import pytest

from dialopt.engine.advice import Advice, Draws, Estimate, PredictedOutcome, Predictions, SweetSpot
from dialopt.engine.reason import Move, Reason
from dialopt.report import page, side_by_side
from dialopt.report.hindsight import Look
from dialopt.report.sides import Side, placed
from dialopt.text.cards import labels
from dialopt.trade.bean import Bean
from dialopt.trade.dial import Dial
from dialopt.trade.kit import Basket, Grinder, Machine
from dialopt.trade.pairing import Pairing
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot

NOW = datetime(2031, 4, 12, 9, 30)
GRIND, DOSE_G, TEMP_C = Dial(10, 26, 1), Dial(17, 19, 0.5), Dial(90, 96, 1)
HOSTILE = "</script><img src=x onerror=alert(1)>"


class Page(HTMLParser):
    """What a browser would make of the text: elements, scripts and styles, and the words outside them."""

    def __init__(self, text):
        super().__init__()
        self.tags = []
        self.inside = {"script": [], "style": []}
        self.words = []
        self._open = ""
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))
        if tag in self.inside:
            self._open = tag
            self.inside[tag].append("")

    def handle_endtag(self, tag):
        self._open = ""

    def handle_data(self, data):
        if self._open:
            self.inside[self._open][-1] += data
        else:
            self.words.append(data)

    @property
    def text(self):
        return re.sub(r"[\s\u00a0]+", " ", " ".join(self.words))

    def scripts(self):
        names = [attrs.get("id") or "own" for tag, attrs in self.tags if tag == "script"]
        return dict(zip(names, self.inside["script"], strict=True))


def on(pairing, **changes):
    """The same pairing with another grinder."""
    return replace(pairing, grinder=replace(pairing.grinder, **changes))


def bag(pairing, name):
    """The same pairing with another bean."""
    return replace(pairing, bean=replace(pairing.bean, name=name))


class Bowl:
    """A posterior written by hand: a bowl of liking whose middle is the best setting."""

    def __init__(self, best):
        self.best_recipe = best

    def _away(self, recipe):
        best = self.best_recipe
        return math.hypot(
            (recipe.grind - best.grind) / 8, (recipe.dose_g - best.dose_g) / 2, (recipe.temp_c - best.temp_c) / 6
        )

    def predict(self, recipes):
        away = np.array([self._away(recipe) for recipe in recipes])
        return Predictions(
            score_mean=np.clip(8 - 2 * away**2, 0, 10),
            score_sd=0.3 + away / 2,
            score_low=np.clip(7.5 - 2 * away**2 - away, 0, 10),
            score_high=np.clip(8.5 - 2 * away**2 + away, 0, 10),
            time_s=np.array([28 * math.exp((self.best_recipe.grind - recipe.grind) / 20) for recipe in recipes]),
        )

    def predict_outcome(self, recipe, level):
        known = self.predict([recipe])
        mean, time = float(known.score_mean[0]), float(known.time_s[0])
        half = 2.0 * level / 0.9 * (0.5 + float(known.score_sd[0]))
        return PredictedOutcome(
            score=Estimate(mean=mean, low=max(mean - half, 0), high=min(mean + half, 10)),
            time_s=Estimate(mean=time, low=time / (1 + level / 3), high=time * (1 + level / 3)),
        )

    def contains(self, recipe, level):
        return self._away(recipe) <= level

    def best(self):
        """A block around the best."""
        middle = self.best_recipe
        return [
            Recipe(grind=middle.grind + grind, dose_g=middle.dose_g + dose_g, temp_c=middle.temp_c + temp_c, ratio=2)
            for grind in (-6, -3, 0, 3, 6)
            for dose_g in (-1, 0, 1)
            for temp_c in (-2, 0, 2)
        ]

    def draws(self, recipes):
        """As many as `best` has, a point and a tenth of the time about what is expected."""
        known, count = self.predict(recipes), len(self.best())
        off = np.linspace(-1, 1, count)[:, None]
        return Draws(
            liking=np.clip(known.score_mean + off, 0, 10), time_s=known.time_s * np.exp(0.1 * np.roll(off, 7, axis=0))
        )


@pytest.fixture
def a_pairing():
    def build(bean="Harbour Fog", roasted_on=date(2031, 4, 1), grind=GRIND, dose_g=DOSE_G, temp_c=TEMP_C, **rest):
        return Pairing(
            bean=Bean(name=bean, roasted_on=roasted_on, **rest),
            grinder=Grinder(name="bench grinder", grind=grind),
            machine=Machine(name="bench machine", temp_c=temp_c),
            basket=Basket(dose_g=dose_g),
        )

    return build


@pytest.fixture
def an_advice(a_pairing):
    def build(pairing=None, **changes):
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
            advice = replace(advice, sweet_spot=replace(spot, **inner))
        return replace(advice, **changes)

    return build


@pytest.fixture
def shots():
    def at(grind, dose_g=18, temp_c=93):
        return Recipe(grind=grind, dose_g=dose_g, temp_c=temp_c)

    return [
        Shot(recipe=at(22), yield_g=36.2, time_s=21, score=5.5, balance=-2, pulled_at=datetime(2031, 4, 9, 8)),
        Shot(recipe=at(18, 18.5), yield_g=37, time_s=28, score=8, balance=0, tds_pct=9.8, note="plum jam, secret"),
        Shot(recipe=at(18), yield_g=36, time_s=15, score=3, fault="channelled"),
        Shot(recipe=at(14, 18, 95), yield_g=35.5, time_s=41),
        Shot(recipe=at(17), score=2.5, pulled_at=datetime(2031, 4, 11, 8)),
    ]


@pytest.fixture
def log(shots):
    return dict(enumerate(shots, start=1))


@pytest.fixture
def looks(shots, an_advice):
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
def lined(an_advice, shots, looks):
    """Pairings in their places, known by hand. tasted: whether each has shots; all of them unless said."""

    def build(*pairings, tasted=None, **changes):
        shown = []
        for number, (pairing, label) in enumerate(zip(pairings, labels(pairings), strict=True)):
            advice = an_advice(pairing)
            pulled = tasted is None or tasted[number]
            side = Side(shots=shots if pulled else [], advice=advice, pairing_id=number + 1)
            looked = tuple(looks) if pulled else ()
            shown.append(placed(replace(side, **changes), number, label, looked))
        return shown

    return build


@pytest.fixture
def now():
    return NOW


@pytest.fixture
def hostile():
    return HOSTILE


@pytest.fixture
def a_page(a_pairing, an_advice, log, looks):
    """The report's text."""

    def build(pairing=None, **changes):
        pairing = pairing or a_pairing()
        usual = {"advice": an_advice(pairing), "log": log, "looks": looks, "earlier": [], "now": NOW, "notes": False}
        return page.compose(pairing=pairing, **{**usual, **changes})

    return build


@pytest.fixture
def page_words(a_page):
    """The words of the report."""
    return lambda **changes: Page(a_page(**changes)).text


@pytest.fixture
def side_words(lined):
    """The words of the page on several pairings."""
    return lambda *pairings, **changes: Page(side_by_side.compose(lined(*pairings, **changes), now=NOW)).text


def pages_printed(browser):
    """On how many pages it is printed."""
    return base64.b64decode(browser.cdp("Page.printToPDF", preferCSSPageSize=True)["data"]).count(b"/Type /Page\n")
