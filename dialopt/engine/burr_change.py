"""Before and after new burrs: how far the grind moved, and whether the cup did."""

from __future__ import annotations

from dataclasses import dataclass

from dialopt.engine.advice import Advice, Estimate
from dialopt.engine.carried import Carried
from dialopt.engine.independent import Difference, apart, chance_more
from dialopt.engine.interval import around_median
from dialopt.engine.standing import settings_finer, time_line
from dialopt.trade.grinder_independent import MARK_S
from dialopt.trade.names import same_name
from dialopt.trade.pairing import Pairing


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """What new burrs did to the clock, from draws of both.

    steps: grind steps finer, below 0 coarser, that the setting moved which runs in `MARK_S`, at one dose and
    temperature. chance_finer: probability that it moved to finer. before, after: that setting with either burrs, in the
    grinder's own numbers; it may lie off the dial.
    """

    steps: Estimate
    chance_finer: float
    before: Estimate
    after: Estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class BurrChange:
    """A pairing before and after new burrs.

    old, new: the sets. moved: how far the clock did, None where it can't be counted. timed: whether a shot was timed
    with the new ones. liking: at the sweet spot, None until both were tasted; time_s: of the best cup. carried: what
    the new set started from, None where it started afresh. same_bag: whether both were pulled from one bag.
    """

    old: str
    new: str
    moved: Moved | None
    timed: bool
    liking: Difference | None
    time_s: Difference
    carried: tuple[Carried, ...] | None
    same_bag: bool


def is_change(before: Pairing, after: Pairing) -> bool:
    """Whether the two differ by their burrs: the same bean by name and roaster, the same grinder with another set."""
    return (
        before.bean.is_coffee_of(after.bean)
        and same_name(before.grinder.name, after.grinder.name)
        and not same_name(before.grinder.burrs, after.grinder.burrs)
    )


def moved(before: Advice, after: Advice) -> Moved | None:
    """How far the clock moved along the dial; None where the grind can't be set or its numbers were changed too.

    Dose and temperature are those of the sweet spot with the new burrs.
    """
    old, new = before.pairing.grinder, after.pairing.grinder
    at = after.sweet_spot.recipe
    was, now = time_line(before, at), time_line(after, at)
    if was is None or now is None or (old.grind, old.finer) != (new.grind, new.finer):
        return None
    steps_was, steps_now = was.steps_at(MARK_S), now.steps_at(MARK_S)
    return Moved(
        steps=apart(steps_now, steps_was),
        chance_finer=chance_more(steps_now, steps_was),
        before=around_median(settings_finer(old, steps_was)),
        after=around_median(settings_finer(new, steps_now)),
    )
