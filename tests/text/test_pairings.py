from __future__ import annotations

from dataclasses import replace

from dialopt import Pairing
from dialopt.engine.carried import Carried, carried
from dialopt.text.pairings import carried_words


def test_what_is_carried_over_in_one_line(pairing: Pairing) -> None:
    new = replace(pairing, grinder=replace(pairing.grinder, burrs="set 2"))
    assert carried_words(carried(pairing, new)) == (
        "the best cup's time, dose and temperature (nearly whole), what a step of grind does and your palate "
        "(about half), which grind gives which time (a little)"
    )


def test_three_things_alike_in_one_line(pairing: Pairing) -> None:
    new = replace(pairing, grinder=replace(pairing.grinder, burrs="set 2"), water="soft")
    assert carried_words(carried(pairing, new)) == (
        "the best cup's time, dose and temperature, what a step of grind does and your palate (about half), "
        "which grind gives which time (a little)"
    )


def test_somebody_else_s_palate_is_called_theirs() -> None:
    clock = Carried(part="clock", share=1.0, trust="nearly whole")
    parts = [clock, Carried(part="palate", share=0.0, trust="not at all")]
    assert carried_words(parts) == "which grind gives which time (nearly whole), your palate (not at all)"
    theirs = [replace(part, own_palate=False) for part in parts]
    assert carried_words(theirs).endswith("(nearly whole), the other taster's palate (not at all)")


def test_every_part_that_is_carried_has_words(pairing: Pairing) -> None:
    for part in carried(pairing, pairing):
        assert len(carried_words([part])) > len(f"({part.trust})") + 4
