"""Pairings in a line each, and no two lines alike where burrs or bags set them apart."""

from __future__ import annotations

from collections.abc import Sequence

from dialopt.shell.words import pairing_words
from dialopt.trade.bean import Bean
from dialopt.trade.pairing import Pairing


def told_apart(pairings: Sequence[Pairing]) -> list[str]:
    """A line for each, with no more said than it takes."""
    told = [pairing_words(pairing) for pairing in pairings]
    for part in (_burrs, _roasted, _opened, _bag):
        said = [part(pairing) for pairing in pairings]
        kinds = {line: {more for other, more in zip(told, said, strict=True) if other == line} for line in told}
        told = [f"{line}, {more}" if len(kinds[line]) > 1 else line for line, more in zip(told, said, strict=True)]
    return told


def _burrs(pairing: Pairing) -> str:
    return pairing.grinder.burrs


def _roasted(pairing: Pairing) -> str:
    return _dated(pairing.bean, "roasted_on", "roasted")


def _opened(pairing: Pairing) -> str:
    return _dated(pairing.bean, "opened_on", "opened")


def _bag(pairing: Pairing) -> str:
    return f"{pairing.bag_g:g} g bag"


def _dated(bean: Bean, field: str, word: str) -> str:
    day = getattr(bean, field)
    return f"not known when {word}" if day is None else f"{word} {day}"
