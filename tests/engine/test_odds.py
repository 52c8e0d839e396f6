from __future__ import annotations

import pytest

from dialopt.engine.odds import odds


@pytest.mark.parametrize(
    ("chance", "words"),
    [
        (1.0, "at least 19 in 20"),
        (0.9, "about 9 in 10"),
        (0.8999, "about 7 in 8"),
        (0.8749, "about 4 in 5"),
        (2 / 3, "about 2 in 3"),
        (1 / 3, "about 1 in 3"),
        (0.05, "about 1 in 20"),
        (0.0499, "less than 1 in 20"),
        (0.0, "less than 1 in 20"),
    ],
)
def test_a_chance_as_people_say_it(chance: float, words: str) -> None:
    assert odds(chance) == words
