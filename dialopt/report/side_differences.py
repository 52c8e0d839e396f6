"""Where pairings differ, each held against one of them: sentences for what is clear, and all the numbers."""

from __future__ import annotations

from collections.abc import Sequence

from dialopt.engine.joined import joined
from dialopt.engine.odds import odds
from dialopt.report.quantities import QUANTITIES, Quantity
from dialopt.report.side_words import CLEAR, TELLS, amount, signed, turned
from dialopt.report.sides import Shown
from dialopt.report.tables import Table


def differences(shown: Sequence[Shown], first: Shown) -> tuple[list[str], Table]:
    """What sets the others apart from one of them: a sentence for each quantity, and the numbers."""
    from dialopt.engine.independent import apart, chance_more

    others = [one for one in shown if one is not first]
    told, untold, compared, rows = list[str](), list[str](), list[str](), []
    for quantity in QUANTITIES:
        digits, unit, clear = quantity.digits, quantity.unit, list[str]()
        why_not = {one.letter: _incomparable(quantity, one, first) for one in others}
        untold += _untold(quantity, why_not)
        for one in others:
            if (why := why_not[one.letter]) is not None:
                rows.append((quantity.name, one.letter, "not compared", why))
                continue
            draws, those = quantity.draws(one), quantity.draws(first)
            by, chance = apart(draws, those), chance_more(draws, those)
            surer, word = max((chance, quantity.more), (1.0 - chance, quantity.less))
            rows.append((quantity.name, one.letter, f"{signed(by, digits)} {unit}", _chance_words(surer, word)))
            if surer >= CLEAR:
                far = by if chance >= 0.5 else turned(by)
                clear.append(f"{one.letter} {word} by {amount(far, digits, unit)}, chance {odds(surer)}")
        if clear:
            told.append(f"{quantity.name}: {'; '.join(clear)}.")
        if None in why_not.values():
            compared.append(quantity.name.lower())
    noise = (
        "Whatever isn't named here may be noise."
        if told
        else f"No difference is clear yet in {joined(compared, 'or')}: what looks like one may be noise."
    )
    table = Table(
        caption=f"Against {first.letter}: by how much, 90 % interval, and the chance of that direction",
        header=("what", "pairing", f"difference from {first.letter}", "chance"),
        rows=tuple(rows),
    )
    return [*told, noise, *untold], table


def _incomparable(quantity: Quantity, one: Shown, other: Shown) -> str | None:
    """Why the two can't be held against each other in this, in a few words; None where they can."""
    if quantity.of_taste and one.pairing.taster != other.pairing.taster:
        return "it was scored by somebody else"
    if quantity.dial is None:
        return None
    mine, theirs = one.pairing.dials[quantity.dial], other.pairing.dials[quantity.dial]
    stuck = [side.letter for side, dial in ((one, mine), (other, theirs)) if dial.fixed]
    if stuck:
        return f"it can't be set for {joined(sorted(stuck))}"
    common = min(mine.high, theirs.high) - max(mine.low, theirs.low)
    narrower = min(mine.high - mine.low, theirs.high - theirs.low)
    return "hardly any setting is common to both" if 2 * common < narrower else None


def _untold(quantity: Quantity, why_not: dict[str, str | None]) -> list[str]:
    """A sentence on what isn't compared and why; none where all is."""
    whys = {why: [letter for letter, other in why_not.items() if other == why] for why in why_not.values() if why}
    if not whys:
        return []
    return [f"{quantity.name}: {'; '.join(f'{joined(who)} not compared, as {why}' for why, who in whys.items())}."]


def _chance_words(chance: float, word: str) -> str:
    return f"{word}: {odds(chance)}" if chance >= TELLS else "either way"
