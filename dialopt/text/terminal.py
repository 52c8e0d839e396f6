"""Kit, recipes, shots and advice in the words of the terminal."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from dialopt.engine.advice import Advice, Estimate
from dialopt.errors import BadValue
from dialopt.text.beans import age_words, freshness_advice, stage_words
from dialopt.text.formats import counted, dial_words, estimate_words, odds, signed
from dialopt.text.guidance import STOP_STEAMING
from dialopt.text.palate import BLIND
from dialopt.text.recipes import mark_words, recipe_words, steps_words
from dialopt.text.shots import context_words
from dialopt.text.sweet_spot import shape_sentences
from dialopt.trade.bag_recipe import BagRecipe
from dialopt.trade.bean import Bean
from dialopt.trade.freshness import freshness
from dialopt.trade.grinder_independent import GrinderIndependent
from dialopt.trade.kit import Basket, Grinder, Machine
from dialopt.trade.pairing import Pairing
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot, balance_word

BURRS_CAUTION = "Unplug a grinder before you touch its burrs."
OPTIONS = {"grind": "grind", "dose_g": "dose", "temp_c": "temp"}
_FINE_END = 0.1


def grinder_words(grinder: Grinder) -> str:
    """A grinder in one line."""
    return (
        f"{grinder.name}, {grinder.burrs}: grind {dial_words(grinder.grind)}, numbers run {grinder.finer} for finer, "
        f"{grinder.purge_g:g} g purged after a change"
    )


def machine_words(machine: Machine) -> str:
    """A machine in one line."""
    return f"{machine.name}: {dial_words(machine.temp_c, ' °C')}"


def basket_words(basket: Basket) -> str:
    """A basket in one line."""
    return f"{basket.name}: {dial_words(basket.dose_g, ' g')}"


def bean_words(bean: Bean) -> str:
    """A bean in one line."""
    parts = [bean.roaster, bean.origin, bean.process, bean.species, f"{bean.roast} roast" if bean.roast else None]
    parts.append(f"roasted on {bean.roasted_on.isoformat()}" if bean.roasted_on else None)
    parts.append(f"bag of {bean.bag_g:g} g" if bean.bag_g else None)
    parts.append(f"opened on {bean.opened_on.isoformat()}" if bean.opened_on else None)
    parts.append(f"suggested {bag_recipe_words(bean.suggested)}" if bean.suggested else None)
    return ", ".join([bean.name, *(part for part in parts if part)])


def bag_recipe_words(suggested: BagRecipe) -> str:
    """The roaster's recipe, e.g. "18 g 1:2 28 s 93 °C"."""
    parts = (
        (suggested.dose_g, "{:g} g"),
        (suggested.ratio, "1:{:.3g}"),
        (suggested.time_s, "{:g} s"),
        (suggested.temp_c, "{:g} °C"),
    )
    return " ".join(form.format(value) for value, form in parts if value is not None)


def aged_bean_words(bean: Bean, today: date) -> str:
    """A bean in one line, with its age today where a roasting date up to then was noted."""
    if bean.roasted_on is None or bean.roasted_on > today:
        return bean_words(bean)
    fresh = freshness(bean.roasted_on, today)
    return f"{bean_words(bean)}, {age_words(fresh.days)} ({stage_words(fresh)})"


def freshness_lines(bean: Bean, today: date) -> tuple[str, ...]:
    """How fresh the beans are, in a line; nothing where no roasting date was noted."""
    if bean.roasted_on is None:
        return ()
    try:
        fresh = freshness(bean.roasted_on, today)
    except BadValue:
        return (f"  Beans    roasting date {bean.roasted_on.isoformat()} lies ahead: likely a best-before date",)
    return (f"  Beans    {age_words(fresh.days)}: {freshness_advice(fresh)} (common practice)",)


