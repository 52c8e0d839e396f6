"""A second look at a shot that was just logged: what in it contradicts itself, the pairing or the shots before.

A question, never a refusal: channelling and slips of the pen look alike on paper, and only the person knows. The
bounds are wide on purpose and common practice all of them.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from itertools import combinations, pairwise
from statistics import median

from dialopt.trade.dial import plain_setting
from dialopt.trade.dosing import dose_caution
from dialopt.trade.freshness import pulled_on
from dialopt.trade.likely_time import (
    APART,
    FAST_S,
    LATEST,
    SLOW_S,
    USUAL_S,
    fineness,
    likely_times,
    log_room,
    timed_along_the_dial,
    within_dial,
)
from dialopt.trade.pairing import DIAL_UNITS, DIAL_WORDS, Pairing
from dialopt.trade.shot import Shot, balance_word, kitchen_time

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


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What to ask about a shot.

    about: "grind", "dose_g" or "temp_c" off its dial, "swapped" for dose and cup weight that seem to have changed
    places, "balance", "yield", "time", "score", "repeat" for a score unlike that recipe's before, "day", "finer" for a
    dial that seems to run the other way, "notes" for sour and bitter that seem to have changed places, or "again" for a
    shot that may be logged twice. says: what looks odd, one sentence.
    slip: the shot's fields that a slip of the pen may sit in. fault: the one of `FAULTS` that would explain it, None
    where none does. finer: the direction of the dial that would explain it, None where none does.
    """

    about: str
    says: str
    slip: tuple[str, ...]
    fault: str | None = None
    finer: str | None = None


def questions(pairing: Pairing, shot: Shot, earlier_shots: Sequence[Shot]) -> tuple[Question, ...]:
    """What to ask about a shot; empty for one that holds together.

    earlier_shots: this pairing's shots before it, in order. A marked fault answers all that it explains.
    """
    alone: tuple[Callable[[Pairing, Shot], Question | None], ...] = (
        _grind,
        _dose,
        _temp,
        _balance,
        _yield,
        _score,
        _day,
    )
    if _swapped(pairing, shot) is not None:
        alone = (_grind, _swapped, _temp, _balance, _score, _day)
    asked = [
        found
        for check in alone
        if (found := check(pairing, shot)) is not None and not _is_habit(check, pairing, found, earlier_shots)
    ]
    against_others = (
        check(pairing, shot, earlier_shots) for check in (_time, _channel, _choke, _finer, _notes, _repeat, _again)
    )
    return (*asked, *(found for found in against_others if found is not None))


def _is_habit(
    check: Callable[[Pairing, Shot], Question | None], pairing: Pairing, found: Question, earlier: Sequence[Shot]
) -> bool:
    alike = [shot for shot in earlier if shot.fault is None and all(_noted(shot, field) for field in found.slip)]
    latest = [check(pairing, shot) for shot in alike[-HABIT:]]
    return len(latest) == HABIT and all(one is not None and one.fault == found.fault for one in latest)


def _noted(shot: Shot, field: str) -> bool:
    return field in DIAL_WORDS or getattr(shot, field) is not None


def _off_dial(field: str, pairing: Pairing, shot: Shot) -> Question | None:
    dial, value, unit = pairing.dials[field], getattr(shot.recipe, field), DIAL_UNITS[field]
    if dial.offers(value):
        return None
    said = plain_setting(value)
    says = f"{DIAL_WORDS[field].capitalize()} {said}{unit} isn't on the dial, {dial}; it is logged as you said."
    caution = dose_caution(pairing.basket, value) if field == "dose_g" else None
    if caution is not None:
        says = f"{caution} It is logged as you said."
    return Question(about=field, says=says, slip=(field,))


def _grind(pairing: Pairing, shot: Shot) -> Question | None:
    return _off_dial("grind", pairing, shot)


def _dose(pairing: Pairing, shot: Shot) -> Question | None:
    return _off_dial("dose_g", pairing, shot)


def _swapped(pairing: Pairing, shot: Shot) -> Question | None:
    """Whether dose and cup weight fit the basket and the ratio only the other way round."""
    dose, cup, dial = shot.recipe.dose_g, shot.yield_g, pairing.basket.dose_g
    if cup is None or not dial.low <= cup <= dial.high < dose:
        return None
    if not 1 / YIELD_OFF <= dose / (pairing.ratio * cup) <= YIELD_OFF:
        return None
    says = f"{cup:g} g in the cup from {dose:g} g of coffee: have the two changed places?"
    return Question(about="swapped", says=says, slip=("dose_g", "yield_g"))


