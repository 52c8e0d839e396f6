"""A new name that is almost a known one is told, never refused."""

from __future__ import annotations

import pytest

from dialopt import Bean
from dialopt.shell.alike import alike

KNOWN = [Bean(name=name) for name in ("Harbour Fog", "Pier Mist", "lot 12", "Quay A")]


@pytest.mark.parametrize(
    ("name", "there"),
    [
        ("Harbuor Fog", "Harbour Fog"),
        ("harbour fogg", "Harbour Fog"),
        ("Habour Fog", "Harbour Fog"),
        ("Pier Misty", "Pier Mist"),
        ("Harbour Fog", None),
        ("HARBOUR FOG", None),
        ("Harbour Haze", None),
        ("lot 13", None),
        ("Quay B", None),
        ("Pier", None),
    ],
)
def test_the_name_that_was_likely_meant(name: str, there: str | None) -> None:
    assert alike(name, KNOWN) == there


def test_nothing_known_is_like_nothing() -> None:
    assert alike("Harbour Fog", []) is None


def test_a_bean_almost_called_as_a_known_one_is_set_up_and_told(bench):
    said = bench("bean", "harbuor fog").out
    assert said.startswith("Set up the bean harbuor fog")
    mend = "`dialopt pairing --bean 'harbour fog'` takes that one"
    assert f"Mind     it is new, and almost called as the bean harbour fog; if that was meant, {mend}" in said
    assert "almost" not in bench("bean", "harbuor fog", "--roast", "dark").out, "known by now"
    for kind, rest in (("machine", ("--temp", "90:95:1")), ("basket", ("--dose", "16:20:0.1"))):
        assert f"almost called as the {kind} bench {kind}" in bench(kind, f"bench {kind}s", *rest).out


def test_a_misspelt_grinder_is_pointed_to(bench):
    done = bench("grinder", "bench griner", "--burrs", "set 2")
    assert done.status == 2
    assert "if bench grinder was meant: `dialopt grinder 'bench grinder'`" in done.err.replace("If", "if")
    made = bench("grinder", "bench griner", "--grind", "0:10:1", "--finer", "up").out
    assert "almost called as the grinder bench grinder" in made
