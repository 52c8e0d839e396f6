"""Why a recipe is advised next, as values; `dialopt.text.reason` makes the sentence."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from dialopt.engine.chokes import chokes
from dialopt.trade.likely_time import usual_time
from dialopt.trade.pairing import Pairing
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot

if TYPE_CHECKING:
    from dialopt.engine.advice import SweetSpot

Kind = Literal["settled", "start", "untasted", "again_best", "again_unsure", "careful", "nearest", "moves"]
MoveWhy = Literal["ran_fast", "ran_slow", "best", "untried_more", "untried_less", "towards_best", "open"]
_NEAR_A_CHOKE = 0.1
"""Share of the grind dial's settings within which a puck that choked is worth a word."""
_LONG_DAYS = 5
"""Days without a shot from which on the ageing of the beans is worth a word (common practice: best for some weeks)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """A dial that moves from the last shot.

    dial: the recipe's field name. was, now: its settings. why: "ran_fast", the finest so far ran fast, "ran_slow", the
    coarsest slow; "best", to the best guess; "untried_more", finer, larger or hotter than anything tasted, or
    "untried_less"; "towards_best"; "open", as nobody knows yet what it changes. beyond: the shot time, s, or the
    setting, that a clock or an untried setting is held against; None for the others.
    """

    dial: str
    was: float
    now: float
    why: MoveWhy
    beyond: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Caveat:
    """What to mind.

    kind: "edges", the best of these dials may lie at or beyond their ends; "ridge", a whole line does about as well;
    "modes", the best may lie in quite another place; "may_choke", this recipe hardly differs from one that choked;
    "older", the beans are so many days older than at the last shot.
    """

    kind: Literal["edges", "ridge", "modes", "may_choke", "older"]
    dials: tuple[str, ...] = ()
    recipe: Recipe | None = None
    days: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """Why this recipe next.

    kind: "settled", more tests don't pay; "start", where the best cup is most likely; "untasted", again what wasn't
    tasted; "again_best" and "again_unsure", the same again as the best guess or to see how far to trust it; "careful",
    a step to where a puck likely runs; "nearest", the setting nearest to the last shot; "moves", the dials in `moves`.
    prob_near_optimal: of the sweet spot. goes_by: what a start rests on beside what is usual, of "suggestion", "roast"
    and "earlier". roast: of the beans. earlier: how many other pairings. because: "shot_time", only the grind moves
    until that is right, or "choked", the last puck did; None for neither.
    """

    kind: Kind
    prob_near_optimal: float
    goes_by: tuple[str, ...] = ()
    roast: str | None = None
    earlier: int = 0
    because: Literal["shot_time", "choked"] | None = None
    moves: tuple[Move, ...] = ()
    caveats: tuple[Caveat, ...] = ()


def reason(
    *,
    pairing: Pairing,
    shots: Sequence[Shot],
    next_recipe: Recipe,
    settled: bool,
    spot: SweetSpot,
    hinted: Sequence[str] = (),
    earlier: int = 0,
    rested_days: int = 0,
    shot_time_right: bool = True,
    judged: Collection[int] = (),
) -> Reason:
    """Why this recipe next.

    hinted: what of the bag the start goes by, "suggestion" or "roast". earlier: how many other pairings it goes by.
    rested_days: days from the last dated shot to the day of the advice. shot_time_right: whether the last shot ran
    neither fast nor slow; as long as it didn't, only the grind is moved. judged: places of shots that a verdict
    speaks of, which were tasted too.
    """
    dialled = [pairing.as_dialled(shot.recipe) for shot in shots]
    sipped = [shot.tasted or place in judged for place, shot in enumerate(shots)]
    tasted = [recipe for recipe, was in zip(dialled, sipped, strict=True) if was]
    again = next_recipe in dialled[-1:]
    kind: Kind
    moves: tuple[Move, ...] = ()
    if settled:
        kind = "settled"
    elif not tasted and next_recipe == spot.recipe:
        kind = "start"
    elif again and not sipped[-1]:
        kind = "untasted"
    elif again:
        kind = "again_best" if next_recipe == spot.recipe else "again_unsure"
    elif not any(shot.tasted or shot.timed for shot in shots):
        kind = "careful"
    else:
        moves = _moves(pairing, shots, [pairing.snap(recipe) for recipe in tasted], next_recipe, spot)
        kind = "moves" if moves else "nearest"
    goes_by = [*(name for name in ("suggestion", "roast") if name in hinted), *(["earlier"] if earlier else [])]
    caveats = _shape(spot)
    if not settled:
        caveats += _may_choke(pairing, shots, next_recipe)
    if tasted and rested_days >= _LONG_DAYS:
        caveats.append(Caveat(kind="older", days=rested_days))
    return Reason(
        kind=kind,
        prob_near_optimal=spot.prob_near_optimal,
        goes_by=tuple(goes_by) if kind == "start" else (),
        roast=pairing.bean.roast,
        earlier=earlier,
        because=_because(pairing, shots, moves, shot_time_right),
        moves=moves,
        caveats=tuple(caveats),
    )


def _shape(spot: SweetSpot) -> list[Caveat]:
    """What keeps the sweet spot from being the one best setting, if anything does."""
    if spot.edges:
        return [Caveat(kind="edges", dials=spot.edges)]
    if spot.near_optimal_ridge is not None:
        return [Caveat(kind="ridge")]
    return [Caveat(kind="modes")] if spot.modes else []


def _may_choke(pairing: Pairing, shots: Sequence[Shot], recipe: Recipe) -> list[Caveat]:
    """A word where a puck choked hardly finer than this recipe, and with hardly more coffee than it takes."""
    near = [
        choke.recipe
        for choke in chokes(pairing, shots)
        if recipe.dose_g >= choke.bound_g
        and pairing.grinder.finer_steps(recipe.grind, choke.recipe.grind) <= _NEAR_A_CHOKE * pairing.grinder.grind.count
    ]
    return [Caveat(kind="may_choke", recipe=near[-1])] if near else []


def _because(
    pairing: Pairing, shots: Sequence[Shot], moves: Sequence[Move], shot_time_right: bool
) -> Literal["shot_time", "choked"] | None:
    if not moves:
        return None
    if shots[-1].fault == "choked" and any(
        move.dial == "grind" and pairing.grinder.finer_steps(move.was, move.now) < 0 for move in moves
    ):
        return "choked"
    return "shot_time" if not shot_time_right and [move.dial for move in moves] == ["grind"] else None


def _moves(
    pairing: Pairing, shots: Sequence[Shot], tasted: Sequence[Recipe], recipe: Recipe, spot: SweetSpot
) -> tuple[Move, ...]:
    """Every dial that moves from the last shot, with why."""
    start = pairing.as_dialled(shots[-1].recipe)
    return tuple(
        _move(pairing, shots, tasted, name, start, recipe, spot)
        for name, dial in pairing.dials.items()
        if not dial.fixed and abs(getattr(recipe, name) - getattr(start, name)) > 1e-9
    )


def _move(
    pairing: Pairing,
    shots: Sequence[Shot],
    tasted: Sequence[Recipe],
    name: str,
    start: Recipe,
    recipe: Recipe,
    spot: SweetSpot,
) -> Move:
    was, best, now = (getattr(one, name) for one in (start, spot.recipe, recipe))
    more, beyond = _untried(pairing, name, tasted or [start], now)
    clock_s = _by_the_clock(pairing, shots, finer=more) if name == "grind" and beyond is not None else None
    why: MoveWhy = "open"
    if clock_s is not None:
        why, beyond = ("ran_fast" if more else "ran_slow"), clock_s
    elif now == best:
        why, beyond = "best", None
    elif beyond is not None and tasted:
        why = "untried_more" if more else "untried_less"
    else:
        why, beyond = ("towards_best" if abs(now - best) < abs(was - best) else "open"), None
    return Move(dial=name, was=was, now=now, why=why, beyond=beyond)


def _by_the_clock(pairing: Pairing, shots: Sequence[Shot], *, finer: bool) -> float | None:
    """The time, s, of the finest shot where that ran fast, or of the coarsest where that ran slow; else None."""
    timed = [
        (pairing.grinder.finer_steps(0, shot.recipe.grind), shot.time_s or 0.0, pairing.ratio_of(shot.recipe))
        for shot in shots
        if shot.timed
    ]
    if not timed:
        return None
    _, time_s, ratio = max(timed) if finer else min(timed)
    return time_s if usual_time(time_s, ratio) == ("fast" if finer else "slow") else None


def _untried(pairing: Pairing, name: str, tasted: Sequence[Recipe], now: float) -> tuple[bool, float | None]:
    """Whether a setting is finer, larger or hotter than all that were tasted, and the nearest of them; None for one
    that lies among them.
    """
    dial = pairing.dials[name]
    turn = -1 if name == "grind" and pairing.grinder.finer == "down" else 1
    settings = sorted((getattr(one, name) for one in tasted), key=lambda value: turn * value)
    least, most = settings[0], settings[-1]
    if turn * dial.index(now) > turn * dial.index(most):
        return True, most
    return False, least if turn * dial.index(now) < turn * dial.index(least) else None
