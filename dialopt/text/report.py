"""What the report's pages say around their cards and pictures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from dialopt.engine.advice import Advice, Estimate
from dialopt.text.caffeine import SPECIES_WORDS, limits_sentence
from dialopt.text.formats import counted, dial_words, plain, ratio_words, score_span, setting, span
from dialopt.text.guidance import STOP_STEAMING
from dialopt.text.pairings import carried_words
from dialopt.text.recipes import finer_words
from dialopt.text.shots import cup_words, remarks
from dialopt.trade.bean import Bean
from dialopt.trade.freshness import BEST_DAYS
from dialopt.trade.grinder_independent import GrinderIndependent
from dialopt.trade.pairing import DIAL_UNITS, Pairing
from dialopt.trade.shot import Shot, balance_word

if TYPE_CHECKING:
    from dialopt.engine.carried import Carried

_CARE = (
    "Brew water, steam, the group and the wand scald within seconds. Never open a part that is under pressure.",
    "Unplug a grinder before touching its burrs. For pressure and electrical parts: the maker's manual and a "
    "qualified technician.",
)
SHOTS_NOTE = "Predicted: the 90 % range for the score, worked out before the shot was pulled."
SIDES_NOTE = (
    "Sure: the chance that no other setting on these dials would be liked more by over half a point. Grind numbers "
    "mean nothing on another grinder, and a step of one may be worth several of another. Take dose, ratio, "
    "temperature and time along, and set the grind by the time."
)
DIFFERENCES_NOTE = (
    "Liking is compared at the sweet spots, everything else at the best cup, which may lie off the recipes above. A "
    "difference is called clear when it is 90 % likely; the rest may be noise."
)
SIDES_METHOD = (
    "Each pairing was worked out on its own, from its own shots and what other pairings had shown; its own report says "
    "what that takes for granted. They are compared as if they knew nothing of each other. Where one started from the "
    "other's shots the two look alike while shots are few, and ranges of differences are too wide rather than too "
    "narrow."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """An entry under a term. names: in people's own words, which a page keeps apart from ours."""

    names: tuple[str, ...] = ()
    words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShotRow:
    """A shot in words. remarks: what sets it apart. note: the person's own words, empty unless asked for."""

    number: int
    date: str
    recipe: str
    cup: str
    score: str
    predicted: str
    remarks: tuple[str, ...]
    note: str


def shot_row(
    pairing: Pairing, number: int, shot: Shot, predicted: Estimate | None, *, missed: bool, notes: bool
) -> ShotRow:
    """A shot, and the score that had been predicted where that is known. missed: whether it was another one."""
    score = [] if shot.score is None else [plain(shot.score, 2)]
    balance = [] if shot.balance is None else [balance_word(shot.balance)]
    return ShotRow(
        number=number,
        date=shot.pulled_at.date().isoformat() if shot.pulled_at else "",
        recipe=", ".join(
            setting(name, value)
            for name in DIAL_UNITS
            if (value := getattr(pairing.noted(shot.recipe), name)) is not None
        ),
        cup=cup_words(shot),
        score=", ".join([*score, *balance]),
        predicted=score_span(predicted) if predicted else "",
        remarks=remarks(pairing, shot, predicted if missed else None),
        note=shot.note or "" if notes else "",
    )


def written_sentence(shots: int, now: datetime) -> str:
    """How many shots it rests on, and when it was written."""
    return f"After {counted(shots, 'shot')}, written {now:%Y-%m-%d}."


def expect_sentence(advice: Advice) -> str:
    """What the next shot should come to."""
    time_s = advice.expected.time_s
    return (
        f"Stop at {plain(advice.pairing.yield_g(advice.next_recipe))} g in the cup; expect "
        f"{span(time_s.low, time_s.high, ' s', digits=0)} and a score of {score_span(advice.expected.score)}, 9 times "
        "in 10."
    )


def bag_sentence(advice: Advice) -> str:
    """What the bag still holds; empty for somebody else's, of which nothing is known."""
    pairing = advice.pairing
    if pairing.taster is not None:
        return ""
    holds = f"holds about {counted(advice.shots_left, 'more shot')}" if advice.shots_left else "is too empty for a shot"
    return f"The bag {holds}{'' if pairing.bean.bag_g else f', if it was a {plain(pairing.bag_g, 2)} g bag'}."