def pairing_words(pairing: Pairing) -> str:
    """A pairing in one line."""
    kit = f"{pairing.machine.name}, {pairing.basket.name}"
    water = f", water: {pairing.water}" if pairing.water else ""
    taster = f", scored by {pairing.taster}" if pairing.taster else ""
    counts = ", only the final recipe counts" if pairing.counts == "recipe" else ""
    more = pairing.bags_to_come
    to_come = f", {counted(more, 'more bag')} to come" if more else ""
    return f"{pairing.title} ({kit}), ratio 1:{pairing.ratio:g}, {pairing.drink}{water}{taster}{counts}{to_come}"


def changed_lines(before: Pairing, after: Pairing) -> tuple[str, ...]:
    """What an amendment changed of bean and kit, as it was and as it is."""
    pairs = (
        (bean_words(before.bean), bean_words(after.bean)),
        (grinder_words(before.grinder), grinder_words(after.grinder)),
        (machine_words(before.machine), machine_words(after.machine)),
        (basket_words(before.basket), basket_words(after.basket)),
    )
    return tuple(line for was, now in pairs if was != now for line in (f"  was      {was}", f"  now      {now}"))


def count_words(shots: int) -> str:
    """How many shots, e.g. "no shots" or "3 shots"."""
    return counted(shots, "shot") if shots else "no shots"


def unscored_lines(shots: Sequence[Shot]) -> tuple[str, ...]:
    """A word where no score counts yet."""
    if any(shot.tasted for shot in shots):
        return ()
    return ("  Mind     no score counts yet, so what is said of liking rests on what is usual and on other pairings",)


def shot_words(shot: Shot) -> str:
    """A shot in one line, without its note."""
    cup = [f"{shot.yield_g:g} g"] if shot.yield_g is not None else []
    cup += [f"in {shot.time_s:g} s"] if shot.time_s is not None else []
    taste = [f"score {shot.score:g}" if shot.score is not None else "not scored"]
    if shot.balance is not None:
        taste.append(balance_words(shot.balance))
    if shot.extraction_yield_pct is not None:
        taste.append(f"{shot.extraction_yield_pct:.1f} % extracted")
    taste += context_words(shot)
    if shot.fault:
        taste.append(shot.fault)
    return f"{recipe_words(shot.recipe)} → {', '.join([' '.join(cup) or 'cup not weighed', *taste])}"


def balance_words(balance: float) -> str:
    """A balance note with its word, e.g. "a little sour (−1)"."""
    return f"{balance_word(balance)} ({signed(balance, 2)})"


def pull_lines(advice: Advice, change: Sequence[str]) -> tuple[str, ...]:
    """What to do at the machine, what to expect, and why. change: the lines on how to come there from the last shot."""
    pairing, recipe, expected = advice.pairing, advice.next_recipe, advice.expected
    return (
        f"  Set      {recipe_words(recipe)}",
        *change,
        *_fine_end_lines(pairing, recipe),
        f"  Stop at  {pairing.yield_g(recipe):g} g in the cup",
        *milk_lines(pairing),
        f"  Expect   {estimate_words(expected.time_s, 0, ' s')}, score {estimate_words(expected.score)}, 9 times in 10",
        f"  Why      {advice.reason}",
        *_blind_lines(advice),
    )


def advice_lines(advice: Advice, change: Sequence[str]) -> tuple[str, ...]:
    """The next pull, then how things stand. change: as in `pull_lines`."""
    return (
        *pull_lines(advice, change),
        f"  So far   {sureness_words(advice)}",
        *(freshness_lines(advice.pairing.bean, advice.today) if advice.today else ()),
        *_ageing_lines(advice.finer_today),
        *_bag_lines(advice),
    )


def _bag_lines(advice: Advice) -> tuple[str, ...]:
    """How far the bag still goes; of somebody else's nobody knows here."""
    if advice.pairing.taster is not None:
        return ()
    return (f"  Bag      {bag_words(advice.pairing, advice.shots_left)}",)


