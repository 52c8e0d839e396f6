"""Pairings in a line each: with their burrs where a grinder has had several, and no two alike that bags set apart."""

from __future__ import annotations

from collections.abc import Sequence

from dialopt.logbook.store.words import known_as
from dialopt.text.terminal import pairing_words
from dialopt.trade.bean import Bean
from dialopt.trade.pairing import Pairing


def told_apart(pairings: Sequence[Pairing]) -> list[str]:
    """A line for each, with no more said than it takes."""
    burrs: dict[str, set[str]] = {}
    for pairing in pairings:
        burrs.setdefault(known_as(pairing.grinder.name), set()).add(known_as(pairing.grinder.burrs))
    # Of a grinder that has had other burrs every line says which: shots on others tell of another clock.
    told = [
        pairing_words(pairing)
        + (f", {pairing.grinder.burrs}" if len(burrs[known_as(pairing.grinder.name)]) > 1 else "")
        for pairing in pairings
    ]
    for part in (_roasted, _opened, _bag):
        said = [part(pairing) for pairing in pairings]
        kinds = {line: {more for other, more in zip(told, said, strict=True) if other == line} for line in told}
        told = [f"{line}, {more}" if len(kinds[line]) > 1 else line for line, more in zip(told, said, strict=True)]
    return told


def _roasted(pairing: Pairing) -> str:
    return _dated(pairing.bean, "roasted_on", "roasted")


def _opened(pairing: Pairing) -> str:
    return _dated(pairing.bean, "opened_on", "opened")


def _bag(pairing: Pairing) -> str:
    return f"{pairing.bag_g:g} g bag"


def _dated(bean: Bean, field: str, word: str) -> str:
    day = getattr(bean, field)
    return f"not known when {word}" if day is None else f"{word} {day}"
