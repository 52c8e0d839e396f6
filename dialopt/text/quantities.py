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
    "time": QuantityWords(
        name="Time",
        unit="s",
        digits=0,
        more="runs longer",
        less="runs shorter",
        title="Shot time of the best cup",
        axis="time",
    ),
    "flow": QuantityWords(
        name="Flow",
        unit="g/s",
        digits=2,
        more="flows faster",
        less="flows slower",
        title="Flow of the best cup",
        axis="cup over time",
    ),
    "temperature": QuantityWords(
        name="Brew water",
        unit="°C",
        digits=1,
        more="wants hotter water",
        less="wants cooler water",
        title="Brew water of the best cup",
        axis="brew water",
    ),
    "dose": QuantityWords(
        name="Dose",
        unit="g",
        digits=1,
        more="wants more coffee",
        less="wants less coffee",
        title="Dose of the best cup",
        axis="dose",
    ),
}
