"""Advice for the terminal: what to pull, what to expect and why, and where the best cup probably lies."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from dialopt.engine.advice import Advice, Estimate
from dialopt.logbook.records import Log, PairingRecord
from dialopt.text.formats import LETTERS, counted, estimate_words, odds, signed
from dialopt.text.guidance import STOP_STEAMING
from dialopt.text.log import shot_words
from dialopt.text.pairings import TASTERS, best_sentence
from dialopt.text.palate import BLIND
from dialopt.text.recipes import mark_words, recipe_words, steps_words
from dialopt.text.said import Said, row, rows
from dialopt.text.setting_up import NEXT_STEP
from dialopt.text.sweet_spot import shape_sentences
from dialopt.text.terminal import count_words, freshness_lines
from dialopt.trade.grinder_independent import GrinderIndependent
from dialopt.trade.pairing import Pairing
from dialopt.trade.shot import Shot

if TYPE_CHECKING:
    from dialopt.engine.independent import Ranked

_LOG_IT = "pull it, then `dialopt shot --yield G --time S --score 0-10 --balance -3..3` logs it as advised."
_CUP_OF_IT = "`dialopt shot --best --time S` logs a cup of it, and keeps the grind on track as the beans age"
ENJOY = f"enjoy the sweet spot; {_CUP_OF_IT}; `dialopt report` writes it all up."
_OPEN_IT = "open it in a browser; it needs no network."
NO_PALATE = "This advice tells nothing of the palate."
INVENTED = "Bag, bench and shots are invented, the numbers simulated; your own logbook was not touched."
ONE_FILE = "Both pages would go into one file; name two."
TWICE = "A pairing is named twice; name each once. One alone is put beside the pairing in use."
NAME_THEM = "name the pairings to put side by side; `dialopt pairings` lists them."


def next_said(record: PairingRecord, advice: Advice, before: Sequence[str], change: Sequence[str], *more: str) -> Said:
    """What to pull next. before, more: lines in front of it and behind it. change: as in `pull_lines`."""
    return Said(
        did=f"What to pull next with {record.pairing.title}, after {count_words(record.shots)}:",
        lines=(*before, *advice_lines(advice, change), *more),
        next_step=ENJOY if advice.settled else _LOG_IT,
    )


def sweet_spot_said(record: PairingRecord, advice: Advice, shots: Sequence[Shot], unread: Log) -> Said:
    """Where the best cup probably lies. unread: shots far off the dials."""
    return Said(
        did=f"The sweet spot of {record.pairing.title} as it looks after {count_words(record.shots)}:",
        lines=(*sweet_spot_lines(advice), *unscored_lines(shots), *unread_lines(unread)),
        next_step=ENJOY if advice.settled else f"{_CUP_OF_IT}; `dialopt next` says what to pull to be surer.",
    )


def report_said(advice: Advice, out: Path, *, stood: bool) -> Said:
    """That a report was written. stood: whether a file stood there."""
    return Said(
        did=f"Wrote the report on {advice.pairing.title} to {out}{', in the place of what was there' * stood}.",
        lines=(f"  {sureness_words(advice)}",),
        next_step=_OPEN_IT,
    )


def demo_said(advice: Advice, shots: Sequence[Shot], change: Sequence[str], out: Path, beside: Path | None) -> Said:
    """What came of the demo. beside: the page of several pairings, where one was asked for."""
    best = max((shot for shot in shots if shot.tasted), key=lambda shot: shot.score or 0.0)
    return Said(
        did=f"Ran the demo and wrote its report to {out}"
        + (f", and four pairings side by side to {beside}." if beside else "."),
        lines=(
            INVENTED,
            f"{len(shots)} shots of {advice.pairing.title} were imported; the one liked best so far:",
            f"  {shot_words(best)}",
            "The sweet spot as it looks now:",
            *sweet_spot_lines(advice),
            "What to pull next:",
            *pull_lines(advice, change),
        ),
        next_step=f"open {out} in a browser. For your own coffee: {NEXT_STEP['grinder']}",
    )


def side_by_side_said(sides: Sequence[str], ranking: Ranked, out: Path, *, tasters: int) -> Said:
    """What stands side by side. sides: a line each. tasters: how many people scored them."""
    return Said(
        did=f"Wrote {len(sides)} pairings side by side to {out}.",
        lines=(*sides, f"  {best_sentence(ranking)}", *([f"  {TASTERS}"] if tasters > 1 else [])),
        next_step=f"{_OPEN_IT} `dialopt report` tells more of the one in use.",
    )


def side_line(number: int, pairing_id: int | None, label: str, recipe: GrinderIndependent) -> str:
    """One of them. number: its place on the page, from 0. label: what sets it apart."""
    return row(
        LETTERS[number],
        f"pairing {pairing_id}, {label}: {recipe.dose_g:g} g, 1:{recipe.ratio:g}, {recipe.temp_c:g} °C, "
        f"{recipe.time_s.mean:.0f} s, liking {estimate_words(recipe.score)}",
    )


def alone(record: PairingRecord) -> str:
    """That no other pairing has to do with it."""
    return f"No other pairing with shots shares the bean or the grinder of {record.pairing.title}."


def too_many(count: int, most: int) -> str:
    """That so many don't go on one page."""
    return f"{count} pairings are too many for one page; name up to {most}."


