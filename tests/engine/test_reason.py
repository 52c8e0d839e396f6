from __future__ import annotations

from dataclasses import replace

from dialopt import BagRecipe, Bean, Dial, Pairing, Recipe, Shot
from dialopt.engine.advice import Estimate, SweetSpot
from dialopt.engine.reason import Caveat, Move, Reason, reason


def recipe(grind: float = 18, dose_g: float = 18, temp_c: float = 93) -> Recipe:
    return Recipe(grind=grind, dose_g=dose_g, temp_c=temp_c)


def why(pairing: Pairing, **changes: object) -> Reason:
    given: dict[str, object] = {
        "pairing": pairing,
        "shots": [Shot(recipe=recipe(), score=7)],
        "next_recipe": recipe(grind=16),
        "settled": False,
    }
    known = {"recipe": recipe(grind=17), "prob_near_optimal": 0.62, "edges": ()} | {
        name: changes.pop(name)
        for name in ("prob_near_optimal", "edges", "near_optimal_ridge", "modes")
        if name in changes
    }
    # What the engine returns carries its ratio; what was noted may not.
    known["recipe"] = pairing.at_ratio(known["recipe"])  # type: ignore[arg-type]
    given |= changes
    given["next_recipe"] = pairing.at_ratio(given["next_recipe"])  # type: ignore[arg-type]
    spot = SweetSpot(score=Estimate(mean=7, low=6, high=8), predictive=None, **known)  # type: ignore[arg-type]  # not asked
    return reason(**given, spot=spot)  # type: ignore[arg-type]


def test_the_shot_time_says_why_to_go_on_that_way(pairing: Pairing) -> None:
    def by(time_s: float | None, grind: float, of: Pairing = pairing) -> tuple[str, float | None]:
        shots = [Shot(recipe=recipe(), score=5, time_s=time_s)]
        (move,) = why(of, shots=shots, next_recipe=recipe(grind=grind)).moves
        assert (move.dial, move.was, move.now) == ("grind", 18, grind)
        return move.why, move.beyond

    assert by(15, 14) == ("ran_fast", 15)
    assert by(44, 21) == ("ran_slow", 44)
    for time_s in (20, 28, None):
        assert by(time_s, 14) == ("untried_more", 18)
    assert by(44, 14) == ("untried_more", 18)
    assert by(28, 21) == ("untried_less", 18)
    longer = replace(pairing, ratio=3.0)
    assert by(28, 14, longer) == ("ran_fast", 28)
    assert by(44, 21, longer) == ("untried_less", 18)


def test_it_is_said_why_only_the_grind_moves(pairing: Pairing) -> None:
    fast = [Shot(recipe=recipe(), score=5, time_s=15)]
    assert why(pairing, shots=fast).because is None
    assert why(pairing, shots=fast, shot_time_right=False).because == "shot_time"
    both = why(pairing, shots=fast, shot_time_right=False, next_recipe=recipe(grind=16, temp_c=92))
    assert both.because is None
    choked = [Shot(recipe=recipe(grind=20), score=7), Shot(recipe=recipe(grind=10), fault="choked")]
    assert why(pairing, shots=choked, next_recipe=recipe(grind=19)).because == "choked"
    assert why(pairing, shots=choked, next_recipe=recipe(grind=9)).because is None


def test_a_choke_near_by_is_mentioned(pairing: Pairing) -> None:
    shots = [
        Shot(recipe=recipe(grind=20), score=6),
        Shot(recipe=recipe(grind=12, dose_g=17.5), fault="choked"),
        Shot(recipe=recipe(grind=17), score=7),
    ]
    word = (Caveat(kind="may_choke", recipe=recipe(grind=12, dose_g=17.5)),)
    assert why(pairing, shots=shots, next_recipe=recipe(grind=15)).caveats == word
    assert not why(pairing, shots=shots, next_recipe=recipe(grind=17)).caveats, "five of 41 settings coarser"
    assert why(pairing, shots=shots, next_recipe=recipe(grind=15, dose_g=17)).caveats == word, "half a gram less"
    assert not why(pairing, shots=shots, next_recipe=recipe(grind=15, dose_g=16.5)).caveats, "a gram less"
    assert not why(pairing, shots=shots, next_recipe=recipe(grind=15), settled=True).caveats
    finer = [*shots, Shot(recipe=recipe(grind=12), score=5)]
    assert not why(pairing, shots=finer, next_recipe=recipe(grind=13)).caveats, "as fine has run since"


