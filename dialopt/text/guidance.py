"""What holds whatever the log says: what to keep the same while dialling in, and how to steam milk without a scald."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from dialopt.text.formats import dial_ends
from dialopt.text.said import Said, row, rows
from dialopt.text.terminal import freshness_lines
from dialopt.trade.pairing import Pairing

HOLD_STILL: tuple[tuple[str, str], ...] = (
    ("distribution", "spread the grounds evenly, the same way each time"),
    ("tamp", "level and firm, the same each time; how hard matters less"),
    ("warm-up", "machine, portafilter and cup hot through; flush for as long each time"),
    ("cup", "the same warmed cup, and tasted as hot as the one before"),
    ("yield", "stop by weight, on a scale under the cup, not by time or by eye"),
    ("basket", "the same one all along: another basket is another pairing"),
    ("water", "the same all along: another water is another taste"),
)
"""Each thing and how (common practice). That tamping pressure had no detectable effect on how caffeine is extracted:
Kuhn 2017, J Food Eng (read)."""

STOP_STEAMING = "stop steaming when the jug is just too hot to hold, about 60 to 65 °C; steam and hot milk scald"
"""The one line beside a recipe (common practice)."""

MILK: tuple[tuple[str, str], ...] = (
    ("start", "cold milk in a cold jug, filled to a third or half, so that there is time and room (common practice)"),
    ("steam", "air in at the start only, then keep it turning with the tip below the surface (common practice)"),
    ("stop", "when the jug is just too hot to hold, about 60 to 65 °C; above, milk tastes cooked (common practice)"),
    ("scalds", "60 °C burns in under 5 seconds, 68 °C in about one (second-hand); steam is hotter by far"),
    (
        "wand",
        "purge it into a cloth or tray, hands clear, before and after; wipe it with a damp cloth, never bare hands",
    ),
    ("drink", "let it cool below 65 °C; hotter drinks count as very hot (IARC, read)"),
    ("score", "taste and score the shot in its milk, as it will be drunk (common practice)"),
)
"""Guidance for a pairing that is drunk with milk, each with its trust where it is a figure."""

_NO_DATE = "no roasting date noted; `dialopt bean NAME --roasted-on DATE`, then `dialopt pairing --amend`"


def prepare_said(pairing: Pairing, today: date, early: Sequence[date]) -> Said:
    """What to see to before pulling. early: days of shots from before the beans were roasted."""
    milk = MILK if pairing.drink == "milk" else ()
    before = f"a shot was pulled on {early[0]}, before that roasting date: is it right?" if early else None
    basket = pairing.basket
    return Said(
        did=f"What to see to before pulling {pairing.title}:",
        lines=(
            *(freshness_lines(pairing.bean, today) or (row("Beans", _NO_DATE),)),
            *rows(
                ("Mind", before),
                ("Dose", f"{basket.name} takes {dial_ends(basket.dose_g, ' g')}; weigh each dose"),
            ),
            "  Hold still while dialling in (common practice):",
            *_each(HOLD_STILL),
            *(["  Milk:"] if milk else []),
            *_each(milk),
        ),
        next_step="`dialopt water` judges the water, `dialopt next` says what to pull.",
    )


def _each(guidance: Sequence[tuple[str, str]]) -> list[str]:
    return [f"    {what:<14}{how}" for what, how in guidance]