def _temp(pairing: Pairing, shot: Shot) -> Question | None:
    return _off_dial("temp_c", pairing, shot)


def _balance(_: Pairing, shot: Shot) -> Question | None:
    # Uneven flow is under- and over-extracted at once, which is why channelling explains either.
    if shot.fault is not None or shot.time_s is None or shot.balance is None:
        return None
    fast, slow = shot.time_s < FAST_S, shot.time_s > SLOW_S
    if not ((fast and shot.balance >= 1) or (slow and shot.balance <= -1)):
        return None
    word = balance_word(shot.balance)
    usual = "fast shots tend to be sour" if fast else "slow shots tend to be bitter"
    says = f"It ran {'fast' if fast else 'slow'}, {shot.time_s:g} s, and tasted {word}, while {usual}."
    return Question(about="balance", says=says, slip=("time_s", "balance"), fault="channelled")


def _yield(pairing: Pairing, shot: Shot) -> Question | None:
    if shot.fault is not None or shot.yield_g is None:
        return None
    target = pairing.yield_g(shot.recipe)
    if 1 / YIELD_OFF <= shot.yield_g / target <= YIELD_OFF:
        return None
    says = f"{shot.yield_g:g} g in the cup is far from the {target:g} g to stop at, ratio 1:{pairing.ratio:g}."
    return Question(about="yield", says=says, slip=("yield_g",), fault="misweighed")


def _score(_: Pairing, shot: Shot) -> Question | None:
    if shot.fault is not None or shot.score is None or shot.balance is None:
        return None
    top_yet_off = shot.score >= 9.5 and abs(shot.balance) >= 2
    bottom_yet_even = shot.score <= 0.5 and shot.balance == 0
    if not (top_yet_off or bottom_yet_even):
        return None
    says = f"Score {shot.score:g} and {balance_word(shot.balance)} seldom go together."
    return Question(about="score", says=says, slip=("score", "balance"))


def _day(pairing: Pairing, shot: Shot) -> Question | None:
    if shot.pulled_at is None or pulled_on(pairing.bean, shot) is not None:
        return None
    roasted_on = pairing.bean.roasted_on
    says = f"{shot.pulled_at:%Y-%m-%d} is before the beans were roasted, {roasted_on}; the shot is read, its day isn't."
    return Question(about="day", says=says, slip=("pulled_at",))


def _repeat(_: Pairing, shot: Shot, earlier_shots: Sequence[Shot]) -> Question | None:
    before = [one.score for one in earlier_shots if one.tasted and one.recipe == shot.recipe and one.score is not None]
    if not shot.tasted or shot.score is None or not before or abs(shot.score - median(before)) < SCORE_OFF:
        return None
    says = f"Score {shot.score:g} is far from the {median(before):g} of the same recipe before."
    fault = "channelled" if shot.score < median(before) else None
    return Question(about="repeat", says=says, slip=("score",), fault=fault)


def _again(_: Pairing, shot: Shot, earlier_shots: Sequence[Shot]) -> Question | None:
    before = earlier_shots[-1] if earlier_shots else None
    if before is None or before.pulled_at is None or shot.pulled_at is None:
        return None
    if replace(shot, pulled_at=None, note=None) != replace(before, pulled_at=None, note=None):
        return None
    if not kitchen_time(shot.pulled_at) - kitchen_time(before.pulled_at) < AGAIN_WITHIN:
        return None
    return Question(about="again", says="The same figures as the shot before, and hardly any time between.", slip=())


def _choke(pairing: Pairing, shot: Shot, earlier_shots: Sequence[Shot]) -> Question | None:
    told = timed_along_the_dial(pairing, earlier_shots)
    if shot.fault != "choked" or not told or not _too_long(pairing, shot, told, SLOW_S):
        return None
    says = (
        f"It choked, while earlier shots make {median(likely_times(pairing, shot, told)):.0f} s likely at this grind."
    )
    return Question(about="time", says=says, slip=("grind", "fault"))


def _time(pairing: Pairing, shot: Shot, earlier_shots: Sequence[Shot]) -> Question | None:
    if not shot.timed or shot.time_s is None or not within_dial(pairing, shot):
        return None
    told = timed_along_the_dial(pairing, earlier_shots)
    likely = likely_times(pairing, shot, told)
    room = log_room(pairing, shot, told)
    odd = [abs(math.log(shot.time_s / time)) > room for time in likely]
    # Most of the earlier shots must say so: one of them may be the one that went wrong.
    if 2 * sum(odd) <= len(odd):
        return None
    return Question(
        about="time",
        says=f"{shot.time_s:g} s is far from {_expected(told, likely)}.",
        slip=("time_s",),
        fault="channelled" if shot.time_s < median(likely) else _choked(pairing, shot),
    )