def test_every_dial_that_moves_is_named_with_why(pairing: Pairing) -> None:
    to_best = Move(dial="grind", was=18, now=17, why="best")
    for changes, moves in (
        ({"grind": 16}, [Move(dial="grind", was=18, now=16, why="untried_more", beyond=18)]),
        ({"grind": 19}, [Move(dial="grind", was=18, now=19, why="untried_less", beyond=18)]),
        ({"grind": 17}, [to_best]),
        ({"temp_c": 95}, [Move(dial="temp_c", was=93, now=95, why="untried_more", beyond=93)]),
        ({"temp_c": 92}, [Move(dial="temp_c", was=93, now=92, why="untried_less", beyond=93)]),
        ({"dose_g": 18.5}, [Move(dial="dose_g", was=18, now=18.5, why="untried_more", beyond=18)]),
        ({"dose_g": 17, "grind": 17}, [to_best, Move(dial="dose_g", was=18, now=17, why="untried_less", beyond=18)]),
    ):
        found = why(pairing, next_recipe=recipe(**changes))
        assert (found.kind, list(found.moves)) == ("moves", moves)
    either_side = [
        Shot(recipe=recipe(grind=16 + off, dose_g=18 + off / 10, temp_c=93 + off / 2), score=7) for off in (-4, 4)
    ]
    towards = why(pairing, shots=either_side, next_recipe=recipe(grind=18, dose_g=18.4, temp_c=95))
    assert towards.moves == (Move(dial="grind", was=20, now=18, why="towards_best"),)
    between = [*either_side, Shot(recipe=recipe(), score=7)]
    away = why(pairing, shots=between, next_recipe=recipe(grind=19))
    assert away.moves == (Move(dial="grind", was=18, now=19, why="open"),)
    farthest = why(pairing, shots=either_side, next_recipe=recipe(grind=11, dose_g=18.4, temp_c=95))
    assert farthest.moves == (Move(dial="grind", was=20, now=11, why="untried_more", beyond=12),), "of all tasted"


def test_a_ratio_that_moves_is_named_too(pairing: Pairing) -> None:
    turned = replace(pairing, ratio=Dial(1.5, 3.0, 0.1))
    (move,) = why(turned, next_recipe=replace(recipe(), ratio=2.5)).moves
    assert move == Move(dial="ratio", was=2.0, now=2.5, why="untried_more", beyond=2.0)
    (move,) = why(turned, next_recipe=replace(recipe(), ratio=1.7)).moves
    assert move == Move(dial="ratio", was=2.0, now=1.7, why="untried_less", beyond=2.0)


def test_whichever_way_the_numbers_run_more_is_finer(pairing: Pairing) -> None:
    up = replace(pairing, grinder=replace(pairing.grinder, finer="up"))
    (move,) = why(up, next_recipe=recipe(grind=19)).moves
    assert (move.why, move.beyond) == ("untried_more", 18)
    (move,) = why(up, next_recipe=recipe(grind=16)).moves
    assert (move.why, move.beyond) == ("untried_less", 18)


