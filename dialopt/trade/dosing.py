"""The dose against what the basket takes."""

from __future__ import annotations

from dialopt.trade.kit import Basket


def dose_caution(basket: Basket, dose_g: float) -> str | None:
    """A sentence for a dose, g, that the basket doesn't take, with what comes of it (common practice); else None."""
    low, high = basket.dose_g.low, basket.dose_g.high
    slack = 1e-6 * basket.dose_g.step
    if low - slack <= dose_g <= high + slack:
        return None
    span = f"{low:g} to {high:g} g" if low < high else f"{low:g} g"
    if dose_g > high:
        return (
            f"Dose {dose_g:g} g is more than the basket takes, {span}: a puck that touches the group's screen is "
            "disturbed, channels or chokes (common practice)."
        )
    return (
        f"Dose {dose_g:g} g is less than the basket is made for, {span}: a thin puck under much headroom runs fast and "
        "channels (common practice)."
    )
