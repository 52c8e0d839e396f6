"""How much the model reads. Kept apart from the model so that asking costs no import."""

from __future__ import annotations

from collections.abc import Sequence

from dialopt.trade.pairing import MOST_EARLIER, Pairing
from dialopt.trade.shot import Shot

LATEST = 40
"""Tastings, and as many other shots: several bags' worth. Of more, the latest of every recipe stay, then the next."""

Earlier = Sequence[tuple[Pairing, Sequence[Shot]]]
"""Other pairings with their shots, the most telling first."""


def with_a_say(earlier: Earlier) -> list[tuple[Pairing, Sequence[Shot]]]:
    """Those whose taste and times are read."""
    return [(pairing, shots) for pairing, shots in earlier if any(shot.tells for shot in shots)][:MOST_EARLIER]
