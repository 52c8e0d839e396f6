from __future__ import annotations

from contextlib import suppress
from datetime import date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dialopt.errors import BadValue
from dialopt.shell.answer import clean
from dialopt.shell.reading import read_dial, read_moment, read_number, read_roast_day
from dialopt.trade.dial import Dial


@given(st.floats(-1e9, 1e9, allow_nan=False))
def test_a_number_reads_back_with_either_decimal_mark(value):
    assert read_number("x", repr(value)) == value
    assert read_number("x", repr(value).replace(".", ",")) == value


@pytest.mark.parametrize(
    "text", ["", " ", "nan", "inf", "-inf", "1e400", "0x10", "1_000", "1.2.3", "1,2,3", "12 g", "٣"]
)
def test_what_is_no_plain_number_is_refused(text):
    with pytest.raises(BadValue, match="it takes a plain number"):
        read_number("x", text)


@given(st.text(max_size=30))
def test_whatever_is_typed_is_a_number_or_refused(text):
    with suppress(BadValue):
        assert abs(read_number("x", text)) <= 1e12


def test_dials():
    assert read_dial("grind", "0:40:1") == Dial(0, 40, 1)
    assert read_dial("grind", "-5:20:0,25") == Dial(-5, 20, 0.25)
    assert read_dial("temp_c", "93") == Dial(93, 93)
    with pytest.raises(BadValue, match="grind high"):
        read_dial("grind", "40:0:1")


def test_dates():
    today = date(2031, 4, 9)
    assert read_roast_day("2031-04-01", today) == date(2031, 4, 1)
    with pytest.raises(BadValue):
        read_roast_day("2031-04-10", today)
    assert read_moment("2031-04-09T07:15") == datetime(2031, 4, 9, 7, 15)
    assert read_moment("2031-04-09T07:15+00:00").tzinfo is None


@given(st.text())
def test_a_clean_line_is_one_line_without_controls(text):
    assert all(letter.isprintable() for letter in clean(text))
