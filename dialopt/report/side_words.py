"""Several pairings in plain sentences: which did best and where they differ."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from dialopt.engine.advice import Estimate
from dialopt.engine.joined import joined
from dialopt.engine.odds import odds
from dialopt.report.quantities import QUANTITIES
from dialopt.report.sides import Shown
from dialopt.report.words import freshness_span, plain, span
from dialopt.trade.dial import Dial, plain_setting
from dialopt.trade.pairing import Pairing

TELLS = 0.6
"""A chance below this is too close to even for "looks best"."""
CLEAR = 0.9
"""What looks so is called so from this chance on."""
TASTERS = (
    "Scores compare only where one person gave them all: another taster's 7 may be a worse cup than this one's 6. "
    "Where tasters differ, go by time, flow and temperature, not by liking."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ranked:
    """The pairings that were tasted, with the chance of each to have the best sweet spot, the likeliest first.

    shown: how many there are, tasted or not. tasters: how many people scored them; of several nobody can say whose best
    cup is the best, so there are no places.
    """

    places: tuple[tuple[Shown, float], ...]
    shown: int
    tasters: int

    @property
    def leader(self) -> Shown | None:
        """The likeliest; None where fewer than two were tasted."""
        return self.places[0][0] if len(self.places) > 1 else None


def ranked(shown: Sequence[Shown]) -> Ranked:
    """Only tasted ones take part: of the others nothing is known but what others have shown."""
    from dialopt.engine.independent import chances_best

    tasted = [one for one in shown if one.side.tasted]
    tasters = len({one.pairing.taster for one in tasted})
    if tasters > 1:
        return Ranked(places=(), shown=len(shown), tasters=tasters)
    chances = chances_best([one.standing.liking for one in tasted]) if tasted else ()
    places = sorted(zip(tasted, chances, strict=True), key=lambda place: -place[1])
    return Ranked(places=tuple(places), shown=len(shown), tasters=tasters)


def best_sentence(ranking: Ranked) -> str:
    """Which did best, and how sure that is."""
    if ranking.tasters > 1:
        return f"They were scored by {ranking.tasters} people, so their scores can't tell which is best."
    if ranking.leader is None:
        if not ranking.places:
            return "None of them has been tasted yet, so nothing can be said of which is best."
        return (
            f"Only {ranking.places[0][0].letter} has been tasted so far, so nothing can be said of which is best: "
            f"what is shown of {'the other' if ranking.shown == 2 else 'the others'} is predicted."
        )
    (first, chance), (second, _) = ranking.places[:2]
    others = "all the others'"
    if len(ranking.places) == 2:
        others = "the other's" if ranking.shown == 2 else f"that of {second.letter}"
    going_by = f"going by {first.side.tasted} tasting{'s' * (first.side.tasted != 1)} of it"
    if chance >= TELLS:
        looks = "looks best" if chance >= CLEAR else "is ahead so far"
        return f"{first.letter} {looks}: the chance is {odds(chance)} that its sweet spot beats {others}, {going_by}."
    return (
        f"Too close to call: {first.letter} leads, but the chance is only {odds(chance)} that its sweet spot beats "
        f"{others}, {going_by}; next comes {second.letter}."
    )


def caveats(shown: Sequence[Shown], ranking: Ranked) -> list[str]:
    """What makes this comparison less than plain."""
    told = []
    untasted = [one.letter for one in shown if not one.side.tasted]
    if untasted and ranking.tasters:
        told.append(
            f"Not tasted yet: {joined(untasted)}. What is shown of {'it' if len(untasted) == 1 else 'them'} is "
            "predicted from what is usual and from other pairings, and takes no part in the ranking."
        )
    pairings = [one.pairing for one in shown]
    if len({pairing.drink for pairing in pairings}) > 1:
        told.append("Some were scored straight and some in milk; those scores are of different drinks.")
    if len({pairing.ratio for pairing in pairings}) > 1:
        told.append("They were pulled to different ratios, which by itself moves time and strength.")
    if len({pairing.water for pairing in pairings}) > 1:
        told.append("They were brewed with different water, which moves the taste.")
    for quantity in QUANTITIES:
        offered = [_offered(one.pairing.dials[quantity.dial], quantity.unit) for one in shown] if quantity.dial else []
        if len(set(offered)) > 1:
            each = "; ".join(f"{one.letter} {what}" for one, what in zip(shown, offered, strict=True))
            told.append(f"{quantity.name}: the best could be sought among different settings only ({each}).")
    return told


def _offered(dial: Dial, unit: str) -> str:
    low, high = plain_setting(dial.low), plain_setting(dial.high)
    return f"{low} {unit} only" if dial.fixed else f"{low} to {high} {unit}"


def percent(chance: float) -> str:
    """A chance in per cent, rounded down as `odds` does.

    >>> percent(0.597), percent(0.004)
    ('59 %', 'under 1 %')
    """
    return f"{int(100 * chance + 1e-9)} %" if chance >= 0.01 else "under 1 %"


def roast_words(one: Shown, today: date) -> str:
    """Roast and age of the beans while they were pulled."""
    bean = one.pairing.bean
    roast = f"{bean.roast} roast" if bean.roast else "roast not noted"
    if one.pairing.taster is not None:
        return f"{roast}, age not kept here"
    if bean.roasted_on is None:
        return f"{roast}, no roasting date"
    fresh = freshness_span(bean, one.shots, today)
    if fresh is None:
        return f"{roast}; its roasting date lies after the shots, so it is likely not one"
    first, last = fresh
    age = last.age if first.days == last.days else f"{first.days} to {last.age}"
    return f"{roast}, {age} ({last.word})"


def shot_count_words(one: Shown) -> str:
    """How many shots it rests on, and how many of them were faulty."""
    count, faults = len(one.shots), sum(shot.fault is not None for shot in one.shots)
    if not count:
        return "none yet: all of this is predicted"
    return f"{count}, {one.side.tasted} tasted, " + (f"{faults} with a fault" if faults else "no fault marked")


def kit_words(pairing: Pairing) -> str:
    """What it was brewed on and how it is drunk."""
    kit = [pairing.grinder.name, pairing.machine.name, pairing.basket.name]
    water = [f"water: {pairing.water}"] if pairing.water else []
    return ", ".join([*kit, *water, "straight" if pairing.drink == "straight" else "with milk"])


def signed(by: Estimate, digits: int) -> str:
    """A difference with its interval, e.g. "+2 (−1 to 5)"."""
    mean = plain(by.mean, digits)
    return f"{mean if mean[0] in '−0' and float(by.mean) <= 0 else '+' + mean} ({span(by.low, by.high, digits=digits)})"


def amount(by: Estimate, digits: int, unit: str = "") -> str:
    """A quantity with its interval, e.g. "27 s (22 to 34)"."""
    return f"{plain(by.mean, digits)}{f' {unit}' if unit else ''} ({span(by.low, by.high, digits=digits)})"


def turned(by: Estimate) -> Estimate:
    """The same difference seen from the other side."""
    return Estimate(mean=-by.mean, low=-by.high, high=-by.low)
