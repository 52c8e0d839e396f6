"""Two grinders, two baskets and one machine: what is left out is what is in use."""

from __future__ import annotations

import pytest


@pytest.fixture
def bar(bench):
    """A second grinder and basket beside the bench's, each in use with a bag; the bench's bag is in use again."""
    bench("shot", "--grind", "18", "--dose", "18", "--temp", "93", "--time", "27", "--score", "7")
    bench("grinder", "small mill", "--grind", "1:9:0.1", "--finer", "down")
    bench("basket", "wide basket", "--dose", "18:22:0.1")
    bench("bean", "Pier Mist", "--bag-g", "1000")
    bench("pairing")
    bench("shot", "--grind", "4", "--dose", "19", "--temp", "90", "--time", "27", "--score", "8")
    bench("use", "1")
    return bench


def parts(done):
    made = done.json["data"]["pairing"]
    return made["bean"]["name"], made["grinder"]["name"], made["basket"]["name"]


def test_a_new_bag_stays_on_the_grinder_in_use(bar):
    bar("bean", "harbour fog", "--bag-g", "500")
    assert parts(bar("pairing", "--json")) == ("harbour fog", "bench grinder", "bench basket")
    assert bar("pairings", "--json").json["data"]["in_use"] == 3


def test_kit_that_is_new_is_taken(bar):
    bar("grinder", "third mill", "--grind", "0:10:1", "--finer", "up")
    assert parts(bar("pairing", "--json")) == ("harbour fog", "third mill", "bench basket")
    assert parts(bar("pairing", "--grinder", "small mill", "--json")) == ("harbour fog", "small mill", "bench basket")


def test_going_on_with_new_burrs_stays_on_that_grinder(bar):
    bar("grinder", "bench grinder", "--burrs", "set 2")
    bar("grinder", "small mill", "--purge-g", "1")
    bar("use", "1")
    assert parts(bar("pairing", "--bean", "harbour fog", "--json")) == ("harbour fog", "bench grinder", "bench basket")


def test_new_burrs_in_the_other_grinder_name_the_bags_that_went_through_it(bar):
    bar("bean", "Pier Mist")
    bar("pairing", "--bean", "Pier Mist", "--grinder", "bench grinder")
    bar("use", "2")
    done = bar("grinder", "bench grinder", "--burrs", "set 2").out
    on = "--grinder 'bench grinder'` goes on with them"
    assert f"Next: `dialopt pairing --bean 'harbour fog' {on}" in done, "the bag that was logged last"
    assert f"  Then     `dialopt pairing --bean 'Pier Mist' {on}, one bag of several" in done
    bar("pairing", "--bean", "Pier Mist", "--grinder", "bench grinder")
    kept = bar("pairings", "--json").json["data"]
    (here,) = (one for one in kept["pairings"] if one["id"] == kept["in_use"])
    assert here["grinder"]["burrs"] == "set 2"


def test_an_amendment_says_what_it_changed_and_leaves_the_burrs(bar):
    bar("grinder", "bench grinder", "--burrs", "set 2")
    bar("use", "1")
    bar("bean", "harbour fog", "--species", "arabica")
    amended = bar("pairing", "--amend")
    told = [line.strip() for line in amended.out.splitlines() if line.startswith(("  was", "  now"))]
    assert told == ["was      harbour fog", "now      harbour fog, arabica"]
    sets = bar("kit", "--json").json["data"]["grinders"]
    (mill,) = (grinder for grinder in sets if grinder["name"] == "bench grinder")
    assert mill["burrs"] == "set 2"
    assert [(one["burrs"], one["shots"]) for one in mill["burr_sets"]] == [("set 2", 0), ("set 1", 1)]


def test_the_water_stands_where_the_machine_left_it_and_the_grind_where_the_grinder_did(bar):
    said = bar("next", "--json").json["data"]
    assert said["change"]["from_pairing"] == 1
    assert said["change"]["temp_c"] == pytest.approx(said["recipe"]["temp_c"] - 90)
    lines = bar("next").out.splitlines()
    (change,) = (line for line in lines if line.startswith("  Change"))
    assert "°C" not in change
    (water,) = (line for line in lines if line.startswith("  Water"))
    assert water.endswith("hotter than the machine's last shot, of Pier Mist")
    assert any(line.startswith("  Wait") for line in lines)
