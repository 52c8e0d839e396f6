"""prepare: what to see to before the first shot."""

from __future__ import annotations

import typer

from dialopt.shell.answer import Answer
from dialopt.shell.data import freshness_data
from dialopt.shell.desk import Desk
from dialopt.shell.register import command
from dialopt.shell.setting_up import current
from dialopt.text import terminal as words
from dialopt.text.guidance import HOLD_STILL, MILK
from dialopt.trade.pairing import Pairing

NO_DATE = "  Beans    no roasting date noted; `dialopt bean NAME --roasted-on DATE`, then `dialopt pairing --amend`"
READY = "`dialopt water` judges the water, `dialopt next` says what to pull."


def register(app: typer.Typer) -> None:
    """Adds the command."""
    command(app, "prepare")(prepare)


def prepare(desk: Desk) -> Answer:
    """Say what to see to before the first shot of a sitting.

    How fresh the beans are, what the basket takes, what to hold still while dialling in, and milk where it is for milk.
    """
    with desk.book() as book:
        kept = current(book)
        pulled = [shot.pulled_at.date() for shot in book.shots(kept.id) if shot.pulled_at is not None]
    pairing, today = kept.pairing, desk.now().date()
    roasted_on = pairing.bean.roasted_on
    early = [day for day in pulled if roasted_on is not None and day < roasted_on]
    milk = MILK if pairing.drink == "milk" else ()
    return Answer(
        did=f"What to see to before pulling {pairing.title}:",
        lines=(
            *(words.freshness_lines(pairing.bean, today) or (NO_DATE,)),
            *(f"  Mind     a shot was pulled on {day}, before that roasting date: is it right?" for day in early[:1]),
            f"  Dose     {_dose_words(pairing)}",
            "  Hold still while dialling in (common practice):",
            *(f"    {what:<14}{how}" for what, how in HOLD_STILL),
            *(("  Milk:",) if milk else ()),
            *(f"    {what:<14}{how}" for what, how in milk),
        ),
        next_step=READY,
        data={
            "pairing": kept.id,
            "freshness": freshness_data(pairing.bean, today),
            "shot_before_roasting": bool(early),
            "basket": {
                "name": pairing.basket.name,
                "low_g": pairing.basket.dose_g.low,
                "high_g": pairing.basket.dose_g.high,
            },
            "hold_still": dict(HOLD_STILL),
            "milk": dict(milk) or None,
        },
    )


def _dose_words(pairing: Pairing) -> str:
    dial = pairing.basket.dose_g
    takes = f"{dial.low:g} to {dial.high:g} g" if not dial.fixed else f"{dial.low:g} g"
    return f"{pairing.basket.name} takes {takes}; weigh each dose"
