"""Water: hardness and alkalinity in the units that strips and labels use.

Factors follow from the molar mass of calcium carbonate, 100.09 g/mol, and each national degree's definition.
"""

from __future__ import annotations

from dialopt.errors import BadValue
from dialopt.trade.checks import number, one_of

PPM_CACO3_PER_UNIT: dict[str, float] = {
    "ppm": 1.0,
    "°dh": 17.848,
    "°fh": 10.0,
    "°clark": 14.254,
    "gpg": 17.118,
    "mmol/l": 100.09,
}
"""mg/L as calcium carbonate that one unit of hardness stands for."""

_MEQ_PER_L_PER_DKH = 0.3567
_BICARBONATE_MG_PER_L_PER_DKH = 21.76


def hardness_ppm(value: float, unit: str = "ppm") -> float:
    """Hardness or alkalinity as mg/L of calcium carbonate. Raises BadValue for an unknown unit.

    >>> round(hardness_ppm(4, "°dH"), 1)
    71.4
    """
    known = one_of("unit", unit, tuple(PPM_CACO3_PER_UNIT))
    return number("hardness", value, 0, 10_000, unit) * PPM_CACO3_PER_UNIT[known]


def alkalinity_ppm(value: float, unit: str = "ppm") -> float:
    """Alkalinity as mg/L of calcium carbonate, from any hardness unit, meq/L or bicarbonate in mg/L.

    >>> round(alkalinity_ppm(21.76, "mg/L HCO3"), 2)
    17.85
    """
    plain = unit.strip().lower().replace(" ", "")
    degrees = {"dkh": 1.0, "meq/l": _MEQ_PER_L_PER_DKH, "mg/lhco3": _BICARBONATE_MG_PER_L_PER_DKH}
    if plain in degrees:
        amount = number("alkalinity", value, 0, 10_000, unit)
        return amount / degrees[plain] * PPM_CACO3_PER_UNIT["°dh"]
    try:
        return hardness_ppm(value, unit)
    except BadValue as bad:
        if bad.field == "unit":
            raise BadValue("unit", unit, bad.accepted + ", dKH, meq/L, mg/L HCO3") from None
        raise
