from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime

import pytest
from hypothesis import given

from dialopt import Basket, Dial, Pairing, Shot
from dialopt.text.questions import fault_command, look_lines, question_sentence, slip_commands
from dialopt.trade.plausibility import Question, questions
from tests.trade.test_plausibility import PAIRING, any_shots, pulled


def asked(shot: Shot, *earlier: Shot, pairing: Pairing = PAIRING) -> dict[str, str]:
    return {one.about: question_sentence(one) for one in questions(pairing, shot, earlier)}


@pytest.mark.parametrize(
    ("shot", "about", "said"),
    [
        (pulled(grind=180), "grind", "Grind 180 isn't on the dial, 0 to 40 in steps of 1; it is logged as you said."),
        (pulled(dose_g=18.05), "dose_g", "Dose 18.05 g isn't on the dial, 16.5 to 20 g in steps of 0.1; it is logged"),
        (
            pulled(dose_g=36, yield_g=18),
            "swapped",
            "18 g in the cup from 36 g of coffee: have the two changed places?",
        ),
        (
            pulled(time_s=15, balance=1.5),
            "balance",
            "It ran fast, 15 s, and tasted bitter, while fast shots tend to be sour.",
        ),
        (
            pulled(time_s=48, balance=-2),
            "balance",
            "It ran slow, 48 s, and tasted sour, while slow shots tend to be bitter.",
        ),
        (pulled(yield_g=63), "yield", "63 g in the cup is far from the 36 g to stop at, ratio 1:2."),
        (pulled(score=10, balance=2), "score", "Score 10 and bitter seldom go together."),
        (pulled(time_s=2.8), "time", "2.8 s is far from what is usual."),
        (
            pulled(time_s=300, fault="channelled"),
            "time",
            "A channelled puck runs fast, and 300 s is far beyond what is usual.",
        ),
    ],
)
def test_what_looks_odd_in_a_shot_alone(shot: Shot, about: str, said: str) -> None:
    assert asked(shot)[about].startswith(said)


def test_what_looks_odd_beside_the_shots_before() -> None:
    earlier = [pulled(grind=24, time_s=17), pulled(grind=19, time_s=24), pulled(grind=14, time_s=36)]
    likely = "the 27 s that earlier shots make likely at this grind."
    assert asked(pulled(grind=17, time_s=92), *earlier)["time"] == f"92 s is far from {likely}"
    channelled = pulled(grind=17, time_s=300, fault="channelled")
    assert asked(channelled, *earlier)["time"] == f"A channelled puck runs fast, and 300 s is far beyond {likely}"
    choked = pulled(grind=24, fault="choked")
    assert asked(choked, *earlier)["time"] == "It choked, while earlier shots make 18 s likely at this grind."
    before = [pulled(score=7), pulled(score=7.5)]
    assert asked(pulled(score=2), *before)["repeat"] == "Score 2 is far from the 7.25 of the same recipe before."
    at = datetime(2031, 4, 9, 8)
    twice = pulled(pulled_at=at, score=7)
    assert asked(twice, twice)["again"].startswith("The same figures as the shot before")
    roasted = replace(PAIRING, bean=replace(PAIRING.bean, roasted_on=date(2031, 5, 1)))
    assert asked(twice, pairing=roasted)["day"] == (
        "2031-04-09 is before the beans were roasted, 2031-05-01; the shot is read, its day isn't."
    )


def test_what_looks_odd_in_a_row_of_shots() -> None:
    log = [pulled(grind, time_s=time_s) for grind, time_s in ((20, 20), (17, 17), (14, 13))]
    assert "3 grinds in a row: do the numbers of bench grinder run up for finer?" in asked(log[2], *log[:2])["finer"]
    noted = [pulled(20, time_s=time_s, balance=balance) for time_s, balance in ((20, 2), (26, 1), (34, -1), (42, -2))]
    assert asked(noted[3], *noted[:3])["notes"].startswith(
        "In 5 of 5 pairs of shots the longer one was noted as the more sour, "
    )


@pytest.mark.parametrize(("dose_g", "said"), [(20.1, "more than the basket takes"), (16.4, "less than the basket")])
def test_a_dose_that_the_basket_does_not_take_is_told_with_what_comes_of_it(dose_g: float, said: str) -> None:
    caution = asked(pulled(dose_g=dose_g))["dose_g"]
    assert said in caution
    assert "16.5 to 20 g" in caution
    assert caution.endswith("(common practice). It is logged as you said.")
    only = replace(PAIRING, basket=Basket(dose_g=Dial(18, 18)))
    assert "takes, 18 g:" in asked(pulled(dose_g=19), pairing=only)["dose_g"]


@given(any_shots, any_shots)
def test_every_question_has_a_sentence(shot: Shot, before: Shot) -> None:
    for sentence in asked(shot, before).values():
        assert sentence.endswith((".", "?"))
        assert "None" not in sentence
        assert "{" not in sentence


@pytest.mark.parametrize(
    ("shot", "mend"),
    [
        (
            pulled(time_s=280, yield_g=None),
            "If it choked: `dialopt amend 2 --fault choked`; if it is a slip of the pen: `dialopt amend 2 --time S`; "
            "if it was so, leave it.",
        ),
        (
            pulled(score=10, balance=2),
            "If it is a slip of the pen: `dialopt amend 2 --score 0-10` or `--balance -3..3`; if it was so, leave it.",
        ),
        (pulled(dose_g=36, yield_g=18), "If they have: `dialopt amend 2 --dose G --yield G`; if it was so, leave it."),
    ],
)
def test_each_question_comes_with_what_mends_it(shot: Shot, mend: str) -> None:
    (question,) = questions(PAIRING, shot, ())
    odd, how = look_lines([(2, question)])
    assert odd == f"  Really?  {question_sentence(question)}"
    assert how == f"           {mend}"


def test_what_is_no_slip_in_one_figure_is_mended_otherwise() -> None:
    finer = Question(about="finer", kind="finer", finer="up")
    assert slip_commands(2, finer) == ["dialopt grinder NAME --finer up", "dialopt pairing --amend"]
    assert slip_commands(2, Question(about="again", kind="again")) == ["dialopt undo"]
    assert fault_command(2, finer) is None
