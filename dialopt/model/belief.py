"""What is believed of a pairing: draws of two surrogates, each with the say that its evidence gives it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

import numpy as np

from dialopt.model.hints import hints
from dialopt.model.kinship import kinship, untold_share
from dialopt.model.likelihood import lapse, taster_sd
from dialopt.model.limits import with_a_say
from dialopt.model.outlook import Outlook
from dialopt.model.posterior import TradeDraws, sample_trade
from dialopt.model.start import Start, informed_start, usual_start
from dialopt.model.table import Bools, Floats, Settings, log_stretch, tabulate
from dialopt.trade.pairing import Pairing
from dialopt.trade.shot import Shot

if TYPE_CHECKING:
    from dialopt.model.plain import PlainDraws

DRAWS = 1024
EARLIER_DRAWS = 512
PLAIN_SHARE = 0.2
"""Say of the surrogate that assumes nothing, before any score."""
FEWEST_TASTINGS = 1
"""With fewer scores it isn't asked: they can't tell it from the trade's curve."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Belief:
    """P equally likely draws of what may be true.

    trade: every draw under the trade's curve, which also gives each its clock and its taster. plain: draws of the
    surrogate that assumes nothing, taking the place of the liking of as many draws, `plain_rows`, (P,). leaning: its
    say, 0–1. stretch: how much longer than those of the trade's curve this pairing's cups run, in logs.
    """

    trade: TradeDraws
    plain: PlainDraws | None
    plain_rows: Bools
    leaning: float
    stretch: float = 0.0

    def liking(self, at: Settings) -> Floats:
        """Liking of an average puck at n settings, points, (P, n)."""
        liking = self.trade.liking(at)
        if self.plain is not None:
            liking[self.plain_rows] = self.plain.liking(at)
        return liking

    def log_clock(self, at: Settings) -> Floats:
        """Median log shot time of this pairing's cups at n settings, (P, n)."""
        return self.trade.log_clock(at) + self.stretch

    @property
    def score_sd(self) -> Floats:
        """Repeat noise of a noted score, (P,)."""
        noise = taster_sd(self.trade.curve)[:, 0].copy()
        if self.plain is not None:
            noise[self.plain_rows] = self.plain.score_sd
        return noise

    @property
    def note_offset(self) -> Floats:
        """What the best cup is noted as, from −3 sour to +3 bitter, (P,)."""
        return self.trade.curve["note_offset"][:, 0]

    @property
    def clock_sd(self) -> Floats:
        """Scatter of log shot time from puck to puck, (P,)."""
        return self.trade.curve["clock_sd"][:, 0]

    def outlook(self, at: Settings) -> Outlook:
        """What one pull at each of n settings may be noted as."""
        curve = self.trade.curve
        clock = self.trade.log_clock(at)
        return Outlook(
            liking=self.liking(at),
            log_clock=clock,
            note=curve["note_offset"] + curve["note_gain"] * self.trade.index(at, clock),
            score_sd=self.score_sd,
            clock_sd=self.clock_sd,
            note_sd=curve["note_sd"][:, 0],
            # Where the trade's curve doesn't hold, a note is taken to say nothing of the score.
            note_lapse=np.where(self.plain_rows, 1.0, lapse(curve)[:, 0]),
        )


def believe(
    pairing: Pairing,
    shots: Sequence[Shot],
    earlier: Sequence[tuple[Pairing, Sequence[Shot]]],
    rng: np.random.Generator,
    today: date | None = None,
) -> Belief:
    """The belief that the shots of a pairing lead to, starting from what earlier pairings have shown
    and what the bag says of itself.

    shots: none of them a slip of the pen (`Pairing.meant`); of the earlier pairings those are left out here. today: the
    day that is looked at; by default that of the latest shot.
    """
    table = tabulate(pairing, shots, today)
    trade = sample_trade(table, _start(pairing, earlier, rng), rng, DRAWS)
    rows, stretch = np.zeros(DRAWS, dtype=bool), log_stretch(pairing)
    scored = table.scored
    if scored.sum() < FEWEST_TASTINGS or all(dial.fixed for dial in pairing.dials.values()):
        return Belief(trade=trade, plain=None, plain_rows=rows, leaning=0.0, stretch=stretch)

    # Brought in only here: importing scikit-optimize takes longer than all the rest.
    from dialopt.model.plain import Plain

    plain = Plain(
        pairing,
        table.at.rows(scored),
        table.score[scored],
        odd=trade.odd[scored],
        spoiled=trade.spoiled.mean(axis=0)[scored],
    )
    log_odds = plain.log_evidence - trade.log_evidence + np.log(PLAIN_SHARE / (1 - PLAIN_SHARE))
    leaning = float(1.0 / (1.0 + np.exp(-np.clip(log_odds, -50, 50))))
    count = round(leaning * DRAWS)
    if count == 0:
        return Belief(trade=trade, plain=None, plain_rows=rows, leaning=leaning, stretch=stretch)
    rows[rng.permutation(DRAWS)[:count]] = True
    return Belief(trade=trade, plain=plain.draw(count, rng), plain_rows=rows, leaning=leaning, stretch=stretch)


def _start(pairing: Pairing, earlier: Sequence[tuple[Pairing, Sequence[Shot]]], rng: np.random.Generator) -> Start:
    told = with_a_say(earlier)
    hinted = hints(pairing)
    if not told and not hinted:
        return usual_start()
    histories = []
    for other, shots in told:
        # Read on this pairing's scales, so that a parameter means the same for both.
        table = tabulate(replace(other, machine=pairing.machine, basket=pairing.basket), other.meant(shots))
        draws = sample_trade(table, usual_start(), rng, EARLIER_DRAWS)
        histories.append((draws.coordinates, kinship(other, pairing)))
    return informed_start(histories, hinted, untold=untold_share(pairing, [other for other, _ in told]))
