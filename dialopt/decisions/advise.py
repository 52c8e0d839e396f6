"""From a pairing and its shots to advice: the whole way, in order."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import numpy as np
from scipy.special import ndtr

import dialopt
from dialopt.decisions.advice import Advice, Range, SweetSpot
from dialopt.decisions.candidates import Candidates, candidates, neighbourhood
from dialopt.decisions.knowledge import BeliefKnowledge
from dialopt.decisions.next_shot import expected_improvement, expected_lesson, worth
from dialopt.decisions.reason import reason
from dialopt.decisions.region import Region
from dialopt.decisions.stop import CLOSE, later_cups, settled, shots_left
from dialopt.errors import BadValue
from dialopt.model.belief import Belief, believe
from dialopt.model.outlook import Outlook
from dialopt.model.table import AGE_SPAN_DAYS, Floats, settings
from dialopt.trade.pairing import Pairing
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot

_SHORTLIST_BY_DRAWS = 24
_SHORTLIST_BY_HOPE = 8
_SHORTLIST_BY_MEAN = 6
_CUPS = 200
_GRIND_MOVED = 0.03
_TEMP_MOVED = 0.05
_MISHAP = 1.5
_EDGE_SHARE = 0.4

CHOKES_S, GUSHES_S = 60.0, 9.0
"""Shot times beyond which a puck counts as choked or gushing, s (common practice)."""


def advise(
    pairing: Pairing,
    shots: Sequence[Shot],
    earlier: Sequence[tuple[Pairing, Sequence[Shot]]] = (),
    seed: int = 0,
    today: date | None = None,
) -> Advice:
    """What to pull next, and where the sweet spot lies, given every shot of a pairing in the order they were pulled.

    earlier: other pairings with their shots, of any kit. seed: the same call with the same seed gives the same advice.
    today: the day that the advice is for; by default that of the latest shot. Beans drift with the days.
    Raises BadValue for arguments that are none of these.
    """
    pairing, shots, seed = _checked_pairing(pairing), _checked_shots(shots), _checked_seed(seed)
    earlier = [(_checked_pairing(other), _checked_shots(told)) for other, told in earlier]
    rng = np.random.default_rng(seed)
    belief = believe(pairing, shots, earlier, rng, today)
    lattice = candidates(pairing)
    liking = belief.liking(lattice.at)
    sweet, sweet_liking = _sweet_recipe(pairing, belief, lattice, liking)

    best_rows = np.argmax(liking, axis=1)
    best_box = lattice.at.box[best_rows]
    close = np.maximum(np.max(liking, axis=1), sweet_liking) - sweet_liking <= CLOSE
    chance_close = float(np.mean(close))
    region = Region(best_box, lattice.spacing)
    knowledge = BeliefKnowledge(pairing, belief, region, lattice.raw[best_rows], seed)
    edges = _edges(pairing, sweet, best_box)

    left = shots_left(pairing, shots)
    test, value = _best_test(pairing, shots, belief, lattice, liking, sweet, later_cups(left), rng)
    done = settled(best_worth=value, chance_close=chance_close)
    next_recipe = sweet if done else test
    return Advice(
        pairing=pairing,
        next_recipe=next_recipe,
        settled=done,
        reason=reason(
            pairing=pairing,
            shots=shots,
            next_recipe=next_recipe,
            sweet_recipe=sweet,
            settled=done,
            chance_close=chance_close,
            edges=edges,
        ),
        sweet_spot=SweetSpot(
            recipe=sweet,
            score=_score_range(sweet_liking),
            chance_close=chance_close,
            edges=edges,
            knowledge=knowledge,
        ),
        expected=knowledge.foretell(next_recipe, 0.9),
        shots_left=left,
        finer_today=_finer_today(pairing, shots, belief, today),
        leaning=belief.leaning,
        seed=seed,
        version=dialopt.__version__,
    )


def _checked_pairing(pairing: object) -> Pairing:
    if not isinstance(pairing, Pairing):
        raise BadValue("pairing", pairing, "a Pairing")
    return pairing


def _checked_shots(shots: Sequence[object]) -> list[Shot]:
    checked = []
    for number, shot in enumerate(shots, start=1):
        if not isinstance(shot, Shot):
            raise BadValue(f"shot {number}", shot, "a Shot")
        checked.append(shot)
    return checked


def _checked_seed(seed: object) -> int:
    if isinstance(seed, bool) or not isinstance(seed, int) or seed < 0:
        raise BadValue("seed", seed, "a whole number from 0 up")
    return seed


def _sweet_recipe(pairing: Pairing, belief: Belief, lattice: Candidates, liking: Floats) -> tuple[Recipe, Floats]:
    """The recipe of the highest posterior mean, first on the lattice, then on every setting around it."""
    near = neighbourhood(pairing, lattice.recipe(int(np.argmax(liking.mean(axis=0)))))
    near_liking = belief.liking(near.at)
    row = int(np.argmax(near_liking.mean(axis=0)))
    return near.recipe(row), near_liking[:, row]


def _score_range(liking: Floats) -> Range:
    on_scale = np.clip(liking, 0.0, 10.0)
    low, high = np.quantile(on_scale, [0.05, 0.95])
    return Range(mean=float(on_scale.mean()), low=float(low), high=float(high))


def _finer_today(pairing: Pairing, shots: Sequence[Shot], belief: Belief, today: date | None) -> Range | None:
    """Steps finer that keep the first dated shot's clock today; None while all was pulled on one day."""
    days = [shot.pulled_at.date() for shot in shots if shot.pulled_at is not None]
    if not days or pairing.grinder.grind.fixed:
        return None
    passed = ((today or max(days)) - min(days)).days / AGE_SPAN_DAYS
    if passed == 0:
        return None
    curve = belief.trade.curve
    per_step = curve["clock_grind"][:, 0] / (pairing.grinder.grind.count - 1)
    steps = -curve["clock_drift"][:, 0] * passed / per_step
    low, high = np.quantile(steps, [0.05, 0.95])
    return Range(mean=float(np.median(steps)), low=float(low), high=float(high))


