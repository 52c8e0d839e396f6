"""Which trials a study runs: from the words of the command line to families, methods and tasks."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from experiments.methods import ABLATED, BASELINES, ENGINE, METHODS
from experiments.trial import CARRY
from experiments.worlds import DEVELOPMENT, FAMILIES, HELD_OUT, PAIRS, WIDE


class CannotStudy(Exception):
    """What was asked for can't be done; the message says why."""


Trial = tuple[str, str, int]
"""Family, method, task."""

FAMILY_GROUPS = {
    "development": list(DEVELOPMENT),
    "held_out": list(HELD_OUT),
    "wide": list(WIDE),
    "carry": [CARRY + kind for kind in PAIRS],
}
METHOD_GROUPS = {"engine": list(ENGINE), "baselines": list(BASELINES), "ablations": list(ABLATED)}


def families_named(words: Iterable[str]) -> list[str]:
    """The families of these groups and names. Raises CannotStudy."""
    return _named("family", words, FAMILY_GROUPS, [*FAMILIES, *FAMILY_GROUPS["carry"]])


def methods_named(words: Iterable[str]) -> list[str]:
    """The methods of these groups and names. Raises CannotStudy."""
    return _named("method", words, METHOD_GROUPS, list(METHODS))


def task_counts(words: Iterable[str], methods: Sequence[str]) -> dict[str, int]:
    """Bags a family for each method, from words such as 100 and bask=20; the later counts. Raises CannotStudy."""
    counts = dict.fromkeys(methods, 0)
    for word in words:
        name, _, number = word.rpartition("=")
        if not number.isdecimal():
            raise CannotStudy(f"A number of tasks is written such as 100 or bask=20, with commas; {word!r} is neither.")
        named = methods_named([name]) if name else methods
        counts |= {method: int(number) for method in named if method in counts}
    return counts


def plan(families: Sequence[str], counts: Mapping[str, int]) -> list[Trial]:
    """The trials worth running, bag after bag, so that all methods of an interrupted study got about as far.

    counts: bags a family for each method. Left out is what can only repeat another method: dialopt told nothing where
    there is nothing to tell, an ablation where its part has no work. Bags with a history are for dialopt alone, as no
    other method learns from one.
    """
    return [
        (family, method, task)
        for task in range(max(counts.values(), default=0))
        for family in families
        for method, count in counts.items()
        if task < count and _tells(family, method)
    ]


def _tells(family: str, method: str) -> bool:
    if family.startswith(CARRY):
        return method in ENGINE
    only = ABLATED[method].families if method in ABLATED else None
    return method != "dialopt_cold" and (only is None or family in only)


def _named(kind: str, words: Iterable[str], groups: Mapping[str, list[str]], known: list[str]) -> list[str]:
    names = [name for word in words for name in groups.get(word, [word])]
    for name in names:
        if name not in known:
            raise CannotStudy(f"There is no {kind} {name!r}; there are {', '.join([*groups, *known])}.")
    return list(dict.fromkeys(names))
