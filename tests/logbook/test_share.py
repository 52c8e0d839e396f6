from __future__ import annotations

import time

import pytest

from dialopt.errors import Refused
from dialopt.logbook.share import share_from_text


def test_reading_takes_no_longer_than_the_file_is_long():
    # A page of beginnings without an end once took the square of its length: 17 s for 8,000 of them.
    hostile = '<script type="application/json" id="data">' * 100_000
    start = time.perf_counter()
    with pytest.raises(Refused, match="isn't whole"):
        share_from_text(hostile, "sent.html")
    assert time.perf_counter() - start < 5
