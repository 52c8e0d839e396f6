from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from dialopt.logbook.spreadsheet import guarded, unguarded

TEXTS = st.text() | st.text(alphabet="'=+-@ \t\r\nx＝")


@given(TEXTS)
def test_unguarding_undoes_guarding(text):
    assert unguarded(guarded(text)) == text


@given(TEXTS)
def test_nothing_guarded_can_be_run(text):
    assert not guarded(text).lstrip().startswith(tuple("=+-@＝＋－＠"))
    assert not guarded(text).startswith(("\t", "\r"))


def test_plain_text_and_its_apostrophes_are_left_alone():
    assert guarded("sweet, 50 % more = better") == "sweet, 50 % more = better"
    assert unguarded("'t was sweet") == "'t was sweet"
    assert unguarded("'=SUM(A1)") == "=SUM(A1)"