def _channel(pairing: Pairing, shot: Shot, earlier_shots: Sequence[Shot]) -> Question | None:
    told = timed_along_the_dial(pairing, earlier_shots)
    if shot.fault != "channelled" or shot.time_s is None or not _too_long(pairing, shot, told, shot.time_s):
        return None
    expected = _expected(told, likely_times(pairing, shot, told))
    says = f"A channelled puck runs fast, and {shot.time_s:g} s is far beyond {expected}."
    return Question(about="time", says=says, slip=("time_s",), fault=_choked(pairing, shot))


def _choked(pairing: Pairing, shot: Shot) -> str | None:
    """The fault that a far too long time speaks of; none where the cup is known to have filled all the same."""
    filled = shot.yield_g is not None and shot.yield_g >= FILLED * pairing.yield_g(shot.recipe)
    return None if filled else "choked"


def _finer(pairing: Pairing, shot: Shot, earlier_shots: Sequence[Shot]) -> Question | None:
    """Whether the shots at about this dose, this one among them, ran the faster the finer they are said to be."""
    if not shot.timed or not within_dial(pairing, shot):
        return None
    told = [
        one
        for one in timed_along_the_dial(pairing, earlier_shots)
        if abs(one.recipe.dose_g - shot.recipe.dose_g) <= _SAME_DOSE_G
    ]
    times: dict[float, list[float]] = {}
    for one in (*told, shot):
        times.setdefault(fineness(pairing, one), []).append(math.log(one.time_s or USUAL_S))
    line = [(fine, median(times[fine])) for fine in sorted(times)]
    falling = all(after < before for (_, before), (_, after) in pairwise(line))
    far = line[-1][0] - line[0][0] >= 2 * APART and line[0][1] - line[-1][1] >= math.log(_LEAST_FALL)
    if len(line) < _GRINDS_TO_DOUBT or not falling or not far:
        return None
    if fineness(pairing, shot) in {fineness(pairing, one) for one in told}:
        return None  # asked when that grind was first pulled
    other = "down" if pairing.grinder.finer == "up" else "up"
    says = (
        f"The finer the grind is said to be, the faster it ran, {len(line)} grinds in a row: do the numbers of "
        f"{pairing.grinder.name} run {other} for finer?"
    )
    return Question(about="finer", says=says, slip=(), finer=other)


def _notes(_: Pairing, shot: Shot, earlier_shots: Sequence[Shot]) -> Question | None:
    """Whether the latest shots, this one the first to show it, were noted the more sour the longer they ran."""
    noted = [one for one in (*earlier_shots, shot) if one.timed and one.balance is not None and one.fault is None]
    against, pairs = _against(noted[-LATEST:])
    if not noted or noted[-1] is not shot or not _doubted(against, pairs):
        return None
    if _doubted(*_against(noted[-LATEST - 1 : -1])):
        return None  # asked before
    says = (
        f"In {against} of {pairs} pairs of shots the longer one was noted as the more sour, while slow shots tend to "
        "be bitter. Sharp as lemon is sour, dry and harsh as burnt toast is bitter: have the two changed places?"
    )
    return Question(about="notes", says=says, slip=("balance",))


def _against(noted: Sequence[Shot]) -> tuple[int, int]:
    """In how many pairs of shots that differ in time and note the longer is the more sour, and of how many."""
    told = [(math.log(one.time_s or USUAL_S), one.balance or 0.0) for one in noted]
    apart = [
        (a[0] - b[0]) * (a[1] - b[1])
        for a, b in combinations(told, 2)
        if abs(a[0] - b[0]) >= math.log(_LONGER) and a[1] != b[1]
    ]
    return sum(one < 0 for one in apart), len(apart)


def _doubted(against: int, pairs: int) -> bool:
    return against >= _PAIRS_TO_DOUBT and against >= _PAIRS_AGAINST * pairs


def _too_long(pairing: Pairing, shot: Shot, told: Sequence[Shot], time_s: float) -> bool:
    """Whether most of the earlier shots say that this time at this shot's grind is far too long."""
    odd = [math.log(time_s / time) > log_room(pairing, shot, told) for time in likely_times(pairing, shot, told)]
    return within_dial(pairing, shot) and 2 * sum(odd) > len(odd)


def _expected(told: Sequence[Shot], likely: Sequence[float]) -> str:
    return f"the {median(likely):.0f} s that earlier shots make likely at this grind" if told else "what is usual"
