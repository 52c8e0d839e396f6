"""Before and after new burrs, in plain sentences."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dialopt.engine.odds import odds
from dialopt.model.limits import with_a_say
from dialopt.report.side_words import CLEAR, amount, signed, turned
from dialopt.report.sides import Shown
from dialopt.report.words import plain, span
from dialopt.trade.grinder_independent import MARK_S

if TYPE_CHECKING:
    from dialopt.engine.burr_change import Moved
    from dialopt.model.observations import Floats


def burr_sentences(before: Shown, after: Shown, move: Moved | None) -> list[str]:
    """What new burrs did to the clock and to the cup, and what the new set started from."""
    from dialopt.engine.carried import carried, carried_words

    old, new = before.pairing.grinder.burrs, after.pairing.grinder.burrs
    told = [moved_sentence(move, old, new)]
    if not any(shot.timed for shot in after.shots):
        told.append(f"No shot was timed with {new} yet, so that is a guess.")
    if before.side.tasted and after.side.tasted:
        liking = _against(before.standing.liking, after.standing.liking, ("higher", "lower"))
        told.append(f"Liking at the sweet spot with {new} against {old}: {liking} points.")
    else:
        told.append("Whether the cup tastes different can be said once both were tasted.")
    time = _against(before.standing.time_s, after.standing.time_s, ("longer", "shorter"), digits=0)
    told.append(f"Time of the best cup: {time} s.")
    if any(pairing == before.pairing for pairing, _ in with_a_say(after.side.earlier)):
        told.append(
            f"Carried over to {new}: {carried_words(carried(before.pairing, after.pairing))}. That is where it "
            "started, so with few shots the two are alike by assumption."
        )
    if not before.pairing.bean.is_bag_of(after.pairing.bean):
        told.append("The bag was another one of the same beans, so age and roast may have a share in all this.")
    return told


def moved_sentence(move: Moved | None, old: str, new: str) -> str:
    """How far the clock moved. old, new: the burr sets."""
    if move is None:
        return "How far the clock moved can't be counted in steps: the grind can't be set, or its numbers changed too."
    steps = move.steps
    size = f"{plain(abs(steps.mean), 0)} step{'s' * (round(abs(steps.mean)) != 1)}"
    surer, word = max((move.chance_finer, "finer"), (1.0 - move.chance_finer, "coarser"))
    was, now = amount(move.before, 1), amount(move.after, 1)
    where = f"{MARK_S:g} s took grind {was} with {old} and takes {now} with {new}, at the same dose and temperature"
    if surer < CLEAR:
        return f"Which way the clock moved isn't clear, {signed(steps, 0)} steps finer, 9 times in 10: {where}."
    far = steps if word == "finer" else turned(steps)
    return f"The clock moved about {size} {word} ({span(far.low, far.high, digits=0)}, 9 times in 10): {where}."


def _against(before: Floats, after: Floats, words: tuple[str, str], digits: int = 1) -> str:
    """Whether it changed, with the difference and its interval. words: for more and for less."""
    from dialopt.engine.independent import apart, chance_more

    chance = chance_more(after, before)
    surer, word = max((chance, words[0]), (1.0 - chance, words[1]))
    verdict = f"{word}, {odds(surer)}" if surer >= CLEAR else "no clear difference"
    return f"{verdict}, {signed(apart(after, before), digits)}"
