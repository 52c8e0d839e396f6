"""From a pairing and its shots to advice: the whole way, in order."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

import dialopt
from dialopt.engine.acceptable import shot_time_is_right
from dialopt.engine.advice import Advice, SweetSpot
from dialopt.engine.candidates import Candidates, candidates
from dialopt.engine.checked import (
    checked_earlier,
    checked_hold,
    checked_most_moves,
    checked_pairing,
    checked_seed,
    checked_shots,
    checked_today,
    checked_verdicts,
)
from dialopt.engine.config import CONFIG, Config
from dialopt.engine.drift import finer_today, rested_days
from dialopt.engine.next_shot import NextShot, best_shot
from dialopt.engine.palate import palate
from dialopt.engine.reason import reason
from dialopt.engine.scale import on_scale
from dialopt.engine.stop import cups_served, settled, shots_left, steady
from dialopt.engine.sweet_spot import find_sweet_spot
from dialopt.model.elicited import elicited_priors
from dialopt.model.limits import with_a_say
from dialopt.model.observations import Floats
from dialopt.model.posterior import Posterior, fit
from dialopt.trade.pairing import Pairing
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot
from dialopt.trade.verdict import Verdict, among


def advise(
    pairing: Pairing,
    shots: Sequence[Shot],
    earlier: Sequence[tuple[Pairing, Sequence[Shot]]] = (),
    seed: int = 0,
    today: date | None = None,
    *,
    counts: str | None = None,
    most_moves: int | None = None,
    hold: Mapping[str, float] | None = None,
    verdicts: Sequence[Verdict] = (),
    config: Config = CONFIG,
) -> Advice:
    """What to pull next, and where the sweet spot lies, given every shot of a pairing in the order they were pulled.

    A pure function: nothing outside is read or changed. Shots far off the dials are slips of the pen and aren't read.
    Raises BadValue for arguments that are none of these.

    earlier: other pairings with their shots, of any kit, the most telling first; the taste and clock of the first four
    that tell anything are read (`MOST_EARLIER`), the bag is counted from all. seed: the same call with the same seed
    gives the same advice. today: the day that the advice is for, as beans drift with the days; by default that of the
    latest shot. counts: "cups", every cup that the bag still holds, tests too, or "recipe", the final recipe alone; by
    default as the pairing has it. most_moves: dials that a test may move from the last shot, 1 to 4; with 1 it is the
    grind until the shot time is right, and one dial at a time from then on. By default it is 1, and 3 where only the
    recipe counts. hold: settings of
    dials that aren't to be moved, by the recipe's field names, as {"dose_g": 18}. verdicts: between two of the
    shots, by their places among them from 0. config: priors, costs and tolerances.

    >>> from dialopt import Basket, Bean, Dial, Grinder, Machine, Recipe
    >>> pairing = Pairing(
    ...     bean=Bean(name="washed sample", bag_g=250),
    ...     grinder=Grinder(name="bench grinder", grind=Dial(0, 40, 1)),
    ...     machine=Machine(name="bench machine", temp_c=Dial(93, 93)),
    ...     basket=Basket(dose_g=Dial(18, 18)),
    ... )
    >>> shot = Shot(recipe=Recipe(grind=24, dose_g=18, temp_c=93), yield_g=36, time_s=17, score=5, balance=-2)
    >>> advice = advise(pairing, [shot])
    >>> advice.next_recipe.grind < 24, advice.settled, advice.shots_left
    (True, False, 12)
    """
    pairing, shots, seed = checked_pairing(pairing), checked_shots(shots), checked_seed(seed)
    pairing = pairing if counts is None else replace(pairing, counts=counts)
    most_moves, hold = checked_most_moves(most_moves, pairing.counts), checked_hold(pairing, hold)
    earlier, today = checked_earlier(earlier), checked_today(today)
    verdicts = checked_verdicts(verdicts, len(shots))
    left = shots_left(pairing, shots, earlier)
    now = _decide(pairing, shots, verdicts, earlier, seed, today, most_moves, hold, config)
    done = now.settled
    if not done and steady(now.test.worth, short=now.short, counts=pairing.counts, config=config) and len(shots) > 1:
        before = among(verdicts, range(len(shots) - 1))
        done = _decide(pairing, shots[:-1], before, earlier, seed, today, most_moves, hold, config).settled
    # A slip of the pen used up its coffee and tells nothing more.
    shots = pairing.meant(shots)
    posterior, spot, test = now.posterior, now.spot, now.test
    next_recipe = spot.recipe if done else test.recipe
    return Advice(
        pairing=pairing,
        next_recipe=next_recipe,
        settled=done,
        why=reason(
            pairing=pairing,
            shots=shots,
            next_recipe=next_recipe,
            settled=done,
            spot=spot,
            hinted=[prior.source for prior in elicited_priors(pairing)],
            earlier=len(with_a_say(earlier)),
            rested_days=rested_days(shots, today),
            shot_time_right=not shots or shot_time_is_right(pairing, shots[-1].recipe, posterior, spot.recipe, config),
            judged=now.judged,
        ),
        sweet_spot=spot,
        expected=spot.predictive.predict_outcome(next_recipe, 0.9),
        shots_left=left,
        finer_today=finer_today(pairing, shots, posterior, today),
        palate=palate(pairing, shots, posterior, next_test=None if done else test.recipe),
        gp_weight=posterior.gp_weight,
        seed=seed,
        today=today,
        most_moves=most_moves,
        hold=tuple(hold.items()),
        version=dialopt.__version__,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Decision:
    """What the shots lead to.

    short: points by which the last recipe is expected to fall short of the sweet spot. judged: places of the shots that
    a verdict speaks of, slips of the pen left out.
    """

    posterior: Posterior
    spot: SweetSpot
    test: NextShot
    short: float
    settled: bool
    judged: frozenset[int]


def _stands(pairing: Pairing, shots: Sequence[Shot]) -> Recipe | None:
    """The recipe pulled last, or else that which the bag suggests, as far as it says and the dials offer it."""
    if shots:
        return pairing.snap(shots[-1].recipe)
    suggested = pairing.bean.suggested
    if suggested is None:
        return None
    said = {name: getattr(suggested, name, None) for name in pairing.dials}
    return pairing.snap(Recipe(**{name: said[name] or dial.middle for name, dial in pairing.dials.items()}))


def sweet_spot(
    pairing: Pairing,
    shots: Sequence[Shot],
    earlier: Sequence[tuple[Pairing, Sequence[Shot]]] = (),
    seed: int = 0,
    today: date | None = None,
    *,
    config: Config = CONFIG,
) -> SweetSpot:
    """That of `advise`, to the last digit and without the look ahead, which takes longer. Arguments as there."""
    pairing, shots, seed = checked_pairing(pairing), checked_shots(shots), checked_seed(seed)
    rng = np.random.default_rng(seed)
    return _look(
        pairing, pairing.meant(shots), [], checked_earlier(earlier), seed, checked_today(today), {}, config, rng
    ).spot


@dataclass(frozen=True, slots=True, kw_only=True)
class _Look:
    """What the shots teach. liking: of the lattice, on the scale, (P, C). best_rows: where each draw is best, (P,)."""

    posterior: Posterior
    lattice: Candidates
    liking: Floats
    best_rows: np.ndarray
    spot: SweetSpot


def _look(
    pairing: Pairing,
    shots: Sequence[Shot],
    verdicts: Sequence[Verdict],
    earlier: Sequence[tuple[Pairing, Sequence[Shot]]],
    seed: int,
    today: date | None,
    hold: Mapping[str, float],
    config: Config,
    rng: np.random.Generator,
) -> _Look:
    posterior = (config.fit or fit)(pairing, shots, earlier, rng, today, config.model, verdicts)
    lattice = candidates(pairing, hold)
    liking = posterior.liking(lattice.at)
    # Beyond the end of the scale, too: kept to it, a draw that promises 12 would be best at the first of many settings.
    best_rows = np.argmax(liking, axis=1)
    liking = on_scale(liking)
    spot = find_sweet_spot(
        pairing=pairing,
        posterior=posterior,
        lattice=lattice,
        liking=liking,
        best_rows=best_rows,
        hold=hold,
        stands=_stands(pairing, shots),
        seed=seed,
        config=config,
    )
    return _Look(posterior=posterior, lattice=lattice, liking=liking, best_rows=best_rows, spot=spot)


def _decide(
    pairing: Pairing,
    shots: Sequence[Shot],
    verdicts: Sequence[Verdict],
    earlier: Sequence[tuple[Pairing, Sequence[Shot]]],
    seed: int,
    today: date | None,
    most_moves: int,
    hold: Mapping[str, float],
    config: Config,
) -> _Decision:
    """The sweet spot, the best next shot and whether going on pays, by one look at the shots."""
    # By this pairing's own shots: what new burrs teach serves bags to come, however little of this one is left.
    cups = cups_served(pairing, shots_left(pairing, shots), config)
    verdicts = among(verdicts, [place for place, shot in enumerate(shots) if pairing.may_be_meant(shot.recipe)])
    shots, judged = pairing.meant(shots), frozenset(place for it in verdicts for place in (it.one, it.other))
    rng = np.random.default_rng(seed)
    look = _look(pairing, shots, verdicts, earlier, seed, today, hold, config, rng)
    posterior, spot = look.posterior, look.spot
    test = best_shot(
        pairing=pairing,
        shots=shots,
        posterior=posterior,
        lattice=look.lattice,
        liking=look.liking,
        best_rows=look.best_rows,
        sweet=spot.recipe,
        cups_served=cups,
        tastings=len({place for place, shot in enumerate(shots) if shot.tasted} | judged),
        most_moves=most_moves,
        hold=hold,
        rested=rested_days(shots, today) >= config.gap_days,
        rng=rng,
        config=config,
    )
    short = spot.score.mean - float(spot.predictive.predict([shots[-1].recipe]).score_mean[0]) if shots else 0.0
    done = settled(test.worth, short=short, counts=pairing.counts, config=config)
    return _Decision(posterior=posterior, spot=spot, test=test, short=short, settled=done, judged=judged)
