"""What another pairing's shots are worth here, in short words: the model's kinship for people."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby

from dialopt.model.kinship import kinship
from dialopt.model.priors import NAMES
from dialopt.trade.pairing import Pairing

_GROUPS = {
    "best_cup": ("clock_best", "pull_temp", "pull_dose", "temp_best", "dose_best"),
    "clock": ("clock_mid",),
    "step": ("clock_grind",),
    "palate": ("taster_sd", "note_gain", "note_offset", "note_sd", "note_lapse"),
}
_WORDS = {
    "best_cup": "the best cup's time, dose and temperature",
    "clock": "which grind gives which time",
    "step": "what a step of grind does",
    "palate": "your palate",
}
# A correlation of 0.7 leaves half of the variance open.
_TRUST = ((0.9, "nearly whole"), (0.6, "about half"), (0.01, "a little"), (0.0, "not at all"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """One thing that may hold for another pairing too.

    part: "best_cup", "clock", "step" or "palate". share: the weakest correlation among its parameters, 0–1. trust: the
    same in words, "nearly whole", "about half", "a little" or "not at all".
    """

    part: str
    share: float
    trust: str


def carried(old: Pairing, new: Pairing) -> tuple[Carried, ...]:
    """What `old` is trusted with on `new`, the most trusted first."""
    shared = dict(zip(NAMES, kinship(old, new).tolist(), strict=True))
    parts = []
    for part, names in _GROUPS.items():
        share = min(shared[name] for name in names)
        trust = next(words for least, words in _TRUST if share >= least)
        parts.append(Carried(part=part, share=share, trust=trust))
    order = [words for _, words in _TRUST]
    return tuple(sorted(parts, key=lambda one: order.index(one.trust)))


def carried_words(parts: tuple[Carried, ...]) -> str:
    """The same in a few words, e.g. "your palate (about half), which grind gives which time (not at all)"."""
    told = []
    for trust, alike in groupby(parts, key=lambda one: one.trust):
        *others, last = [_WORDS[one.part] for one in alike]
        told.append(f"{', '.join(others)} and {last} ({trust})" if others else f"{last} ({trust})")
    return ", ".join(told)
