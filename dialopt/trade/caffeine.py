"""Caffeine: a range for what was drunk, and the published limits beside it. An estimate, never a diagnosis.

How much a gram of coffee puts into the cup depends on species, bean and shot, so every figure is a range: at the top
all that the grounds hold, at the bottom half of the least.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from dialopt.trade.checks import number, one_of
from dialopt.trade.shot import Shot, kitchen_time

UNKNOWN = "unknown"
HELD_MG_PER_G = {
    "arabica": (8.0, 14.0),
    "robusta": (17.0, 25.0),
    "blend": (8.0, 25.0),
    "decaf": (0.0, 1.0),
    UNKNOWN: (8.0, 25.0),
}
"""Caffeine in roasted coffee, mg/g, least and most (memory). A blend of the two may be mostly either. In coffee sold as
decaffeinated at most a tenth of a percent is left, by the rules of many countries (memory)."""
SPECIES = tuple(kind for kind in HELD_MG_PER_G if kind != UNKNOWN)
"""What a bag may say that it is; "decaf" whatever it was grown as."""
LEAST_SHARE = 0.5
"""The least share of it that a shot draws out. A short one, 18 g to 18 mL, had 4.2 mg/g of Arabica (Olechno 2021, Foods
10:1208, table 1, read; mg/g computed): half of the least that such beans hold."""

AT_ONCE_MG = 200
A_DAY_MG = 400
PREGNANT_A_DAY_MG = 200
SOURCE = "EFSA Journal 2015;13(5):4102"
"""What is held safe for healthy adults, mg at once and a day, and in pregnancy (read) and lactation (second-hand), mg a
day."""

STATES = ("below", "maybe past", "past")
SITTING_GAP = timedelta(hours=2)
"""A shot within this of the one before belongs to the same sitting (our own convention)."""

Pulled = tuple[Shot, str]
"""A shot and what it was pulled from, a key of `HELD_MG_PER_G`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Caffeine:
    """What some shots hold, mg, if every cup is drunk to the end. species: what they were pulled from."""

    shots: int
    low_mg: float
    high_mg: float
    species: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """How what was drunk stands to a limit. of: "day" or "sitting". state: one of `STATES`."""

    of: str
    limit_mg: int
    state: str
    pregnant: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Tally:
    """sitting, day: the shots of this sitting and of today. pregnant: as the person set it."""

    sitting: Caffeine
    day: Caffeine
    pregnant: bool

    @property
    def species(self) -> tuple[str, ...]:
        """What the shots of both were pulled from."""
        return tuple(sorted({*self.sitting.species, *self.day.species}))

    @property
    def a_day_mg(self) -> int:
        """The limit of a day, mg."""
        return PREGNANT_A_DAY_MG if self.pregnant else A_DAY_MG

    @property
    def at_once_mg(self) -> int | None:
        """The limit at once, mg; None in pregnancy."""
        return None if self.pregnant else AT_ONCE_MG

    @property
    def standing(self) -> Standing:
        """How both stand to the limits."""
        return standing(self.sitting, self.day, pregnant=self.pregnant)

    @property
    def past(self) -> bool:
        """Whether it is said unasked: the day is past its limit even by the low end, or may be past it in pregnancy."""
        return against(self.day, self.a_day_mg) in (("past", "maybe past") if self.pregnant else ("past",))


def of_doses(doses_g: Iterable[float], species: str = UNKNOWN) -> Caffeine:
    """Caffeine of shots of these doses, g. species: a key of `HELD_MG_PER_G`. Raises BadValue.

    low = LEAST_SHARE × least held × dose, high = most held × dose, summed.

    >>> of_doses([18, 18], "arabica").low_mg
    144.0
    """
    kind = one_of("species", species, tuple(HELD_MG_PER_G))
    least, most = HELD_MG_PER_G[kind]
    doses = [number("dose_g", dose_g, 1, 60, "g") for dose_g in doses_g]
    return Caffeine(
        shots=len(doses),
        low_mg=LEAST_SHARE * least * sum(doses),
        high_mg=most * sum(doses),
        species=(kind,) if doses else (),
    )


def of_day(pulled: Iterable[Pulled], day: date) -> Caffeine:
    """Caffeine of the shots pulled on that day; one without a time isn't counted. Raises BadValue."""
    return _summed((shot, species) for at, shot, species in _dated(pulled) if at.date() == day)


def of_sitting(pulled: Iterable[Pulled], now: datetime) -> Caffeine:
    """Caffeine of the shots up to now with no more than `SITTING_GAP` between one and the next. Raises BadValue.

    A shot dated up to so far ahead counts as pulled now, as clocks differ; farther ahead it belongs to no sitting yet.
    """
    counted, since = [], kitchen_time(now)
    for at, shot, species in reversed([one for one in _dated(pulled) if one[0] - since <= SITTING_GAP]):
        if since - at > SITTING_GAP:
            break
        since = min(since, at)
        counted.append((shot, species))
    return _summed(counted)


def against(amount: Caffeine, limit_mg: float) -> str:
    """How an amount stands to a limit: one of `STATES`, by both ends of its range."""
    if amount.low_mg > limit_mg:
        return "past"
    return "maybe past" if amount.high_mg > limit_mg else "below"


def standing(sitting: Caffeine, day: Caffeine, *, pregnant: bool) -> Standing:
    """Which of the two is worse off against its limit, the day first; in pregnancy the day alone counts."""
    if pregnant:
        state = against(day, PREGNANT_A_DAY_MG)
        return Standing(of="day", limit_mg=PREGNANT_A_DAY_MG, state=state, pregnant=True)
    both = [
        Standing(of="day", limit_mg=A_DAY_MG, state=against(day, A_DAY_MG)),
        Standing(of="sitting", limit_mg=AT_ONCE_MG, state=against(sitting, AT_ONCE_MG)),
    ]
    return max(both, key=lambda one: STATES.index(one.state))


def _summed(pulled: Iterable[Pulled]) -> Caffeine:
    amounts = [of_doses([shot.recipe.dose_g], species) for shot, species in pulled]
    return Caffeine(
        shots=len(amounts),
        low_mg=sum(amount.low_mg for amount in amounts),
        high_mg=sum(amount.high_mg for amount in amounts),
        species=tuple(sorted({kind for amount in amounts for kind in amount.species})),
    )


def _dated(pulled: Iterable[Pulled]) -> list[tuple[datetime, Shot, str]]:
    dated = [(kitchen_time(shot.pulled_at), shot, species) for shot, species in pulled if shot.pulled_at is not None]
    return sorted(dated, key=lambda one: one[0])