def test_reasons_fit_the_case(pairing: Pairing) -> None:
    assert why(pairing, next_recipe=recipe()).kind == "again_unsure"
    at_best = [Shot(recipe=recipe(grind=17), score=7)]
    assert why(pairing, shots=at_best, next_recipe=recipe(grind=17)).kind == "again_best"
    done = why(pairing, settled=True, prob_near_optimal=0.83)
    assert (done.kind, done.prob_near_optimal, done.moves) == ("settled", 0.83, ())
    outlier = [Shot(recipe=recipe(grind=20), score=7), Shot(recipe=recipe(grind=16), score=3, fault="channelled")]
    assert why(pairing, shots=outlier).kind == "untasted"
    choked = [outlier[0], Shot(recipe=recipe(grind=10), fault="choked")]
    assert why(pairing, shots=choked, next_recipe=recipe(grind=10)).kind == "untasted"
    assert why(pairing, shots=choked[1:], next_recipe=recipe(grind=12)).kind == "careful", "nothing ran"


def test_the_first_reason_says_what_it_goes_by(pairing: Pairing) -> None:
    start = {"shots": [], "next_recipe": recipe(grind=17)}

    def goes_by(of: Pairing = pairing, **more: object) -> tuple[str, ...]:
        found = why(of, **start | more)
        assert found.kind == "start"
        return found.goes_by

    assert goes_by() == goes_by(shots=[Shot(recipe=recipe(), time_s=20)]) == ()
    assert goes_by(earlier=1) == ("earlier",)
    light = replace(pairing, bean=Bean(name="b", roast="light"))
    assert goes_by(light, hinted=["roast"]) == ("roast",)
    assert why(light, **start).roast == "light"
    suggested = replace(pairing, bean=Bean(name="b", roast="light", suggested=BagRecipe(dose_g=18)))
    assert goes_by(suggested, hinted=["suggestion"], earlier=2) == ("suggestion", "earlier")
    assert why(suggested, **start, earlier=2).earlier == 2
    assert goes_by(suggested, hinted=["roast", "suggestion"], earlier=1) == ("suggestion", "roast", "earlier")
    assert why(pairing, earlier=1, hinted=["roast"]).goes_by == (), "once something was tasted"


def test_before_anything_was_tasted_the_reason_claims_nothing_of_taste(pairing: Pairing) -> None:
    timed = [Shot(recipe=recipe(), time_s=15)]
    assert [move.why for move in why(pairing, shots=timed).moves] == ["ran_fast"]
    right = [Shot(recipe=recipe(), time_s=25)]
    assert [move.why for move in why(pairing, shots=right).moves] == ["open"]
    assert why(pairing, shots=timed, next_recipe=recipe()).kind == "untasted"


def test_a_caveat_follows_the_reason(pairing: Pairing) -> None:
    line, modes = (recipe(grind=10), recipe(grind=20)), (recipe(grind=2),)
    for changes, caveat in (
        ({"edges": ("grind", "temp_c")}, Caveat(kind="edges", dials=("grind", "temp_c"))),
        ({"near_optimal_ridge": line, "modes": modes}, Caveat(kind="ridge")),
        ({"modes": modes}, Caveat(kind="modes")),
        ({"edges": ("dose_g",), "near_optimal_ridge": line}, Caveat(kind="edges", dials=("dose_g",))),
    ):
        assert why(pairing, **changes).caveats == (caveat,)


def test_beans_that_have_aged_since_the_last_shot_are_a_reason(pairing: Pairing) -> None:
    assert why(pairing, rested_days=4).caveats == ()
    assert why(pairing, rested_days=12).caveats == (Caveat(kind="older", days=12),)
    assert why(pairing, shots=[], next_recipe=recipe(grind=17), rested_days=12).caveats == ()


def test_a_last_shot_off_the_dial_that_snaps_home_is_a_repeat(pairing: Pairing) -> None:
    assert why(pairing, shots=[Shot(recipe=recipe(grind=16.3), score=7)]).kind == "again_unsure"


def test_a_shot_far_off_the_dials_is_no_shot_of_the_nearest_recipe(pairing: Pairing) -> None:
    end = recipe(dose_g=20)
    for fault in (None, "channelled"):
        far = [Shot(recipe=recipe(), score=7), Shot(recipe=recipe(dose_g=25), score=7, fault=fault)]
        assert why(pairing, shots=far, next_recipe=end).kind == "moves"
