"""Numbers, units, plurals, lists and chances as a person reads them. One minus sign: −."""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction

from dialopt.engine.advice import Estimate
from dialopt.trade.dial import Dial, plain_setting
from dialopt.trade.pairing import DIAL_UNITS

TELLS = 0.6
"""A chance below this is too close to even for "better" or "best"."""
CLEAR = 0.9
"""What looks so is called so from this chance on."""
LETTERS = "ABCDEFGH"
"""What the pairings of a page are called, by their numbers from 0."""
_FRACTIONS = "19/20 9/10 7/8 4/5 3/4 7/10 2/3 3/5 11/20 1/2 9/20 2/5 1/3 3/10 1/4 1/5 3/20 1/10 1/20"
_ODDS = tuple(map(Fraction, _FRACTIONS.split()))
"""The fractions that a chance is told in."""


def odds(chance: float) -> str:
    """A probability as a plain fraction, rounded down: what is said is never surer than what is known.

    >>> odds(0.83), odds(0.999), odds(0.02)
    ('about 4 in 5', 'at least 19 in 20', 'less than 1 in 20')
    """
    for share in _ODDS:
        if chance >= share - 1e-9:
            return f"{'at least' if share == _ODDS[0] else 'about'} {share.numerator} in {share.denominator}"
    return "less than 1 in 20"


def percent(chance: float) -> str:
    """A probability in per cent, rounded down as `odds` does.

    >>> percent(0.597), percent(0.004)
    ('59 %', 'under 1 %')
    """
    return f"{int(100 * chance + 1e-9)} %" if chance >= 0.01 else "under 1 %"


def joined(parts: Sequence[str], word: str = "and") -> str:
    """Words in a row with "and", or another word, before the last.

    >>> joined(["grind", "dose", "temperature"])
    'grind, dose and temperature'
    """
    return f" {word} ".join([", ".join(parts[:-1]), parts[-1]]) if len(parts) > 1 else "".join(parts)


def counted(count: float, noun: str) -> str:
    """So many of something.

    >>> counted(1, "shot"), counted(0, "earlier pairing")
    ('1 shot', '0 earlier pairings')
    """
    return f"{count:.0f} {noun}{'s' * (round(count) != 1)}"


def fixed(value: float, digits: int = 1) -> str:
    """A number with all its decimals, as in intervals.

    >>> fixed(7), fixed(-0.04), fixed(-1.26)
    ('7.0', '0.0', '−1.3')
    """
    return f"{round(value, digits) + 0.0:.{digits}f}".replace("-", "−")


def plain(value: float, digits: int = 1) -> str:
    """A number without idle zeros.

    >>> plain(18.0), plain(-0.25, 2)
    ('18', '−0.25')
    """
    text = fixed(value, digits)
    return text.rstrip("0").rstrip(".") if "." in text else text


def signed(value: float, digits: int = 1) -> str:
    """A number that has a side: its sign is always there.

    >>> signed(2), signed(-0.5), signed(0.04)
    ('+2', '−0.5', '0')
    """
    text = plain(value, digits)
    return text if text == "0" or text.startswith("−") else f"+{text}"


def exact(value: float) -> str:
    """A setting as it was said, to ten digits that tell.

    >>> exact(-0.0005)
    '−0.0005'
    """
    return plain_setting(value).replace("-", "−")


def dial_ends(dial: Dial, unit: str = "") -> str:
    """What a dial offers, without its step.

    >>> dial_ends(Dial(88, 96, 1), " °C")
    '88 to 96 °C'
    """
    return f"{exact(dial.low)}{unit}" if dial.fixed else f"{exact(dial.low)} to {exact(dial.high)}{unit}"


def setting(name: str, value: float) -> str:
    """A dial's setting with its unit.

    >>> setting("dose_g", 18.25), setting("grind", 12), setting("grind", -0.0005), setting("ratio", 2.2)
    ('18.25 g', '12', '−0.0005', '1:2.2')
    """
    if name == "ratio":
        return f"1:{plain(value, 2)}"
    # A grinder's numbers may be of any size; a hundredth of a gram or degree is as fine as anybody sets the others.
    return exact(value) if name == "grind" else plain(value, 2) + DIAL_UNITS[name]