def bench_facts(pairing: Pairing, anywhere: GrinderIndependent, tally: str | None) -> dict[str, Fact]:
    """What it was pulled with, by term. anywhere: the sweet spot as it holds on any grinder. tally: of the burrs."""
    bean, grinder = pairing.bean, pairing.grinder
    dials = {name: dial_words(dial, DIAL_UNITS[name]) for name, dial in pairing.dials.items()}
    names = tuple(name for name in (bean.origin, bean.process) if name)
    grind = f"grind {dials['grind']}, {finer_words(pairing)}; {plain(grinder.purge_g, 2)} g purged after a change"
    drink = "straight" if pairing.drink == "straight" else "with milk"
    strength = f"; {plain(anywhere.tds_pct)} % strength, as measured" if anywhere.tds_pct else ""
    return {
        "Beans": Fact(names=names, words=_bean_words(bean, own=pairing.taster is None)),
        "Grinder": Fact(names=(grinder.name,), words=grind),
        "Burrs": Fact(names=(grinder.burrs,), words=tally or ""),
        "Machine": Fact(names=(pairing.machine.name,), words=dials["temp_c"]),
        "Basket": Fact(names=(pairing.basket.name,), words=dials["dose_g"]),
        "Water": Fact(names=(pairing.water,)) if pairing.water else Fact(words="not noted"),
        "Drink": Fact(words=f"{drink}, {ratio_words(pairing.ratio)}, grams of coffee to grams in the cup"),
        "Tasted by": Fact(
            names=(pairing.taster or "whoever keeps the logbook",), words="all scores read as one person's"
        ),
        "On any grinder": Fact(
            words=f"{plain(anywhere.dose_g, 2)} g in, {plain(anywhere.yield_g)} g out, {plain(anywhere.temp_c, 2)} °C, "
            f"ground to run in about {plain(anywhere.time_s.mean, 0)} s, {plain(anywhere.flow_g_s)} g/s{strength}"
        ),
    }


def _bean_words(bean: Bean, *, own: bool) -> str:
    species = f"{SPECIES_WORDS[bean.species]}, " if bean.species else ""
    parts = [species + (f"{bean.roast} roast" if bean.roast else "roast not noted")]
    if bean.opened_on:
        parts.append(f"bag opened on {bean.opened_on.isoformat()}")
    if bean.roasted_on:
        best = f"at their best from day {BEST_DAYS[0]} to {BEST_DAYS[1]} (common practice)"
        parts.append(f"roasted on {bean.roasted_on.isoformat()}, {best}")
    else:
        parts.append("roasting date not noted" if own else "age not kept here")
    return "; ".join(parts)


def source_fact(old: Pairing, shots: int, parts: Sequence[Carried]) -> Fact:
    """An earlier pairing that had a say, and what it is trusted with."""
    by = (f"scored by {old.taster}",) if old.taster else ()
    return Fact(names=(old.title, old.grinder.burrs, *by), words=f"{counted(shots, 'shot')}: {carried_words(parts)}")


def start_sentence(open_pct: int, sources: int) -> str:
    """How far the start goes by earlier pairings. open_pct: the share that doesn't, %. sources: how many had a say."""
    if not sources:
        return "Nothing: no earlier pairing has shots."
    return f"{open_pct} % of the start ignores all that, and this pairing's own shots soon outweigh it."


def palate_entry(sentences: str) -> str:
    """What is said of a palate, on a page that may be read by others."""
    return f"Of whoever scored, 9 times in 10: {sentences}"


def care_sentences(*, milk: bool) -> tuple[str, ...]:
    """What to take care of, whatever the log says. milk: whether any is steamed."""
    steam = (f"Milk: {STOP_STEAMING}.",) if milk else ()
    many = "One shot often holds 100 mg or more, so spit when tasting many."
    return (*_CARE, *steam, f"Caffeine. {limits_sentence(pregnant=False)} {many}")
