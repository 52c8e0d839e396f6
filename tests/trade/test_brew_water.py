"""The ranges are the association's, second-hand: hardness 50–175, alkalinity 40–75 ppm CaCO3 by the later chart; solids
75–250 mg/L, calcium hardness 17–85 ppm CaCO3, pH 6.5–7.5, sodium 0–30 mg/L by the standard."""

from __future__ import annotations

import pytest

from dialopt import BadValue, WrongUse
from dialopt.trade.brew_water import MEASURES, judged, together
from dialopt.trade.water import hardness_of_ions_ppm, hardness_ppm

PUBLISHED = {
    "hardness_ppm": (50, 175),
    "calcium_ppm": (17, 85),
    "alkalinity_ppm": (40, 75),
    "solids_mg_per_l": (75, 250),
    "ph": (6.5, 7.5),
    "sodium_mg_per_l": (0, 30),
}


@pytest.mark.parametrize("name", PUBLISHED)
def test_each_published_range_and_its_ends(name: str) -> None:
    low, high = PUBLISHED[name]
    for value, state in ((low, "within"), (high, "within"), (high + 0.01, "high")):
        assert judged(**{name: value})[name].state == state
    if low > 0:
        assert judged(**{name: low - 0.01})[name].state == "low"
    assert set(PUBLISHED) == set(MEASURES)


def test_the_standard_s_own_targets_fit() -> None:
    # 150 mg/L solids, 68 ppm calcium hardness, alkalinity about 40, pH 7.0, sodium 10 mg/L (second-hand).
    target = judged(solids_mg_per_l=150, calcium_ppm=68, hardness_ppm=68, alkalinity_ppm=40, ph=7.0, sodium_mg_per_l=10)
    assert {finding.state for finding in target.values()} == {"within"}
    assert together(target) == ()


def test_hardness_is_never_fine_and_too_high_at_once() -> None:
    # 125 ppm, four fifths of it calcium: within the chart's 50–175, above the standard's 17–85 for calcium.
    assert {name: found.state for name, found in judged(hardness_ppm=125, calcium_ppm=100).items()} == {
        "hardness_ppm": "within"
    }


def test_every_range_names_its_source() -> None:
    assert all("second-hand" in measure.source for measure in MEASURES.values())


@pytest.mark.parametrize(
    ("hardness", "alkalinity", "said"),
    [(300, 150, "scales"), (20, 10, "corrodes"), (60, 75, "softened"), (80, 50, None)],
)
def test_what_the_two_tell_together(hardness: float, alkalinity: float, said: str | None) -> None:
    assert together(judged(hardness_ppm=hardness, alkalinity_ppm=alkalinity)) == ((said,) if said else ())
    assert together(judged(hardness_ppm=hardness)) == ()


def test_nothing_and_nonsense_are_refused() -> None:
    for values in ({}, {"hardness_ppm": None}, {"colour": 3.0}):
        with pytest.raises(WrongUse, match="hardness_ppm"):
            judged(**values)  # type: ignore[arg-type]  # what a caller may get wrong
    with pytest.raises(BadValue, match="pH can't be 15"):
        judged(ph=15.0)
    with pytest.raises(BadValue, match="hardness"):
        judged(hardness_ppm=float("nan"))


def test_ions_add_up_to_hardness() -> None:
    # A mole of either ion is a mole of calcium carbonate, 100.09 g (computed).
    assert hardness_of_ions_ppm(calcium_mg_per_l=40.078) == pytest.approx(100.09)
    assert hardness_of_ions_ppm(magnesium_mg_per_l=24.305) == pytest.approx(hardness_ppm(1, "mmol/L"))
    with pytest.raises(BadValue, match="calcium"):
        hardness_of_ions_ppm(calcium_mg_per_l=-1)


@pytest.mark.parametrize(
    ("written", "meant"),
    [("dH", "°dH"), ("fh", "°fH"), ("clark", "°Clark"), ("ppm CaCO3", "ppm"), ("mg/L CaCO3", "ppm")],
)
def test_units_as_strips_write_them(written: str, meant: str) -> None:
    assert hardness_ppm(3, written) == hardness_ppm(3, meant)


def test_milligrams_of_what_is_asked() -> None:
    with pytest.raises(BadValue, match="mg/L CaCO3"):
        hardness_ppm(80, "mg/L")