def ratio_words(ratio: float | Dial) -> str:
    """A ratio, or what may be tried.

    >>> ratio_words(2.0), ratio_words(Dial(1.5, 3, 0.1))
    ('1:2', '1:1.5 to 1:3')
    """
    ends = (ratio.low, ratio.high) if isinstance(ratio, Dial) else (ratio,)
    return " to ".join(setting("ratio", end) for end in ends)


def bare_setting(name: str, value: float) -> str:
    """The same without its unit.

    >>> bare_setting("dose_g", 18.25)
    '18.25'
    """
    return setting(name, value).removesuffix(DIAL_UNITS[name])


def place(name: str, value: float) -> str:
    """A dial's setting that needs no name beside it.

    >>> place("grind", 18), place("temp_c", 93)
    ('grind 18', '93 °C')
    """
    return f"grind {setting(name, value)}" if name == "grind" else setting(name, value)


def settings_span(name: str, low: float, high: float) -> str:
    """A range of a dial, without its unit.

    >>> settings_span("grind", 0.001, 0.0025), settings_span("temp_c", 92, 92)
    ('0.001 to 0.0025', '92')
    """
    first, last = bare_setting(name, low), bare_setting(name, high)
    return first if first == last else f"{first} to {last}"


def dial_words(dial: Dial, unit: str = "") -> str:
    """All that a dial offers.

    >>> dial_words(Dial(88, 96, 1), " °C"), dial_words(Dial(18, 18), " g")
    ('88 to 96 °C in steps of 1', '18 g only')
    """
    return f"{dial_ends(dial, unit)} {'only' if dial.fixed else f'in steps of {exact(dial.step)}'}"


def span(low: float, high: float, unit: str = "", digits: int = 1) -> str:
    """A range from low to high; one number when both read the same.

    >>> span(17, 19.5, " g"), span(-2, -2)
    ('17 to 19.5 g', '−2')
    """
    first, last = plain(low, digits), plain(high, digits)
    return f"{first}{unit}" if first == last else f"{first} to {last}{unit}"


def score_span(score: Estimate) -> str:
    """The interval of a score, one decimal each.

    >>> score_span(Estimate(mean=7.2, low=6.31, high=8.02))
    '6.3 to 8.0'
    """
    return f"{fixed(score.low)} to {fixed(score.high)}"


def estimate_words(estimate: Estimate, digits: int = 1, unit: str = "") -> str:
    """A quantity with its interval.

    >>> estimate_words(Estimate(mean=27, low=22.1, high=34), 0, " s")
    '27 s (22 to 34)'
    """
    low, high = fixed(estimate.low, digits), fixed(estimate.high, digits)
    return f"{fixed(estimate.mean, digits)}{unit} ({low} to {high})"


def difference_words(by: Estimate, digits: int = 1) -> str:
    """A difference with its interval.

    >>> difference_words(Estimate(mean=2, low=-1, high=5), 0)
    '+2 (−1 to 5)'
    """
    return f"{signed(by.mean, digits)} ({span(by.low, by.high, digits=digits)})"


def turned(by: Estimate) -> Estimate:
    """The same difference seen from the other side."""
    return Estimate(mean=-by.mean, low=-by.high, high=-by.low)


def sentence_case(text: str) -> str:
    """With a capital first.

    >>> sentence_case("grind 12 (was 14)")
    'Grind 12 (was 14)'
    """
    return text[:1].upper() + text[1:]


def unbroken(text: str) -> str:
    r"""The text with each number kept on one line with its unit.

    >>> unbroken("18 g in 27 s") == "18\u00a0g in 27\u00a0s"
    True
    """
    return re.sub(r"(?<=\d) (?=(?:g|s|°C|%)(?!\w))", "\u00a0", text)
