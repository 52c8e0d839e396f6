from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dialopt import BadValue, Dial

dials = st.builds(
    lambda low, step, count: Dial(low, round(low + step * count, 6), step),
    st.integers(-50, 200),
    st.sampled_from([0.01, 0.1, 0.25, 0.5, 1, 2, 3.5]),
    st.integers(0, 200),
)


@given(dials, st.floats(-1e4, 1e4))
def test_snapping_is_idempotent_and_lands_on_the_dial(dial: Dial, value: float) -> None:
    once = dial.snap(value)
    assert dial.snap(once) == once
    assert dial.offers(once)
    assert dial.low <= once <= dial.high


@given(dials)
def test_settings_are_all_different_and_counted(dial: Dial) -> None:
    settings = dial.settings()
    assert len(settings) == len(set(settings)) == dial.count
    assert settings[0] == dial.low
    assert settings[-1] == dial.high


@given(dials, st.integers(2, 50))
def test_thinning_keeps_the_ends_and_spreads_evenly(dial: Dial, most: int) -> None:
    thin = dial.thinned(most)
    assert len(thin) == min(dial.count, most)
    assert (thin[0], thin[-1]) == (dial.low, dial.high)
    gaps = [dial.steps_between(one, other) for one, other in itertools.pairwise(thin)]
    assert not gaps or max(gaps) - min(gaps) <= 1


def test_decimal_steps_stay_clean() -> None:
    assert Dial(16.5, 20, 0.1).settings()[7] == 17.2
    assert Dial(16.5, 20, 0.1).count == 36


def test_a_broken_last_step_ends_below() -> None:
    assert Dial(88, 96, 3).settings() == (88.0, 91.0, 94.0)
    assert Dial(88, 96, 3).high == 94.0


def test_one_setting_is_fixed() -> None:
    assert Dial(93, 93).fixed
    assert Dial(93, 93).snap(50) == 93


@pytest.mark.parametrize(
    ("low", "high", "step", "field"),
    [
        (2, 1, 1, "high"),
        (0, 1, 0, "step"),
        (0, 1, -1, "step"),
        (float("nan"), 1, 1, "low"),
        (0, float("inf"), 1, "high"),
        ("0", 1, 1, "low"),
        (True, 1, 1, "low"),
        (0, 1e9, 0.01, "step"),
    ],
)
def test_what_is_no_dial_is_refused_by_name(low: object, high: object, step: object, field: str) -> None:
    with pytest.raises(BadValue, match=f"^{field} can't be ") as caught:
        Dial(low, high, step)  # type: ignore[arg-type]
    assert caught.value.field == field
    assert caught.value.accepted


def test_steps_between_counts_as_the_numbers_run() -> None:
    assert Dial(0, 10, 0.5).steps_between(3, 1) == -4


@pytest.mark.parametrize("far", [1e9, -1e9, 1e300])
def test_a_value_far_off_a_dial_of_tiny_steps_is_nearest_to_its_end(far: float) -> None:
    for dial in (Dial(17, 17, 1e-300), Dial(0, 1e-296, 1e-300)):
        assert dial.snap(far) == (dial.high if far > 0 else dial.low)
        assert not dial.offers(far)


def test_a_step_too_small_to_tell_settings_apart_is_refused() -> None:
    with pytest.raises(BadValue, match="a step that tells one setting from the next"):
        Dial(1e8, 1e8 + 5e-7, 1e-7)
    assert len(set(Dial(999_999_980, 1e9, 0.001).settings())) == 20_001
