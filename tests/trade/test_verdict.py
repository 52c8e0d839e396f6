from __future__ import annotations

import pytest

from dialopt import BadValue, Verdict


@pytest.mark.parametrize(
    ("values", "message"),
    [
        ({"one": 1, "other": 1, "says": "same"}, "other can't be 1; it takes the place of another cup than the one"),
        ({"one": -1, "other": 1, "says": "same"}, "one can't be -1"),
        ({"one": 0, "other": 1, "says": "nicer"}, "says can't be 'nicer'; it takes one of better, same"),
    ],
)
def test_what_is_no_verdict_is_named(values: dict[str, object], message: str) -> None:
    with pytest.raises(BadValue) as refused:
        Verdict(**values)  # type: ignore[arg-type]
    assert str(refused.value).startswith(message)
