"""What is said of advice, on an engine that answers at once."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from dialopt import Advice, Dial, Estimate, Pairing, Palate, Recipe, Shot
from dialopt.text.advice import advice_lines, bag_words, pull_lines, sureness_words, sweet_spot_lines, unread_lines
from tests.shell.stub import advise

PALATE = Palate(
    noise=Estimate(mean=0.6, low=0.4, high=0.9),
    offset=Estimate(mean=0, low=-1, high=1),
    repeats=0,
    notes=0,
    repeat=None,
)


def advised(pairing: Pairing, **more: object) -> Advice:
    return replace(advise(pairing, [], seed=0, today=date(2031, 4, 9), most_moves=1), **more)  # type: ignore[arg-type]


def labels(lines: tuple[str, ...]) -> list[str]:
    return [line[2:10].strip() for line in lines]


def test_what_to_do_at_the_machine(pairing: Pairing) -> None:
    lines = pull_lines(advised(pairing), ["  Change   nothing"])
    assert labels(lines) == ["Set", "Change", "Stop at", "Expect", "Why"]
    assert lines[0] == "  Set      grind 20, 18.2 g, 92 °C"
    assert lines[3] == "  Expect   27 s (22 to 34), score 6.5 (4.5 to 8.5), 9 times in 10"
    assert "Milk" in labels(pull_lines(advised(replace(pairing, drink="milk")), ()))


def test_a_repeat_is_to_be_tasted_blind(pairing: Pairing) -> None:
    advice = advised(pairing)
    other = replace(advice.next_recipe, grind=3)
    for palate, said in (
        (None, False),
        (PALATE, False),
        (replace(PALATE, repeat=other), False),
        (replace(PALATE, repeat=advice.next_recipe), True),
    ):
        assert ("Blind" in labels(pull_lines(replace(advice, palate=palate), ()))) == said


@pytest.mark.parametrize(
    ("finer", "grind", "said"), [("down", 4, True), ("down", 5, False), ("up", 36, True), ("up", 35, False)]
)
def test_near_the_fine_end_the_burrs_are_minded(pairing: Pairing, finer: str, grind: float, said: bool) -> None:
    pairing = replace(pairing, grinder=replace(pairing.grinder, finer=finer))
    advice = advised(pairing, next_recipe=Recipe(grind=grind, dose_g=18, temp_c=93))
    assert any("burrs may touch" in line for line in pull_lines(advice, ())) == said
    fixed = replace(pairing, grinder=replace(pairing.grinder, grind=Dial(grind, grind)))
    assert not any("burrs may touch" in line for line in pull_lines(replace(advice, pairing=fixed), ()))


def test_how_things_stand(pairing: Pairing) -> None:
    assert labels(advice_lines(advised(pairing), ()))[-2:] == ["So far", "Bag"]
    aged = Estimate(mean=3, low=1, high=5)
    (line,) = (it for it in advice_lines(advised(pairing, finer_today=aged), ()) if "Ageing" in it)
    assert line.endswith("about 3 steps finer than on the first day logged (+1 to +5, + is finer)")
    for unclear in (Estimate(mean=3, low=-1, high=5), Estimate(mean=0.4, low=0.1, high=1)):
        assert "Ageing" not in labels(advice_lines(advised(pairing, finer_today=unclear), ()))
    theirs = replace(pairing, taster="Ada")
    assert "Bag" not in labels(advice_lines(advised(theirs), ())), "of somebody else's bag nobody knows"


def test_where_the_best_cup_probably_lies(pairing: Pairing) -> None:
    open_, settled = advised(pairing), advised(pairing, settled=True)
    assert labels(sweet_spot_lines(open_)) == ["Set", "Stop at", "Liking", "Sure?", "Settled"]
    assert sweet_spot_lines(open_)[-1] == "  Settled  not yet, another test shot pays"
    assert sureness_words(open_).endswith("by more than half a point. Another test shot still pays.")
    assert sureness_words(settled).endswith(". More test shots won't help much.")


def test_how_far_the_bag_goes(pairing: Pairing) -> None:
    assert bag_words(pairing, 1).startswith("About 1 shot left, if it was a bag of 250 g, by the doses")
    known = replace(pairing, bean=replace(pairing.bean, bag_g=1000))
    assert bag_words(known, 9).startswith("About 9 shots left, by the doses")
    assert "For a new one of the same" in bag_words(known, 0)


def test_a_shot_that_is_not_read_is_named_with_what_corrects_it() -> None:
    (line,) = unread_lines({2: Shot(recipe=Recipe(grind=180, dose_g=18, temp_c=93))})
    assert line.startswith("  Unread   shot 2, grind 180, 18 g, 93 °C, lies far off the dials; `dialopt amend 2`")