def pull_lines(advice: Advice, change: Sequence[str]) -> tuple[str, ...]:
    """What to do at the machine, what to expect, and why. change: the lines on how to come there from the last shot."""
    pairing, recipe, expected = advice.pairing, advice.next_recipe, advice.expected
    blind = advice.palate is not None and advice.palate.repeat == recipe
    fine = pairing.grinder.at_fine_end(recipe.grind)
    time = estimate_words(expected.time_s, 0, " s")
    return (
        row("Set", recipe_words(recipe, pairing)),
        *change,
        *rows(
            ("Mind", "burrs may touch at the fine end; how to go there is in the maker's manual" if fine else None),
            ("Stop at", f"{pairing.yield_g(recipe):g} g in the cup"),
            ("Milk", _milk(pairing)),
            ("Expect", f"{time}, score {estimate_words(expected.score)}, 9 times in 10"),
            ("Why", advice.reason),
            # A score that remembers the last one teaches nothing.
            ("Blind", f"it tells most when {BLIND}" if blind else None),
        ),
    )


def advice_lines(advice: Advice, change: Sequence[str]) -> tuple[str, ...]:
    """The next pull, then how things stand. change: as in `pull_lines`."""
    # How far somebody else's bag goes nobody knows here.
    bag = None if advice.pairing.taster is not None else bag_words(advice.pairing, advice.shots_left)
    return (
        *pull_lines(advice, change),
        row("So far", sureness_words(advice)),
        *(freshness_lines(advice.pairing.bean, advice.today) if advice.today else ()),
        *rows(("Ageing", _ageing(advice.finer_today)), ("Bag", bag)),
    )


def sweet_spot_lines(advice: Advice) -> tuple[str, ...]:
    """Where the best cup probably lies, and how sure that is."""
    spot, chance = advice.sweet_spot, odds(advice.sweet_spot.prob_near_optimal)
    return rows(
        ("Set", recipe_words(spot.recipe, advice.pairing)),
        ("Stop at", f"{advice.pairing.yield_g(spot.recipe):g} g in the cup"),
        ("Milk", _milk(advice.pairing)),
        ("Liking", f"{estimate_words(spot.score)}, 9 times in 10"),
        ("Sure?", f"The chance is {chance} that nothing beats it by more than half a point."),
        *(("Mind", sentence) for sentence in shape_sentences(advice.pairing, spot)),
        ("Settled", "yes, more test shots won't help much" if advice.settled else "not yet, another test shot pays"),
    )


def sureness_words(advice: Advice) -> str:
    """The sweet spot and how sure it is, in one line."""
    spot = advice.sweet_spot
    state = "More test shots won't help much" if advice.settled else "Another test shot still pays"
    return (
        f"The sweet spot looks to be {recipe_words(spot.recipe, advice.pairing)}; the chance is "
        f"{odds(spot.prob_near_optimal)} that nothing beats it by more than half a point. {state}."
    )


def grinder_independent_lines(recipe: GrinderIndependent) -> tuple[str, ...]:
    """The sweet spot in terms that hold on another grinder."""
    strength = f", {recipe.tds_pct:g} % strong" if recipe.tds_pct is not None else ""
    mark = recipe.steps_finer_than_mark
    return rows(
        ("Set", f"{recipe.dose_g:g} g, 1:{recipe.ratio:g}, {recipe.temp_c:g} °C"),
        ("Runs", f"{estimate_words(recipe.time_s, 0, ' s')}, about {recipe.flow_g_s:.1f} g/s{strength}"),
        ("Grind", None if mark is None else mark_words(mark)),
        ("Liking", f"{estimate_words(recipe.score)}, 9 times in 10"),
    )


def bag_words(pairing: Pairing, shots_left: int) -> str:
    """How far the bag still goes."""
    if shots_left == 0:
        return (
            "By the doses logged, the bag holds no whole shot any more. For a new one of the same: "
            "`dialopt bean NAME --roasted-on DATE` or `--opened-on DATE`, then `dialopt pairing`."
        )
    size = "" if pairing.bean.bag_g is not None else f" if it was a bag of {pairing.bag_g:g} g,"
    return f"About {counted(shots_left, 'shot')} left,{size} by the doses logged; purges take more."


def unscored_lines(shots: Sequence[Shot]) -> tuple[str, ...]:
    """A word where no score counts yet."""
    scored = any(shot.tasted for shot in shots)
    said = "no score counts yet, so what is said of liking rests on what is usual and on other pairings"
    return rows(("Mind", None if scored else said))


def unread_lines(unread: Log) -> tuple[str, ...]:
    """One for each shot that lies far off the dials, with what corrects it."""
    mend = "lies far off the dials; `dialopt amend {0}` corrects a slip of the pen"
    return tuple(
        row("Unread", f"shot {number}, {recipe_words(shot.recipe)}, {mend.format(number)}")
        for number, shot in unread.items()
    )


def _ageing(finer: Estimate | None) -> str | None:
    if finer is None or abs(finer.mean) < 0.5 or finer.low <= 0 <= finer.high:
        return None
    span = f"{signed(finer.low, 0)} to {signed(finer.high, 0)}"
    return f"today's beans want about {steps_words(finer.mean)} than on the first day logged ({span}, + is finer)"


def _milk(pairing: Pairing) -> str | None:
    """When to stop steaming, where the shot goes into milk."""
    return STOP_STEAMING if pairing.drink == "milk" else None
