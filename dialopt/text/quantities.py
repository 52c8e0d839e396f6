"""What pairings are compared in, as it is called in sentences and pictures."""

from __future__ import annotations

from dataclasses import dataclass

_BARS = "The thick bar holds it with a chance of 1 in 2, the thin line with 9 in 10."
_WHERE = f"Mark: at the recommended recipe. Bars: where the best cup lies, as far as the shots tell. {_BARS}"


@dataclass(frozen=True, slots=True, kw_only=True)
class QuantityWords:
    """more, less: how one pairing differs from another by it. digits: decimals that are shown.

    title: what stands over its picture, axis: along it, scale: after a value there, the unit unless said. key: how to
    read it.
    """

    name: str
    unit: str
    digits: int
    more: str
    less: str
    title: str
    axis: str
    scale: str | None = None
    key: str = _WHERE


def _of_best_cup(name: str, unit: str, digits: int, more: str, less: str, *, axis: str = "") -> QuantityWords:
    """Of a quantity of the best cup. axis: where it is called otherwise along its picture."""
    title = "Shot time of the best cup" if name == "Time" else f"{name} of the best cup"
    axis = axis or name.lower()
    return QuantityWords(name=name, unit=unit, digits=digits, more=more, less=less, title=title, axis=axis)


QUANTITY_WORDS = {
    "liking": QuantityWords(
        name="Liking",
        unit="points",
        digits=1,
        more="is liked more",
        less="is liked less",
        title="Liking at each sweet spot",
        axis="liking",
        scale="of 10",
        key=f"Liking is the score that this palate would give on average. {_BARS}",
    ),
    "time": _of_best_cup("Time", "s", 0, "runs longer", "runs shorter"),
    "flow": _of_best_cup("Flow", "g/s", 2, "flows faster", "flows slower", axis="cup over time"),
    "temperature": _of_best_cup("Brew water", "°C", 1, "wants hotter water", "wants cooler water"),
    "dose": _of_best_cup("Dose", "g", 1, "wants more coffee", "wants less coffee"),
}
