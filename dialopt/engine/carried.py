"""What another pairing's shots are worth here: the model's task correlation in parts that people know."""

from __future__ import annotations

from dataclasses import dataclass

from dialopt.model.limits import with_a_say as with_a_say
from dialopt.model.priors import NAMES
from dialopt.model.task_correlation import TASTER, task_correlation
from dialopt.model.task_correlation import robust_weight as robust_weight
from dialopt.trade.names import same_name
from dialopt.trade.pairing import Pairing

_GROUPS = {
    "best_time": ("time_best",),
    "best_dose": ("pull_dose", "dose_best"),
    "best_temp": ("pull_temp", "temp_best"),
    "best_ratio": ("pull_ratio", "ratio_best"),
    "clock": ("time_place",),
    "step": ("time_grind",),
    "palate": TASTER,
}
# A correlation of 0.7 leaves half of the variance open.
_TRUST = ((0.9, "nearly whole"), (0.6, "about half"), (0.01, "a little"), (0.0, "not at all"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """One thing that may hold for another pairing too.

    part: "best_time", "best_dose", "best_temp" or "best_ratio" of the best cup; "clock", "step" or "palate". share: the
    weakest correlation among its parameters, 0–1. trust: the same in words, "nearly whole", "about half", "a little" or
    "not at all". own_palate: whether one person scored both pairings.
    """

    part: str
    share: float
    trust: str
    own_palate: bool = True


def carried(old: Pairing, new: Pairing) -> tuple[Carried, ...]:
    """What `old` is trusted with on `new`, the most trusted first."""
    shared = dict(zip(NAMES, task_correlation(old, new).tolist(), strict=True))
    parts = []
    for part, names in _GROUPS.items():
        if part == "best_ratio" and new.dials["ratio"].fixed:
            continue
        share = min(shared[name] for name in names)
        trust = next(words for least, words in _TRUST if share >= least)
        parts.append(Carried(part=part, share=share, trust=trust, own_palate=same_name(old.taster, new.taster)))
    order = [words for _, words in _TRUST]
    return tuple(sorted(parts, key=lambda one: order.index(one.trust)))
