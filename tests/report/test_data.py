from __future__ import annotations

import json

from hypothesis import given
from hypothesis import strategies as st

from dialopt.report.data import harmless


@given(st.text())
def test_data_in_a_script_can_neither_end_it_nor_change(text: str) -> None:
    shown = harmless({"name": text + "</script><!--"})
    assert "<" not in shown
    assert json.loads(shown) == {"name": text + "</script><!--"}
