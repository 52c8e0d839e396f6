"""Kit, shots and advice for a program: plain names and numbers, units in the names."""

from __future__ import annotations

from dataclasses import asdict
from datetime import date
from typing import Any

from dialopt.engine.advice import Advice, Palate
from dialopt.errors import BadValue
from dialopt.logbook.records import BurrSet, Entry, LastPull, Operation, PairingRecord
from dialopt.shell.change import change_data, change_to
from dialopt.text.beans import freshness_advice
from dialopt.trade.bean import Bean
from dialopt.trade.freshness import freshness
from dialopt.trade.pairing import Pairing
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot

Data = dict[str, Any]


def pairing_data(record: PairingRecord) -> Data:
    """A pairing with its number and its title."""
    return {"id": record.id, "title": record.pairing.title, "shots": record.shots, **asdict(record.pairing)}


def burr_set_data(burrs: BurrSet) -> Data:
    """A burr set with its tally, g."""
    return {**asdict(burrs), "ground_g": burrs.ground_g}


def freshness_data(bean: Bean, today: date | None) -> Data | None:
    """Days off roast, the stage and what it means; None without a roasting date, or with one that lies ahead."""
    if bean.roasted_on is None or today is None:
        return None
    try:
        fresh = freshness(bean.roasted_on, today)
    except BadValue:
        return None
    return {"days_off_roast": fresh.days, "stage": fresh.stage, "advice": freshness_advice(fresh)}


def recipe_data(pairing: Pairing, recipe: Recipe) -> Data:
    """A recipe with the cup weight to stop at."""
    return {**asdict(recipe), "yield_g": pairing.yield_g(recipe)}


def shot_data(shot: Shot) -> Data:
    """A shot, its recipe's settings beside the rest."""
    fields = asdict(shot)
    return {**fields.pop("recipe"), **fields, "extraction_yield_pct": shot.extraction_yield_pct}


def entry_data(entry: Entry) -> Data:
    """A shot with its number and revision."""
    return {"number": entry.number, "revision": entry.revision, **shot_data(entry.shot)}


def operation_data(operation: Operation) -> Data:
    """What was done, and whether it was taken back."""
    return {
        "kind": operation.kind,
        "source": operation.source,
        "at": operation.at,
        "undone_at": operation.undone_at,
        "shots": [entry_data(entry) for entry in operation.entries],
    }


def advice_data(record: PairingRecord, advice: Advice, last: LastPull | None) -> Data:
    """Advice whole. change: from the shot that went through the grinder last; None with none."""
    pairing, recipe, spot = advice.pairing, advice.next_recipe, advice.sweet_spot
    return {
        "pairing": {"id": record.id, "title": pairing.title, "shots": record.shots},
        "recipe": recipe_data(pairing, recipe),
        "change": change_data(change_to(pairing, recipe, last)),
        "expected": asdict(advice.expected),
        "reason": advice.reason,
        "settled": bool(advice.settled),
        "counts": pairing.counts,
        "most_moves": int(advice.most_moves),
        "sweet_spot": {
            "recipe": recipe_data(pairing, spot.recipe),
            "score": asdict(spot.score),
            "prob_near_optimal": float(spot.prob_near_optimal),
            "edges": list(spot.edges),
            "near_optimal_ridge": spot.near_optimal_ridge
            and [recipe_data(pairing, end) for end in spot.near_optimal_ridge],
            "modes": [recipe_data(pairing, rival) for rival in spot.modes],
        },
        "shots_left": int(advice.shots_left),
        "freshness": freshness_data(pairing.bean, advice.today),
        "finer_today": advice.finer_today and asdict(advice.finer_today),
        "palate": advice.palate and palate_data(pairing, advice.palate),
        "gp_weight": float(advice.gp_weight),
        "seed": advice.seed,
        "version": advice.version,
    }


def palate_data(pairing: Pairing, palate: Palate) -> Data:
    """The palate; noise and offset with their 90 % intervals."""
    return {**asdict(palate), "repeat": palate.repeat and recipe_data(pairing, palate.repeat)}
