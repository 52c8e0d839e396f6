from __future__ import annotations

from contextlib import suppress
from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dialopt.errors import BadValue
from dialopt.logbook.typed import check_setting, read_moment, read_number
from dialopt.trade.fields import NUMBER_COLUMNS


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


@pytest.mark.parametrize(
    ("field", "text", "accepted"),
    [
        ("score", "7/10", "a number from 0 to 10, in plain digits"),
        ("time_s", "0:27", "a number from 1 to 600 s, in plain digits"),
        ("balance", "sour", "a number from −3 to 3 (−3 very sour, 0 balanced, 3 very bitter), in plain digits"),
        ("temp_c", "hot", "a number from 20 to 110 °C, in plain digits"),
        ("grind", "fine", "a plain number such as 18.5 or 18,5"),
    ],
)
def test_what_is_no_number_is_told_its_field_s_own_range(field, text, accepted):
    with pytest.raises(BadValue) as caught:
        read_number(field, text)
    assert (caught.value.field, caught.value.accepted) == (field, accepted)


def test_every_number_of_a_shot_says_what_it_takes():
    for field in NUMBER_COLUMNS:
        with pytest.raises(BadValue, match=r"it takes a (plain )?number"):
            read_number(field, "x")


def test_a_moment_keeps_the_zone_that_it_was_given_with():
    assert read_moment("pulled_at", "2031-04-09") == datetime(2031, 4, 9)
    assert read_moment("pulled_at", " 2031-04-09T07:15 ").tzinfo is None
    assert read_moment("pulled_at", "2031-04-09T07:15+05:45").utcoffset() == timedelta(hours=5, minutes=45)
    with pytest.raises(BadValue, match="2031-04-09T07:15"):
        read_moment("pulled_at", "yesterday")


def test_a_setting_is_tried_alone():
    check_setting("temp_c", 93)
    with pytest.raises(BadValue, match="dose_g can't be 80"):
        check_setting("dose_g", 80)
