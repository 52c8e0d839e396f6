"""A second look at a shot that was just logged: what in it contradicts itself, the pairing or the shots before.

A question, never a refusal: channelling and slips of the pen look alike on paper, and only the person knows
(`dialopt.text.questions` asks it). The bounds are wide on purpose and common practice all of them.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import timedelta
from functools import partial
from itertools import combinations, pairwise
from statistics import median

from dialopt.trade.dial import Dial
from dialopt.trade.estimate import PredictedOutcome
from dialopt.trade.freshness import pulled_on
from dialopt.trade.likely_time import (
    APART,
    LATEST,
    SLOW_S,
    USUAL_S,
    fineness,
    likely_times,
    log_room,
    timed_along_the_dial,
    usual_time,
    within_dial,
)
from dialopt.trade.pairing import Pairing
from dialopt.trade.shot import Shot, kitchen_time

YIELD_OFF = 1.25
"""Cup weight over the one to stop at, or the other way round, from which on it is far off."""
SCORE_OFF = 4.0
"""Points between a score and those of the same recipe before from which on it is far off."""
FILLED = 0.5
"""Share of the cup to stop at from which on a puck can't be said to have choked."""
AGAIN_WITHIN = timedelta(minutes=2)
"""Nobody grinds, tamps, pulls and tastes the next shot sooner."""
HABIT = 3
"""As many shots alike in a row are how it is, and nobody is asked again."""
_GRINDS_TO_DOUBT = 3  # as many, each finer one faster, before the direction of the dial is asked about
_LONGER = 1.25  # time of one shot over another's from which on their notes are held against each other
_PAIRS_TO_DOUBT, _PAIRS_AGAINST = 5, 0.85  # pairs noted against their times, and their share, before notes are doubted
_SAME_DOSE_G = 0.5
_LEAST_FALL = 1.25  # time at the coarsest over that at the finest

