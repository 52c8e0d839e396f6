from __future__ import annotations

from collections.abc import Callable

from dialopt.engine.advice import Advice
from dialopt.report.card import card_lines
from dialopt.report.lattice import lay_out
from dialopt.trade.dial import Dial
from dialopt.trade.pairing import Pairing


def test_the_card_says_what_to_set_and_how_far_to_trust_it(
    a_pairing: Callable[..., Pairing], an_advice: Callable[..., Advice]
) -> None:
    advice = an_advice(a_pairing(temp_c=Dial(93, 93)))
    lines = {line.name: line for line in card_lines(advice, lay_out(advice))}
    assert (lines["Grind"].value, lines["Grind"].hint) == ("18", "best within 12 to 24")
    assert (lines["Dose"].value, lines["Dose"].unit, lines["Dose"].hint) == ("18", "g", "the best may be anywhere")
    assert lines["Brew water"].hint == "can't be changed"
    assert (lines["Stop at"].value, lines["Stop at"].hint) == ("36", "2 times the dose")
    assert (lines["Time"].value, lines["Time"].hint) == ("28", "one shot 22 to 36")
    assert (lines["Liking"].value, lines["Liking"].hint) == ("7.9", "within 7.3 to 8.4")
