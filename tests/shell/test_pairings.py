"""New burrs, a new grinder, a new bag, two benches: what is in use, and what is kept of what was there before."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

SETTINGS = ("--dose", "18", "--temp", "93", "--score", "6")


@pytest.fixture
def pulled(bench):
    """A bench with four shots on its first burrs, the grind moved twice, one shot taken back."""
    for grind in ("20", "18", "18", "17", "10"):
        bench("shot", "--grind", grind, *SETTINGS)
    bench("undo")
    return bench


def test_one_act_closes_a_set_and_opens_another(pulled):
    done = pulled("grinder", "bench grinder", "--burrs", "set 2")
    assert done.status == 0, done.err
    lines = done.out.splitlines()
    assert lines[0] == (
        "Closed the burrs set 1 of bench grinder after about 76 g by 4 shots logged (72 g dosed, 4 g purged), and "
        "opened set 2."
    )
    assert lines[1].startswith("Unplug")
    assert "pairing 2, harbour fog on bench grinder" in done.out
    assert "Kept     from pairing 1 (harbour fog on bench grinder, set 1, 4 shots): the best cup's" in done.out
    assert "which grind gives which time (a little)" in done.out
    assert "dialopt next" in lines[-1]
    kit = pulled("kit", "--json").json["data"]
    assert (kit["pairing"]["id"], kit["pairing"]["grinder"]["burrs"]) == (2, "set 2")
    (grinder,) = kit["grinders"]
    assert [(one["burrs"], one["shots"], one["ground_g"]) for one in grinder["burr_sets"]] == [
        ("set 2", 0, 0.0),
        ("set 1", 4, 76.0),
    ]
    text = pulled("kit").out
    assert "Burrs    set 2, in use: no shot logged" in text
    assert "Burrs    set 1, closed: about 76 g" in text


def test_the_pairing_keeps_its_ratio_and_drink(pulled):
    pulled("pairing", "--amend", "--ratio", "2.4", "--drink", "milk")
    made = pulled("grinder", "bench grinder", "--burrs", "set 2", "--json").json["data"]["pairing"]
    assert (made["ratio"], made["drink"], made["shots"]) == (2.4, "milk", 0)


@pytest.mark.usefixtures("engine")
def test_next_says_what_was_kept_until_the_new_burrs_have_shots_of_their_own(pulled):
    assert pulled("next", "--json").json["data"]["carried"] is None
    pulled("grinder", "bench grinder", "--burrs", "set 2")
    told = pulled("next")
    assert "going by 1 earlier pairing" in told.out
    assert "Kept     from pairing 1" in told.out
    assert "About 9 shots left" in told.out, "the bag is the same, and four doses are gone"
    carried = pulled("next", "--json").json["data"]["carried"]
    assert (carried["pairing"], carried["burrs"], carried["shots"]) == (1, "set 1", 4)
    trust = {part["part"]: part["trust"] for part in carried["parts"]}
    assert (trust["best_time"], trust["clock"]) == ("nearly whole", "a little")
    for _ in range(3):
        pulled("shot", "--grind", "15", *SETTINGS)
    assert "Kept" not in pulled("next").out


def test_burrs_put_back_take_up_their_pairing_again(pulled):
    pulled("grinder", "bench grinder", "--burrs", "set 2")
    done = pulled("grinder", "bench grinder", "--burrs", "set 1")
    assert "Closed the burrs set 2 of bench grinder before any shot was logged, and took up set 1 again." in done.out
    assert pulled("kit", "--json").json["data"]["pairing"]["id"] == 1
    assert len(pulled("shots", "--json").json["data"]["shots"]) == 4


def test_the_same_burrs_again_are_no_change(pulled):
    done = pulled("grinder", "bench grinder", "--burrs", "set 1", "--purge-g", "3")
    assert "Set up the grinder" in done.out
    assert len(pulled("pairings", "--json").json["data"]["pairings"]) == 1


def test_burrs_of_a_grinder_that_is_not_in_use(pulled):
    pulled("grinder", "other", "--grind", "0:10:1", "--finer", "up")
    done = pulled("grinder", "other", "--burrs", "set 2", "--json").json
    assert done["data"]["pairing"] is None
    assert "dialopt pairing" in done["next_step"]
    assert pulled("kit", "--json").json["data"]["pairing"]["id"] == 1


def test_burrs_before_any_pairing(run):
    run("grinder", "bench grinder", "--grind", "0:40:1", "--finer", "down")
    done = run("grinder", "bench grinder", "--burrs", "set 2")
    assert done.status == 0
    assert "dialopt machine" in done.out.splitlines()[-1]


def test_what_a_new_bag_and_a_new_grinder_keep(pulled):
    pulled("bean", "attic light")
    bag = pulled("pairing")
    assert "which grind gives which time and what a step of grind does (nearly whole)" in bag.out
    assert "the best cup's time, dose and temperature (a little)" in bag.out
    pulled("grinder", "other", "--grind", "0:10:1", "--finer", "up")
    grinder = pulled("pairing", "--bean", "harbour fog", "--json").json["data"]["carried"]
    trust = {part["part"]: part["trust"] for part in grinder["parts"]}
    assert (trust["best_time"], trust["clock"], trust["step"]) == ("nearly whole", "not at all", "not at all")


def test_a_first_pairing_keeps_nothing(bench):
    assert "Kept" not in bench("pairing").out


def test_new_water_goes_on_with_the_bag_in_use(pulled):
    pulled("pairing", "--amend", "--ratio", "2.4")
    pulled("bean", "attic light")
    done = pulled("pairing", "--water", "soft, filtered")
    assert "pairing 2, harbour fog on bench grinder" in done.out
    assert "ratio 1:2.4, straight, water: soft, filtered." in done.out
    assert "the best cup's time, dose and temperature and your palate (about half)" in done.out
    next_bag = pulled("pairing", "--bean", "attic light", "--json").json["data"]["pairing"]
    assert (next_bag["bean"]["name"], next_bag["water"]) == ("attic light", "soft, filtered")
    assert pulled("pairing", "--water", " ").status == 4


def test_a_pairing_with_burrs_that_are_closed_is_minded(pulled):
    assert "Mind" not in pulled("use", "1").out
    pulled("grinder", "bench grinder", "--burrs", "set 2")
    assert "this is a pairing with the burrs set 1; bench grinder has set 2 in it now" in pulled("use", "1").out
    assert "Mind" not in pulled("use", "2").out


def test_burrs_are_known_whatever_their_case(pulled):
    done = pulled("grinder", "bench grinder", "--burrs", "Set 1")
    assert "Set up the grinder" in done.out
    pulled("grinder", "bench grinder", "--burrs", "set 2")
    pulled("grinder", "bench grinder", "--burrs", " SET 1")
    (grinder,) = pulled("kit", "--json").json["data"]["grinders"]
    assert [one["burrs"] for one in grinder["burr_sets"]] == ["set 1", "set 2"]


def test_kit_and_beans_are_told_apart_by_their_names_whatever_the_case(pulled):
    pulled("bean", "Harbour Fog")
    pulled("machine", "BENCH MACHINE", "--temp", "88:96:1")
    pulled("shot", "--temp", "90", "--dose", "17", "--grind", "17")
    made = pulled("pairing", "--json").json["data"]["pairing"]
    assert (made["id"], made["bean"]["name"], made["machine"]["name"]) == (2, "Harbour Fog", "BENCH MACHINE")
    told = pulled("next")
    assert "which was of" not in told.out
    assert "is still in the grinder" not in told.out
    data = pulled("next", "--json").json["data"]
    assert data["recipe"]["temp_c"] != 90
    assert data["change"]["temp_c"] == data["recipe"]["temp_c"] - 90


def test_every_word_on_closed_burrs_says_so(pulled):
    pulled("grinder", "bench grinder", "--burrs", "set 2")
    mind = "  Mind     this is a pairing with the burrs set 1; bench grinder has set 2 in it now"
    assert mind not in pulled("next").out
    for words in (("use", "1"), ("next",), ("shot", "--grind", "15", *SETTINGS)):
        said = pulled(*words).out
        assert mind in said
        assert "`dialopt pairing --bean 'harbour fog' --grinder 'bench grinder'` goes on with these" in said
    assert mind in pulled("sitting", typed="stop\n").out
    pulled("pairing", "--bean", "harbour fog")
    for words in (("next",), ("shot", "--grind", "15", *SETTINGS)):
        assert "Mind     this is a pairing with the burrs" not in pulled(*words).out


def test_new_water_says_when_the_burrs_are_others_by_now(pulled):
    pulled("grinder", "bench grinder", "--burrs", "set 2")
    mind = "Mind     it goes by the burrs that are in bench grinder now, set 2; pairing 1 was on set 1"
    assert mind not in pulled("pairing", "--water", "spring").out
    pulled("use", "1")
    assert mind in pulled("pairing", "--water", "bottle").out
    pulled("use", "1")
    assert "it goes by the burrs" not in pulled("pairing", "--amend", "--drink", "milk").out


def test_pairings_that_only_burrs_or_bags_set_apart_are_told_apart(pulled):
    pulled("grinder", "bench grinder", "--burrs", "set 2")
    pulled("shot", "--grind", "14", *SETTINGS)
    day = date.today() - timedelta(days=9)
    pulled("bean", "harbour fog", "--roasted-on", str(day))
    pulled("pairing")
    pulled("shot", "--grind", "14", *SETTINGS)
    pulled("bean", "another bean")
    pulled("pairing")
    said = pulled("pairings").out
    assert "another bean on bench grinder (bench machine, bench basket), ratio 1:2, straight, set 2, 0 shots" in said
    assert f"straight, set 2, roasted {day}, 1 shot" in said
    assert "straight, set 2, not known when roasted, 1 shot" in said
    assert "straight, set 1, 4 shots" in said


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