def _blind_lines(advice: Advice) -> tuple[str, ...]:
    """A word where the next shot repeats one: a score that remembers the last one teaches nothing."""
    if advice.palate is None or advice.palate.repeat != advice.next_recipe:
        return ()
    return (f"  Blind    it tells most when {BLIND}",)


def _ageing_lines(finer: Estimate | None) -> tuple[str, ...]:
    if finer is None or abs(finer.mean) < 0.5 or finer.low <= 0 <= finer.high:
        return ()
    span = f"{signed(finer.low, 0)} to {signed(finer.high, 0)}"
    return (
        f"  Ageing   today's beans want about {steps_words(finer.mean)} than on the first day logged "
        f"({span}, + is finer)",
    )


def sweet_spot_lines(advice: Advice) -> tuple[str, ...]:
    """Where the best cup probably lies, and how sure that is."""
    spot = advice.sweet_spot
    lines = [
        f"  Set      {recipe_words(spot.recipe)}",
        f"  Stop at  {advice.pairing.yield_g(spot.recipe):g} g in the cup",
        *milk_lines(advice.pairing),
        f"  Liking   {estimate_words(spot.score)}, 9 times in 10",
        f"  Sure?    The chance is {odds(spot.prob_near_optimal)} that nothing beats it by more than half a point.",
    ]
    lines += [f"  Mind     {sentence}" for sentence in shape_sentences(advice.pairing, spot)]
    state = "yes, more test shots won't help much" if advice.settled else "not yet, another test shot pays"
    return (*lines, f"  Settled  {state}")


def sureness_words(advice: Advice) -> str:
    """The sweet spot and how sure it is, in one line."""
    spot = advice.sweet_spot
    state = "more test shots won't help much" if advice.settled else "another test shot still pays"
    return (
        f"The sweet spot looks to be {recipe_words(spot.recipe)}; the chance is {odds(spot.prob_near_optimal)} that "
        f"nothing beats it by more than half a point. {state[0].upper()}{state[1:]}."
    )


def grinder_independent_lines(recipe: GrinderIndependent) -> tuple[str, ...]:
    """The sweet spot in terms that hold on another grinder."""
    strength = f", {recipe.tds_pct:g} % strong" if recipe.tds_pct is not None else ""
    lines = [
        f"  Set      {recipe.dose_g:g} g, 1:{recipe.ratio:g}, {recipe.temp_c:g} °C",
        f"  Runs     {estimate_words(recipe.time_s, 0, ' s')}, about {recipe.flow_g_s:.1f} g/s{strength}",
    ]
    if recipe.steps_finer_than_mark is not None:
        lines.append(f"  Grind    {mark_words(recipe.steps_finer_than_mark)}")
    return (*lines, f"  Liking   {estimate_words(recipe.score)}, 9 times in 10")


def bag_words(pairing: Pairing, shots_left: int) -> str:
    """How far the bag still goes."""
    if shots_left == 0:
        return (
            "By the doses logged, the bag holds no whole shot any more. For a new one of the same: "
            "`dialopt bean NAME --roasted-on DATE` or `--opened-on DATE`, then `dialopt pairing`."
        )
    size = "" if pairing.bean.bag_g is not None else f" if it was a bag of {pairing.bag_g:g} g,"
    return f"About {counted(shots_left, 'shot')} left,{size} by the doses logged; purges take more."


def _fine_end_lines(pairing: Pairing, recipe: Recipe) -> tuple[str, ...]:
    dial = pairing.grinder.grind
    finest = dial.low if pairing.grinder.finer == "down" else dial.high
    if dial.fixed or abs(recipe.grind - finest) > _FINE_END * (dial.high - dial.low):
        return ()
    return ("  Mind     burrs may touch at the fine end; how to go there is in the maker's manual",)


def milk_lines(pairing: Pairing) -> tuple[str, ...]:
    """When to stop steaming, where the shot goes into milk."""
    return (f"  Milk     {STOP_STEAMING}",) if pairing.drink == "milk" else ()
