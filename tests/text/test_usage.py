from __future__ import annotations

from dialopt.text.said import sentence
from dialopt.text.usage import own_fault, see_help, usage_words


def test_what_the_parser_said_that_isn_t_known_here_is_passed_on() -> None:
    assert sentence(usage_words("No such option: --wrong", "next")) == "No such option: --wrong."
    assert (see_help(None), see_help("next")) == (
        "`dialopt --help` shows how it goes.",
        "`dialopt next --help` shows how it goes.",
    )


def test_a_fault_is_one_sentence() -> None:
    crossed = "dialopt ran into a fault of its own (RuntimeError: wires crossed)."
    assert own_fault(RuntimeError("wires\ncrossed")) == crossed
    assert own_fault(RuntimeError()) == "dialopt ran into a fault of its own (RuntimeError)."