Values = Mapping[str, float | str | Dial]


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What looks odd about a shot. Two questions are the same when they go by the same values.

    about: "grind", "dose_g" or "temp_c" off its dial, "swapped" for dose and cup weight that seem to have changed
    places, "balance", "yield", "time", "score", "repeat" for a score unlike that recipe's before, "day", "finer" for a
    dial that seems to run the other way, "notes" for sour and bitter that seem to have changed places, or "again" for a
    shot that may be logged twice. kind: what of it looks odd, where that may be several things; else the same. values:
    what it goes by, by name and in the units of a shot. slip: the shot's fields that a slip of the pen may sit in.
    fault: the one of `FAULTS` that would explain it, None where none does. finer: the direction of the dial that would
    explain it, None where none does.
    """

    about: str
    kind: str
    values: Values = field(default_factory=dict)
    slip: tuple[str, ...] = ()
    fault: str | None = None
    finer: str | None = None


def questions(
    pairing: Pairing, shot: Shot, earlier_shots: Sequence[Shot], expected: PredictedOutcome | None = None
) -> tuple[Question, ...]:
    """What to ask about a shot; empty for one that holds together.

    earlier_shots: this pairing's shots before it, in order. expected: what was predicted of it where it was advised;
    nothing that was is odd. A marked fault answers all that it explains.
    """
    alone: tuple[Callable[[Pairing, Shot], Question | None], ...] = (
        partial(_off_dial, "grind"),
        partial(_off_dial, "dose_g"),
        partial(_off_dial, "temp_c"),
        partial(_off_dial, "ratio"),
        _balance,
        _yield,
        _score,
        _day,
    )
    if _swapped(pairing, shot) is not None:
        alone = (alone[0], _swapped, *alone[2:4], _balance, _score, _day)
    asked = [
        found
        for check in alone
        if (found := check(pairing, shot)) is not None and not _is_habit(check, pairing, found, earlier_shots)
    ]
    against_others = (
        check(pairing, shot, earlier_shots) for check in (_time, _channel, _choke, _finer, _notes, _repeat, _again)
    )
    asked += [found for found in against_others if found is not None]
    return tuple(found for found in asked if not _as_predicted(found, shot, expected))


def _as_predicted(found: Question, shot: Shot, expected: PredictedOutcome | None) -> bool:
    if expected is None or found.about not in ("time", "repeat"):
        return False
    noted, range_ = (shot.time_s, expected.time_s) if found.about == "time" else (shot.score, expected.score)
    return noted is not None and range_.low <= noted <= range_.high


def _is_habit(
    check: Callable[[Pairing, Shot], Question | None], pairing: Pairing, found: Question, earlier: Sequence[Shot]
) -> bool:
    alike = [shot for shot in earlier if shot.fault is None and all(_noted(shot, field) for field in found.slip)]
    latest = [check(pairing, shot) for shot in alike[-HABIT:]]
    return len(latest) == HABIT and all(one is not None and one.fault == found.fault for one in latest)


def _noted(shot: Shot, field: str) -> bool:
    return hasattr(shot.recipe, field) or getattr(shot, field) is not None


def _off_dial(name: str, pairing: Pairing, shot: Shot) -> Question | None:
    dial, setting = pairing.dials[name], getattr(shot.recipe, name)
    if setting is None or dial.offers(setting):
        return None
    kind = "off_dial"
    if name == "dose_g" and not dial.low <= setting <= dial.high:
        kind = "above_basket" if setting > dial.high else "below_basket"
    return Question(about=name, kind=kind, values={"setting": setting, "dial": dial}, slip=(name,))


def _swapped(pairing: Pairing, shot: Shot) -> Question | None:
    """Whether dose and cup weight fit the basket and the ratio only the other way round."""
    dose, cup, dial = shot.recipe.dose_g, shot.yield_g, pairing.basket.dose_g
    if cup is None or not dial.low <= cup <= dial.high < dose:
        return None
    if not 1 / YIELD_OFF <= dose / (pairing.ratio_of(shot.recipe) * cup) <= YIELD_OFF:
        return None
    return Question(
        about="swapped", kind="swapped", values={"yield_g": cup, "dose_g": dose}, slip=("dose_g", "yield_g")
    )


def _balance(pairing: Pairing, shot: Shot) -> Question | None:
    # Uneven flow is under- and over-extracted at once, which is why channelling explains either.
    if shot.fault is not None or shot.time_s is None or shot.balance is None:
        return None
    ran = usual_time(shot.time_s, pairing.ratio_of(shot.recipe))
    fast = ran == "fast"
    if not ((fast and shot.balance >= 1) or (ran == "slow" and shot.balance <= -1)):
        return None
    return Question(
        about="balance",
        kind="fast_bitter" if fast else "slow_sour",
        values={"time_s": shot.time_s, "balance": shot.balance},
        slip=("time_s", "balance"),
        fault="channelled",
    )


def _yield(pairing: Pairing, shot: Shot) -> Question | None:
    if shot.fault is not None or shot.yield_g is None:
        return None
    target = pairing.yield_g(shot.recipe)
    if 1 / YIELD_OFF <= shot.yield_g / target <= YIELD_OFF:
        return None
    values = {"yield_g": shot.yield_g, "target_g": target, "ratio": pairing.ratio_of(shot.recipe)}
    return Question(about="yield", kind="yield", values=values, slip=("yield_g",), fault="misweighed")


def _score(_: Pairing, shot: Shot) -> Question | None:
    if shot.fault is not None or shot.score is None or shot.balance is None:
        return None
    top_yet_off = shot.score >= 9.5 and abs(shot.balance) >= 2
    bottom_yet_even = shot.score <= 0.5 and shot.balance == 0
    if not (top_yet_off or bottom_yet_even):
        return None
    values = {"score": shot.score, "balance": shot.balance}
    return Question(about="score", kind="score", values=values, slip=("score", "balance"))


def _day(pairing: Pairing, shot: Shot) -> Question | None:
    if shot.pulled_at is None or pulled_on(pairing.bean, shot) is not None:
        return None
    values = {"day": shot.pulled_at.date().isoformat(), "roasted_on": str(pairing.bean.roasted_on)}
    return Question(about="day", kind="day", values=values, slip=("pulled_at",))


def _repeat(_: Pairing, shot: Shot, earlier_shots: Sequence[Shot]) -> Question | None:
    before = [one.score for one in earlier_shots if one.tasted and one.recipe == shot.recipe and one.score is not None]
    if not shot.tasted or shot.score is None or not before or abs(shot.score - median(before)) < SCORE_OFF:
        return None
    usual = median(before)
    fault = "channelled" if shot.score < usual else None
    values = {"score": shot.score, "usual": usual}
    return Question(about="repeat", kind="repeat", values=values, slip=("score",), fault=fault)


def _again(_: Pairing, shot: Shot, earlier_shots: Sequence[Shot]) -> Question | None:
    before = earlier_shots[-1] if earlier_shots else None
    if before is None or before.pulled_at is None or shot.pulled_at is None:
        return None
    if replace(shot, pulled_at=None, note=None) != replace(before, pulled_at=None, note=None):
        return None
    if not kitchen_time(shot.pulled_at) - kitchen_time(before.pulled_at) < AGAIN_WITHIN:
        return None
    return Question(about="again", kind="again")


def _choke(pairing: Pairing, shot: Shot, earlier_shots: Sequence[Shot]) -> Question | None:
    timed = timed_along_the_dial(pairing, earlier_shots)
    if shot.fault != "choked" or not timed or not _too_long(pairing, shot, timed, SLOW_S):
        return None
    likely = {"likely_s": median(likely_times(pairing, shot, timed))}
    return Question(about="time", kind="choked_yet_fast", values=likely, slip=("grind", "fault"))


def _time(pairing: Pairing, shot: Shot, earlier_shots: Sequence[Shot]) -> Question | None:
    if not shot.timed or shot.time_s is None or not within_dial(pairing, shot):
        return None
    timed = timed_along_the_dial(pairing, earlier_shots)
    likely = likely_times(pairing, shot, timed)
    room = log_room(pairing, shot, timed)
    odd = [abs(math.log(shot.time_s / time)) > room for time in likely]
    # Most of the earlier shots must say so: one of them may be the one that went wrong.
    if 2 * sum(odd) <= len(odd):
        return None
    return Question(
        about="time",
        kind="time" if timed else "first_time",
        values={"time_s": shot.time_s, "likely_s": median(likely)},
        slip=("time_s",),
        fault="channelled" if shot.time_s < median(likely) else _choked(pairing, shot),
    )


def _channel(pairing: Pairing, shot: Shot, earlier_shots: Sequence[Shot]) -> Question | None:
    timed = timed_along_the_dial(pairing, earlier_shots)
    if shot.fault != "channelled" or shot.time_s is None or not _too_long(pairing, shot, timed, shot.time_s):
        return None
    return Question(
        about="time",
        kind="channelled_yet_slow" if timed else "first_channelled",
        values={"time_s": shot.time_s, "likely_s": median(likely_times(pairing, shot, timed))},
        slip=("time_s",),
        fault=_choked(pairing, shot),
    )


def _choked(pairing: Pairing, shot: Shot) -> str | None:
    """The fault that a far too long time speaks of; none where the cup is known to have filled all the same."""
    filled = shot.yield_g is not None and shot.yield_g >= FILLED * pairing.yield_g(shot.recipe)
    return None if filled else "choked"


def _finer(pairing: Pairing, shot: Shot, earlier_shots: Sequence[Shot]) -> Question | None:
    """Whether the shots at about this dose, this one among them, ran the faster the finer they are said to be."""
    if not shot.timed or not within_dial(pairing, shot):
        return None
    sound = [
        one
        for one in timed_along_the_dial(pairing, earlier_shots)
        if abs(one.recipe.dose_g - shot.recipe.dose_g) <= _SAME_DOSE_G
    ]
    times: dict[float, list[float]] = {}
    for one in (*sound, shot):
        times.setdefault(fineness(pairing, one), []).append(math.log(one.time_s or USUAL_S))
    line = [(fine, median(times[fine])) for fine in sorted(times)]
    falling = all(after < before for (_, before), (_, after) in pairwise(line))
    far = line[-1][0] - line[0][0] >= 2 * APART and line[0][1] - line[-1][1] >= math.log(_LEAST_FALL)
    if len(line) < _GRINDS_TO_DOUBT or not falling or not far:
        return None
    if fineness(pairing, shot) in {fineness(pairing, one) for one in sound}:
        return None  # asked when that grind was first pulled
    other = "down" if pairing.grinder.finer == "up" else "up"
    values: Values = {"grinds": len(line), "grinder": pairing.grinder.name, "finer": other}
    return Question(about="finer", kind="finer", values=values, finer=other)


def _notes(_: Pairing, shot: Shot, earlier_shots: Sequence[Shot]) -> Question | None:
    """Whether the latest shots, this one the first to show it, were noted the more sour the longer they ran."""
    noted = [one for one in (*earlier_shots, shot) if one.timed and one.balance is not None and one.fault is None]
    against, pairs = _against(noted[-LATEST:])
    if not noted or noted[-1] is not shot or not _doubted(against, pairs):
        return None
    if _doubted(*_against(noted[-LATEST - 1 : -1])):
        return None  # asked before
    return Question(about="notes", kind="notes", values={"against": against, "pairs": pairs}, slip=("balance",))


def _against(noted: Sequence[Shot]) -> tuple[int, int]:
    """In how many pairs of shots that differ in time and note the longer is the more sour, and of how many."""
    points = [(math.log(one.time_s or USUAL_S), one.balance or 0.0) for one in noted]
    apart = [
        (a[0] - b[0]) * (a[1] - b[1])
        for a, b in combinations(points, 2)
        if abs(a[0] - b[0]) >= math.log(_LONGER) and a[1] != b[1]
    ]
    return sum(one < 0 for one in apart), len(apart)


def _doubted(against: int, pairs: int) -> bool:
    return against >= _PAIRS_TO_DOUBT and against >= _PAIRS_AGAINST * pairs


def _too_long(pairing: Pairing, shot: Shot, timed: Sequence[Shot], time_s: float) -> bool:
    """Whether most of the earlier shots say that this time at this shot's grind is far too long."""
    odd = [math.log(time_s / time) > log_room(pairing, shot, timed) for time in likely_times(pairing, shot, timed)]
    return within_dial(pairing, shot) and 2 * sum(odd) > len(odd)
