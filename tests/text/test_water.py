from __future__ import annotations

from dialopt.text.water import finding_words, together_sentences, water_effect
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


def test_a_measure_against_its_range() -> None:
    assert finding_words(judged(hardness_ppm=300)["hardness_ppm"]).startswith(
        "Hardness 300 ppm CaCO3: too high for 50 to 175 ("
    )
    assert finding_words(judged(ph=7.0)["ph"]).startswith("pH 7: within 6.5 to 7.5 (")
    assert "75.04" in finding_words(judged(alkalinity_ppm=75.04)["alkalinity_ppm"]), "else it looked like the limit"


def test_what_the_two_tell_together() -> None:
    softened, scales = together_sentences(("softened", "scales"))
    assert "softened water" in softened
    assert "scales a boiler" in scales
