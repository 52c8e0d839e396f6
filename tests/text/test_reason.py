from __future__ import annotations

from typing import get_args

import pytest

from dialopt import Recipe
from dialopt.engine.reason import Caveat, Kind, Move, MoveWhy, Reason
from dialopt.text.reason import reason_sentence


def said(kind: Kind = "moves", **rest: object) -> str:
    return reason_sentence(Reason(kind=kind, prob_near_optimal=0.83, **rest))  # type: ignore[arg-type]


def moved(dial: str, was: float, now: float, why: MoveWhy, beyond: float | None = None) -> Move:
    return Move(dial=dial, was=was, now=now, why=why, beyond=beyond)


@pytest.mark.parametrize(
    ("kind", "sentence"),
    [
        (
            "settled",
            "More test shots won't help much; the chance is about 4 in 5 that no setting is better by more than half a "
            "point.",
        ),
        ("start", "Nothing has been tasted yet, so start where the best cup is most likely."),
        ("untasted", "The last recipe wasn't properly tasted, so pull it once more."),
        ("again_best", "The same again: it is the best guess so far, and no other cup is worth more now."),
        ("again_unsure", "The same again: a second cup shows how far to trust the first."),
        ("careful", "The puck choked, so this is a careful step to where the best cup is likelier."),
        ("nearest", "The setting of the dials that is nearest to the last shot."),
    ],
)
def test_what_is_done(kind: Kind, sentence: str) -> None:
    assert said(kind) == sentence


def test_every_kind_has_words() -> None:
    for kind in get_args(Kind):
        assert said(kind).endswith(".")
    for why in get_args(MoveWhy):
        assert said(moves=(moved("grind", 18, 14, why, 20.0),)).startswith("Grind 14 (was 18), ")


def test_every_dial_that_moves_is_named_with_why() -> None:
    most = "has been tasted yet and one cup there teaches the most"
    for move, words in (
        (moved("grind", 18, 16, "untried_more", 17), f"Grind 16 (was 18), as nothing finer than 17 {most}"),
        (moved("grind", 18, 19, "untried_less", 18), f"Grind 19 (was 18), as nothing coarser than 18 {most}"),
        (moved("grind", 18, 17, "best"), "Grind 17 (was 18), to the best guess so far"),
        (moved("grind", 20, 18, "towards_best"), "Grind 18 (was 20), towards the best guess so far"),
        (moved("grind", 18, -19, "open"), "Grind −19 (was 18), to find out what that changes"),
        (moved("temp_c", 93, 95, "untried_more", 93), f"Temperature 95 °C (was 93), as nothing above 93 °C {most}"),
        (moved("temp_c", 93, 91, "untried_less", 92), f"Temperature 91 °C (was 93), as nothing below 92 °C {most}"),
        (moved("dose_g", 18, 18.5, "untried_more", 18), f"Dose 18.5 g (was 18), as nothing above 18 g {most}"),
        (moved("dose_g", 18, 17, "untried_less", 18), f"Dose 17 g (was 18), as nothing below 18 g {most}"),
    ):
        assert said(moves=(move,)) == f"{words}."
    two = (moved("grind", 18, 17, "best"), moved("dose_g", 18, 17, "best"))
    assert (
        said(moves=two) == "Grind 17 (was 18), to the best guess so far; dose 17 g (was 18), to the best guess so far."
    )


def test_the_clock_and_the_choke_come_first() -> None:
    fast = (moved("grind", 18, 14, "ran_fast", 15),)
    assert said(moves=fast) == "Grind 14 (was 18), as the finest so far ran fast, 15 s."
    slow = (moved("grind", 18, 21, "ran_slow", 44.5),)
    assert said(moves=slow) == "Grind 21 (was 18), as the coarsest so far ran slow, 44.5 s."
    assert said(moves=fast, because="shot_time") == (
        "Only the grind moves until the shot time is right: grind 14 (was 18), as the finest so far ran fast, 15 s."
    )
    assert said(moves=fast, because="choked").startswith("The last puck choked: grind 14 (was 18)")


def test_the_first_reason_says_what_it_goes_by() -> None:
    first = "Nothing has been tasted yet, so start where the best cup is most likely, going by"
    assert said("start", goes_by=("earlier",), earlier=1) == f"{first} 1 earlier pairing."
    assert said("start", goes_by=("roast",), roast="light") == f"{first} the light roast."
    assert said("start", goes_by=("suggestion", "earlier"), earlier=2) == (
        f"{first} the roaster's suggestion and 2 earlier pairings."
    )
    assert said("start", goes_by=("suggestion", "roast", "earlier"), roast="light", earlier=1) == (
        f"{first} the roaster's suggestion, the light roast and 1 earlier pairing."
    )


@pytest.mark.parametrize(
    ("caveat", "words"),
    [
        (
            Caveat(kind="edges", dials=("grind", "temp_c")),
            "the best grind and temperature may lie at or beyond the ends of their dials",
        ),
        (Caveat(kind="edges", dials=("dose_g",)), "the best dose may lie at or beyond the end of the dial"),
        (Caveat(kind="ridge"), "there is no single best setting, as a whole line of them does about as well"),
        (Caveat(kind="modes"), "the best may also lie in quite another place"),
        (
            Caveat(kind="may_choke", recipe=Recipe(grind=12, dose_g=17.5, temp_c=93)),
            "a puck choked at 12 with 17.5 g, so this one may, too",
        ),
        (Caveat(kind="older", days=12), "the beans are 12 days older than at the last shot, so less is certain"),
    ],
)
def test_a_caveat_follows_the_reason(caveat: Caveat, words: str) -> None:
    plain = said("again_best").removesuffix(".")
    assert said("again_best", caveats=(caveat,)) == f"{plain}; {words}."
    both = said("again_best", caveats=(caveat, Caveat(kind="modes")))
    assert both == f"{plain}; {words}; the best may also lie in quite another place."
