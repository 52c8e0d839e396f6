"""Kit, beans and pairings, a line each."""

from __future__ import annotations

from datetime import date
from shlex import quote

from dialopt.logbook.records import PairingRecord
from dialopt.text.beans import age_words, freshness_advice, stage_words
from dialopt.text.formats import counted, dial_words, ratio_words
from dialopt.text.said import row
from dialopt.trade.bag_recipe import BagRecipe
from dialopt.trade.bean import Bean
from dialopt.trade.freshness import freshness_of
from dialopt.trade.kit import Basket, Grinder, Machine
from dialopt.trade.pairing import Pairing

BURRS_CAUTION = "Unplug a grinder before you touch its burrs."


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
    fresh = freshness_of(bean, today)
    return bean_words(bean) + (f", {age_words(fresh.days)} ({stage_words(fresh)})" if fresh else "")


def freshness_lines(bean: Bean, today: date) -> tuple[str, ...]:
    """How fresh the beans are, in a line; nothing where no roasting date was noted."""
    if bean.roasted_on is None:
        return ()
    if (fresh := freshness_of(bean, today)) is None:
        return (row("Beans", f"roasting date {bean.roasted_on.isoformat()} lies ahead: likely a best-before date"),)
    return (row("Beans", f"{age_words(fresh.days)}: {freshness_advice(fresh)} (common practice)"),)


def pairing_words(pairing: Pairing) -> str:
    """A pairing in one line."""
    kit = f"{pairing.machine.name}, {pairing.basket.name}"
    water = f", water: {pairing.water}" if pairing.water else ""
    taster = f", scored by {pairing.taster}" if pairing.taster else ""
    counts = ", only the final recipe counts" if pairing.counts == "recipe" else ""
    more = pairing.bags_to_come
    to_come = f", {counted(more, 'more bag')} to come" if more else ""
    return (
        f"{pairing.title} ({kit}), ratio {ratio_words(pairing.ratio)}, {pairing.drink}{water}{taster}{counts}{to_come}"
    )


def changed_lines(before: Pairing, after: Pairing) -> tuple[str, ...]:
    """What an amendment changed of bean and kit, as it was and as it is."""
    pairs = (
        (bean_words(before.bean), bean_words(after.bean)),
        (grinder_words(before.grinder), grinder_words(after.grinder)),
        (machine_words(before.machine), machine_words(after.machine)),
        (basket_words(before.basket), basket_words(after.basket)),
    )
    return tuple(line for was, now in pairs if was != now for line in (row("was", was), row("now", now)))


def count_words(shots: int) -> str:
    """How many shots, e.g. "no shots" or "3 shots"."""
    return counted(shots, "shot") if shots else "no shots"


def in_use_line(record: PairingRecord) -> str:
    """Which pairing is in use."""
    words = f"pairing {record.id}, {pairing_words(record.pairing)}, {count_words(record.shots)}"
    return row("In use", words)


def others_kit_lines(pairing: Pairing) -> tuple[str, ...]:
    """That kit and scores are somebody else's, and how to go on with one's own; nothing for a pairing of one's own."""
    if pairing.taster is None:
        return ()
    own = f"`dialopt pairing --bean {quote(pairing.bean.name)}` sets up your own"
    return (row("Mind", f"kit and scores of this pairing are {pairing.taster}'s; {own}"),)


def closed_burrs_lines(pairing: Pairing, now: Grinder | None) -> tuple[str, ...]:
    """That its burrs are out of the grinder, and how to go on with the new ones. now: the grinder; None where not."""
    if now is None:
        return ()
    old = pairing.grinder.burrs
    mind = row("Mind", f"this is a pairing with the burrs {old}; {now.name} has {now.burrs} in it now")
    if pairing.taster is not None:
        return (mind,)
    named = f"--bean {quote(pairing.bean.name)} --grinder {quote(now.name)}"
    return (mind, row("", f"`dialopt pairing {named}` goes on with these"))
