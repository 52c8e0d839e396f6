"""How much of the coffee ended in the cup."""

from __future__ import annotations

IDEAL_EXTRACTION_YIELD_PCT = (18.0, 22.0)
"""Lockhart 1957, quoted by Batali et al. 2020, Sci Rep 10:16450."""


def extraction_yield_pct(*, tds_pct: float, yield_g: float, dose_g: float) -> float:
    """Extraction yield, % of dose = dissolved solids, % of beverage × beverage, g ÷ dose, g.

    >>> extraction_yield_pct(tds_pct=10, yield_g=36, dose_g=18)
    20.0
    """
    return tds_pct * yield_g / dose_g


def brew_ratio(*, yield_g: float, dose_g: float) -> float:
    """Grams of beverage a gram of coffee.

    >>> brew_ratio(yield_g=36, dose_g=18)
    2.0
    """
    return yield_g / dose_g
