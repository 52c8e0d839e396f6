from __future__ import annotations

import pytest

from dialopt.text.water import finding_words, together_sentences, water_effect, water_said
from dialopt.trade.brew_water import MEASURES, judged


def test_out_of_range_says_what_comes_of_it() -> None:
    for name, measure in MEASURES.items():
        for value in (measure.high + 1, *([measure.low / 2] if measure.low else [])):
            effect = water_effect(judged(**{name: value})[name])
            assert effect is not None
            assert effect.taste
    hard, soft = (water_effect(one) for one in judged(hardness_ppm=300, alkalinity_ppm=10).values())
    assert hard is not None
    assert soft is not None
    assert "scale" in hard.machine
    assert "corrosion" in soft.machine
    assert water_effect(judged(hardness_ppm=80)["hardness_ppm"]) is None


@pytest.mark.parametrize(
    ("name", "value", "said"),
    [
        ("solids_mg_per_l", 1500, "Dissolved solids 1500 mg/L: too high"),
        ("solids_mg_per_l", 10000, "Dissolved solids 10000 mg/L: too high"),
        ("hardness_ppm", 1234, "Hardness 1234 ppm CaCO3: too high"),
        ("hardness_ppm", 175.4, "Hardness 175.4 ppm CaCO3: too high for 50 to 175 ("),
        ("hardness_ppm", 175.0004, "Hardness 175.0004 ppm CaCO3: too high for 50 to 175"),
        ("hardness_ppm", 49.96, "Hardness 49.96 ppm CaCO3: too low for 50 to 175"),
        ("hardness_ppm", 174.6, "Hardness 175 ppm CaCO3: within 50 to 175"),
        ("hardness_ppm", 71.392, "Hardness 71.4 ppm CaCO3: within"),
        ("ph", 6.4996, "pH 6.4996: too low for 6.5 to 7.5"),
        ("ph", 7.25, "pH 7.25: within"),
        ("ph", 7.0, "pH 7: within 6.5 to 7.5 ("),
        ("sodium_mg_per_l", 0.0000001, "Sodium 0 mg/L: within"),
        ("sodium_mg_per_l", 30.04, "Sodium 30.04 mg/L: too high for 0 to 30"),
        ("alkalinity_ppm", 0.00001, "Alkalinity 0 ppm CaCO3: too low for 40"),
        ("alkalinity_ppm", 75.04, "Alkalinity 75.04 ppm CaCO3: too high for 40 to 75"),
    ],
)
def test_an_amount_is_plain_and_never_looks_like_the_limit_that_it_is_beyond(
    name: str, value: float, said: str
) -> None:
    assert finding_words(judged(**{name: value})[name]).startswith(said)


def test_what_the_two_tell_together() -> None:
    softened, scales = together_sentences(("softened", "scales"))
    assert "softened water" in softened
    assert "scales a boiler" in scales


def test_the_whole_of_it() -> None:
    said = water_said(judged(hardness_ppm=250, alkalinity_ppm=120), alkalinity="120")
    assert said.did == "Judged the water: hardness and alkalinity out of range."
    assert [line.split()[0] for line in said.lines[:3]] == ["Hardness", "taste", "machine"]
    assert "common practice" in said.lines[-1]
    assert said.next_step.startswith("try another water")
    fits = water_said(judged(hardness_ppm=80, alkalinity_ppm=50), alkalinity="50")
    assert fits.did.endswith("all that is given fits.")
    assert len(fits.lines) == 2, "water that fits needs no more words"
    assert "dialopt prepare" in fits.next_step
    two_meanings = water_said(judged(alkalinity_ppm=50), alkalinity="0.5 mmol/L")
    assert "say meq/L" in two_meanings.lines[-1]
