"""How much of the coffee ended in the cup."""

from __future__ import annotations


def extraction_yield_pct(*, tds_pct: float, yield_g: float, dose_g: float) -> float:
    """Extraction yield, % of dose = dissolved solids, % of beverage × beverage, g ÷ dose, g.

    >>> extraction_yield_pct(tds_pct=10, yield_g=36, dose_g=18)
    20.0
    """
    return tds_pct * yield_g / dose_g
