"""Water: hardness and alkalinity in the units that strips and labels use.

Factors follow from the molar mass of calcium carbonate, 100.09 g/mol, and each national degree's definition.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from dialopt.errors import BadValue
from dialopt.trade.checks import number

PPM_CACO3_PER_UNIT: dict[str, float] = {
    "ppm": 1.0,
    "mg/L CaCO3": 1.0,
    "°dH": 17.848,
    "°fH": 10.0,
    "°Clark": 14.254,
    "gpg": 17.118,
    "mmol/L": 100.09,
}
"""mg/L as calcium carbonate that one unit of hardness stands for, by the unit as it is written."""


def _bare(unit: str) -> str:
    return unit.strip().lower().replace(" ", "").removeprefix("°")


_BY_BARE = {_bare(unit): ppm for unit, ppm in PPM_CACO3_PER_UNIT.items()} | {"ppmcaco3": 1.0}
_MEQ_PER_L_PER_DKH = 0.3567
_BICARBONATE_MG_PER_L_PER_DKH = 21.76
_ALKALINITY_ALONE = {
    "dkh": PPM_CACO3_PER_UNIT["°dH"],
    "meq/l": PPM_CACO3_PER_UNIT["°dH"] / _MEQ_PER_L_PER_DKH,
    "mg/lhco3": PPM_CACO3_PER_UNIT["°dH"] / _BICARBONATE_MG_PER_L_PER_DKH,
}
_CALCIUM_G_PER_MOL, _MAGNESIUM_G_PER_MOL = 40.078, 24.305


def hardness_ppm(value: float, unit: str = "ppm") -> float:
    """Hardness as mg/L of calcium carbonate. The degree sign may be left out.

    Raises BadValue for an unknown unit; mg/L alone is one, for it doesn't say of what.

    >>> round(hardness_ppm(4, "°dH"), 1)
    71.4
    """
    return _as_caco3("hardness", value, unit, _BY_BARE, [*PPM_CACO3_PER_UNIT])


def alkalinity_ppm(value: float, unit: str = "ppm") -> float:
    """Alkalinity as mg/L of calcium carbonate, from any hardness unit, meq/L or bicarbonate in mg/L.

    >>> round(alkalinity_ppm(21.76, "mg/L HCO3"), 2)
    17.85
    """
    return _as_caco3(
        "alkalinity", value, unit, _BY_BARE | _ALKALINITY_ALONE, [*PPM_CACO3_PER_UNIT, "dKH", "meq/L", "mg/L HCO3"]
    )


def hardness_of_ions_ppm(*, calcium_mg_per_l: float = 0.0, magnesium_mg_per_l: float = 0.0) -> float:
    """Hardness as mg/L of calcium carbonate from the ions on a bottle's label, mg/L. Raises BadValue.

    Each ion counts as the calcium carbonate of as many moles: × 100.09 / 40.078 and × 100.09 / 24.305 (computed).

    >>> round(hardness_of_ions_ppm(calcium_mg_per_l=40.078, magnesium_mg_per_l=24.305), 2)
    200.18
    """
    calcium = number("calcium", calcium_mg_per_l, 0, 10_000, "mg/L")
    magnesium = number("magnesium", magnesium_mg_per_l, 0, 10_000, "mg/L")
    return PPM_CACO3_PER_UNIT["mmol/L"] * (calcium / _CALCIUM_G_PER_MOL + magnesium / _MAGNESIUM_G_PER_MOL)


def _as_caco3(field: str, value: float, unit: str, factors: Mapping[str, float], units: Sequence[str]) -> float:
    if _bare(unit) not in factors:
        raise BadValue("unit", unit, f"one of {', '.join(units)}")
    return number(field, value, 0, 10_000, unit) * factors[_bare(unit)]
