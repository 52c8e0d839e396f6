"""The range must hold what was measured in cups; each case names its source."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dialopt import BadValue, Recipe, Shot
from dialopt.trade.caffeine import (
    A_DAY_MG,
    AT_ONCE_MG,
    PREGNANT_A_DAY_MG,
    SOURCE,
    SPECIES,
    Caffeine,
    against,
    of_day,
    of_doses,
    of_sitting,
    standing,
)

MORNING = datetime(2031, 4, 9, 7, 0)


def pulled(minutes: float, dose_g: float = 18.0, species: str = "unknown") -> tuple[Shot, str]:
    recipe = Recipe(grind=18, dose_g=dose_g, temp_c=93)
    return Shot(recipe=recipe, pulled_at=MORNING + timedelta(minutes=minutes)), species


# Olechno 2021, Foods 10:1208, tables 1 and 2 (read): 14 g of Arabica to 30 mL at 4.100 g/L, 18 g to 18 mL at 4.200 g/L;
# 7 g of Robusta to 46 mL at 2.533 g/L. Milligrams are computed from these.
@pytest.mark.parametrize(
    ("dose_g", "species", "in_cup_mg"),
    [(14, "arabica", 123.0), (18, "arabica", 75.6), (7, "robusta", 116.5)],
)
def test_the_range_holds_what_was_measured(dose_g: float, species: str, in_cup_mg: float) -> None:
    for said in (species, "unknown"):
        amount = of_doses([dose_g], said)
        assert amount.low_mg <= in_cup_mg <= amount.high_mg


def test_the_arithmetic_by_hand() -> None:
    # 2 × 18 g: half of 8 mg/g at the least, 14 mg/g at the most (memory).
    two = of_doses([18, 18], "Arabica")
    assert (two.shots, two.low_mg, two.high_mg) == (2, 144.0, 504.0)


@given(st.lists(st.floats(1, 60), max_size=8), st.floats(1, 60))
def test_more_coffee_is_never_less_caffeine(doses: list[float], another: float) -> None:
    for species in ("arabica", "robusta", "blend", "unknown"):
        less, more = of_doses(doses, species), of_doses([*doses, another], species)
        assert less.low_mg < more.low_mg < more.high_mg
        assert less.high_mg < more.high_mg
    unknown = of_doses(doses)
    assert unknown.low_mg <= of_doses(doses, "robusta").low_mg
    assert unknown.high_mg >= of_doses(doses, "arabica").high_mg


def test_a_species_is_one_of_a_few() -> None:
    with pytest.raises(BadValue, match="arabica, robusta, blend, decaf, unknown"):
        of_doses([18], "liberica")
    assert SPECIES == ("arabica", "robusta", "blend", "decaf")


def test_a_decaffeinated_shot_holds_next_to_nothing() -> None:
    # Up to a tenth of a percent of 18 g (memory).
    assert (of_doses([18], "decaf").low_mg, of_doses([18], "decaf").high_mg) == (0.0, 18.0)


def test_each_shot_counts_by_what_it_was_pulled_from() -> None:
    log = [pulled(0, species="decaf"), pulled(5, species="arabica"), pulled(10, species="decaf")]
    for amount in (of_day(log, MORNING.date()), of_sitting(log, MORNING + timedelta(minutes=11))):
        assert (amount.shots, amount.low_mg, amount.high_mg) == (3, 72.0, 252.0 + 36.0)
        assert amount.species == ("arabica", "decaf")


def test_a_day_is_the_kitchen_s() -> None:
    undated = Shot(recipe=Recipe(grind=18, dose_g=18, temp_c=93)), "unknown"
    shots = [pulled(-8 * 60), pulled(0), pulled(10), undated]
    assert of_day(shots, date(2031, 4, 9)).shots == 2
    assert of_day(shots, date(2031, 4, 8)).shots == 1
    assert of_day(shots, date(2031, 4, 7)).shots == 0
    noon_here = datetime(2031, 4, 9, 12).astimezone().astimezone(UTC)
    with_zone = Shot(recipe=Recipe(grind=18, dose_g=18, temp_c=93), pulled_at=noon_here)
    assert of_day([(with_zone, "unknown"), pulled(0)], date(2031, 4, 9)).shots == 2


@pytest.mark.parametrize(("now", "shots"), [(20, 3), (139, 3), (141, 0), (10, 3)])
def test_a_sitting_ends_with_two_hours_without_a_shot(now: float, shots: int) -> None:
    log = [pulled(-300), pulled(10), pulled(0), pulled(20)]
    assert of_sitting(log, MORNING + timedelta(minutes=now)).shots == shots


@pytest.mark.parametrize(("ahead", "shots"), [(24 * 60, 2), (110, 3)])
def test_a_shot_dated_ahead_hides_no_sitting(ahead: float, shots: int) -> None:
    assert of_sitting([pulled(0), pulled(-60), pulled(ahead)], MORNING + timedelta(minutes=20)).shots == shots


def test_a_sitting_goes_on_past_midnight() -> None:
    night = [pulled(16 * 60 + 55), pulled(17 * 60 + 5)]
    now = MORNING + timedelta(hours=17, minutes=6)
    assert of_sitting(night, now).shots == 2
    assert of_day(night, now.date()).shots == 1


def test_both_ends_of_the_range_are_held_against_a_limit() -> None:
    amount = Caffeine(shots=2, low_mg=150, high_mg=400)
    assert [against(amount, limit) for limit in (149, 150, 399, 400)] == ["past", "maybe past", "maybe past", "below"]


def test_the_limits_are_those_of_efsa_2015() -> None:
    # EFSA Journal 2015;13(5):4102 (read): 200 mg at once, 400 mg a day; pregnancy 200 mg a day.
    assert (AT_ONCE_MG, A_DAY_MG, PREGNANT_A_DAY_MG) == (200, 400, 200)
    assert SOURCE == "EFSA Journal 2015;13(5):4102"


def _of(low: float, high: float) -> Caffeine:
    return Caffeine(shots=1, low_mg=low, high_mg=high)


@pytest.mark.parametrize(
    ("sitting", "day", "of", "state"),
    [
        (_of(50, 150), _of(50, 350), "day", "below"),
        (_of(50, 250), _of(50, 350), "sitting", "maybe past"),
        (_of(50, 250), _of(50, 450), "day", "maybe past"),
        (_of(210, 450), _of(300, 900), "sitting", "past"),
        (_of(50, 150), _of(410, 900), "day", "past"),
    ],
)
def test_the_worse_of_the_two_is_told_the_day_first(sitting: Caffeine, day: Caffeine, of: str, state: str) -> None:
    found = standing(sitting, day, pregnant=False)
    assert (found.of, found.state, found.limit_mg) == (of, state, 400 if of == "day" else 200)


@pytest.mark.parametrize(
    ("day", "state"), [(_of(50, 190), "below"), (_of(50, 250), "maybe past"), (_of(210, 450), "past")]
)
def test_in_pregnancy_the_day_alone_counts_and_sooner(day: Caffeine, state: str) -> None:
    for sitting in (day, _of(0, 10)):
        found = standing(sitting, day, pregnant=True)
        assert (found.of, found.state, found.limit_mg, found.pregnant) == ("day", state, 200, True)


@pytest.mark.parametrize("at", ["0001-01-01T00:00+23:59", "9999-12-31T23:59-23:59", "0001-01-01T00:00+00:00"])
def test_a_shot_at_an_end_of_the_calendar_is_counted_on_its_own_day(at: str) -> None:
    moment = datetime.fromisoformat(at)
    shot = Shot(recipe=Recipe(grind=18, dose_g=18, temp_c=93), pulled_at=moment)
    assert of_day([(shot, "unknown")], moment.date()).shots == 1