def _edges(pairing: Pairing, sweet: Recipe, best_box: Floats) -> tuple[str, ...]:
    """Dials on whose end the sweet spot sits, with a good share of the draws beside it."""
    box = settings(pairing, [sweet]).box[0]
    edges = []
    for column, (name, dial) in enumerate(pairing.dials.items()):
        at_end = box[column] < 1e-9 or box[column] > 1 - 1e-9
        if not dial.fixed and at_end and np.mean(np.abs(best_box[:, column] - box[column]) < 0.02) >= _EDGE_SHARE:
            edges.append(name)
    return tuple(edges)


def _best_test(
    pairing: Pairing,
    shots: Sequence[Shot],
    belief: Belief,
    lattice: Candidates,
    liking: Floats,
    sweet: Recipe,
    cups_later: float,
    rng: np.random.Generator,
) -> tuple[Recipe, float]:
    """The shot worth most and what the best one away from the sweet spot is worth."""
    mean = liking.mean(axis=0)
    spots, counts = np.unique(np.argmax(liking, axis=1), return_counts=True)
    by_draws = spots[np.argsort(-counts, kind="stable")]
    by_mean = np.argsort(-mean, kind="stable")
    hope = np.argsort(-expected_improvement(mean, liking.std(axis=0), float(mean.max())), kind="stable")
    home = lattice.row(pairing, sweet)
    rows = np.unique([*by_draws[:_SHORTLIST_BY_DRAWS], *hope[:_SHORTLIST_BY_HOPE], *by_mean[:_SHORTLIST_BY_MEAN], home])
    cups = np.unique([*by_draws[:_CUPS], *by_mean[: _CUPS // 2]])
    outlook = belief.outlook(lattice.at.rows(rows))
    value = worth(
        lesson=expected_lesson(outlook, liking[:, cups], rng),
        liking=mean[rows],
        best=float(mean.max()),
        bother=_bother(shots, lattice.raw[rows]) + _mishap(belief, outlook),
        later_cups=cups_later,
    )
    chosen = int(np.argmax(value.total))
    away = rows != home
    test_value = float(np.max(value.total[away])) if away.any() else 0.0
    return (sweet if rows[chosen] == home else lattice.recipe(int(rows[chosen]))), test_value


def _mishap(belief: Belief, outlook: Outlook) -> Floats:
    """What the risk of a choked or gushing puck costs, points: a mess, and a shot that tells little of taste."""
    slow = ndtr((outlook.log_clock - np.log(CHOKES_S)) / belief.clock_sd[:, None])
    fast = ndtr((np.log(GUSHES_S) - outlook.log_clock) / belief.clock_sd[:, None])
    return np.asarray(_MISHAP * (slow + fast).mean(axis=0))


def _bother(shots: Sequence[Shot], raw: Floats) -> Floats:
    """What moving the dials from the last shot costs: coffee purged and water waited for, points."""
    if not shots:
        return np.zeros(len(raw))
    last = shots[-1].recipe
    grind_moved = np.abs(raw[:, 0] - last.grind) > 1e-9
    temp_moved = np.abs(raw[:, 2] - last.temp_c) > 1e-9
    return np.asarray(_GRIND_MOVED * grind_moved + _TEMP_MOVED * temp_moved)
