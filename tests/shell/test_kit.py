from __future__ import annotations

from datetime import date, timedelta

import pytest


@pytest.mark.parametrize("grind", ["0:40", "40:0:1", "0:40:0", "0:40:-1", "a:b:c", "", "0:nan:1", "0:inf:1", "1:2:3:4"])
def test_a_dial_that_is_none_is_refused_and_nothing_kept(run, grind):
    done = run("grinder", "bench grinder", "--grind", grind, "--finer", "down", "--json")
    assert done.status == 4, done.out
    assert done.json["error"]["field"].startswith("grind")
    assert run("kit", "--json").json["data"]["grinders"] == []


def test_a_machine_that_cannot_be_set(run):
    done = run("machine", "plain machine", "--temp", "93", "--json")
    dial = done.json["data"]["machine"]["temp_c"]
    assert (dial["low"], dial["high"]) == (93, 93)
    assert "93 °C only" in run("kit").out


def test_a_word_on_the_burrs(run):
    done = run("grinder", "bench grinder", "--grind", "0:40:1", "--finer", "down")
    assert "Unplug" in done.out


def test_finer_is_down_or_up(run):
    done = run("grinder", "bench grinder", "--grind", "0:40:1", "--finer", "sideways", "--json")
    assert done.status == 4
    assert done.json["error"]["accepted"] == "one of down, up"


def test_a_roasting_date_ahead_is_likely_a_best_before_date(run):
    ahead = (date.today() + timedelta(days=90)).isoformat()
    done = run("bean", "harbour fog", "--roasted-on", ahead)
    assert done.status == 4
    assert "best-before" in done.err
    other = run("bean", "harbour fog", "--roasted-on", "9 April")
    assert other.status == 4
    assert "year-month-day" in other.err


def test_what_is_known_of_a_bean_stays(run):
    run("bean", "harbour fog", "--roaster", "the shed", "--bag-g", "200")
    day = (date.today() - timedelta(days=9)).isoformat()
    bean = run("bean", "Harbour Fog", "--roasted-on", day, "--json").json["data"]["bean"]
    assert (bean["roaster"], bean["bag_g"], bean["roasted_on"]) == ("the shed", 200.0, day)


def test_a_pairing_without_kit_says_what_is_missing(run):
    run("bean", "harbour fog")
    done = run("pairing")
    assert done.status == 3
    assert "no grinder" in done.err
    assert "dialopt grinder" in done.err


def test_the_pairing_is_remembered_and_switched(bench):
    bench("bean", "attic light")
    made = bench("pairing", "--ratio", "2.5", "--drink", "milk", "--json").json["data"]["pairing"]
    assert (made["id"], made["ratio"], made["drink"]) == (2, 2.5, "milk")
    assert made["bean"]["name"] == "attic light"
    assert bench("use", "harbour fog", "--json").json["data"]["pairing"]["id"] == 1
    listed = bench("pairings", "--json").json["data"]
    assert listed["in_use"] == 1
    assert {kept["id"] for kept in listed["pairings"]} == {1, 2}
    assert bench("pairing", "--bean", "nobody's").status == 3


@pytest.mark.usefixtures("engine")
def test_what_counts_and_how_many_bags_will_follow(bench):
    made = bench("pairing", "--amend", "--counts", "recipe", "--bags-to-come", "3")
    assert "only the final recipe counts, 3 more bags to come" in made.out
    bench("shot", "--grind", "22", "--dose", "18", "--temp", "93", "--time", "17", "--score", "5", "--balance", "-2")
    told = bench("next", "--json").json["data"]
    assert (told["counts"], told["most_moves"]) == ("recipe", 3)
    once = bench("next", "--counts", "cups", "--most-moves", "2", "--json").json["data"]
    assert (once["counts"], once["most_moves"]) == ("cups", 2)
    bench("bean", "attic light")
    other = bench("pairing", "--json").json["data"]["pairing"]
    assert (other["counts"], other["bags_to_come"]) == ("recipe", 0), (
        "of another bean nobody said that more will follow"
    )
    for option, wrong, accepted in (("--counts", "sips", "one of cups, recipe"), ("--most-moves", "5", "from 1 to 4")):
        refused = bench("next", option, wrong)
        assert refused.status == 4
        assert accepted in refused.err
    assert bench("pairing", "--bags-to-come", "-1").status == 4


def test_a_new_bag_that_tells_no_roasting_date(bench):
    bench("shot", "--grind", "18", "--dose", "18", "--temp", "93", "--score", "6")
    assert bench("bean", "harbour fog", "--opened-on", "2999-04-09").status == 4
    opened = bench("bean", "harbour fog", "--opened-on", "2024-04-09")
    assert "opened on 2024-04-09" in opened.out
    assert "`dialopt pairing` starts a new bag with this one" in opened.out.splitlines()[-1]
    made = bench("pairing", "--json").json["data"]
    assert (made["pairing"]["id"], made["pairing"]["shots"]) == (2, 0)
    assert {part["trust"] for part in made["carried"]["parts"]} == {"nearly whole", "about half"}


def test_a_mistyped_dial_is_mended_and_the_shots_stay(bench):
    bench("shot", "--grind", "18", "--dose", "18", "--temp", "93", "--score", "6")
    changed = bench("grinder", "bench grinder", "--grind", "0:60:1", "--finer", "down")
    assert "pairing --amend" in changed.out
    amended = bench("pairing", "--amend", "--json").json["data"]["pairing"]
    assert (amended["id"], amended["shots"], amended["grinder"]["grind"]["high"]) == (1, 1, 60.0)


def test_a_name_cannot_steer_the_terminal(run):
    assert run("bean", "harbour\x1b[2J").status == 4
    turned = "harbour ‮gof"
    assert run("bean", turned).status == 0
    assert "‮" not in run("kit").out
    assert "\x1b" not in run("use", "\x1b[2J").err


def test_fahrenheit_is_recognised_on_the_dial_too(run):
    done = run("machine", "bench machine", "--temp", "190:205:1")
    assert done.status == 4
    assert "°F" in done.err


def test_a_dial_the_wrong_way_round_points_to_finer(run):
    assert "--finer" in run("grinder", "bench grinder", "--grind", "40:0:1", "--finer", "down").err


def test_a_ratio_as_it_is_said(bench):
    assert bench("pairing", "--ratio", "1:2.5", "--json").json["data"]["pairing"]["ratio"] == 2.5


def test_a_name_in_other_letters_of_the_same_kind_is_the_same(bench):
    # The logbook takes full-width letters for the plain ones, and so does what is said next.
    done = bench("grinder", "\uff22ench grinder", "--grind", "0:60:1", "--finer", "down")
    assert "pairing 1 keeps the old version" in done.out


def test_new_burrs_leave_the_rest_of_a_known_grinder(bench):
    done = bench("grinder", "bench grinder", "--burrs", "set 2", "--json")
    assert done.status == 0
    made = done.json["data"]["grinder"]
    assert (made["burrs"], made["finer"], made["grind"]["high"]) == ("set 2", "down", 40.0)


def test_a_new_grinder_says_what_it_takes(run):
    for given in ((), ("--grind", "0:40:1"), ("--finer", "up")):
        done = run("grinder", "unknown", *given)
        assert done.status == 2
        assert "--grind LOW:HIGH:STEP and --finer down|up" in done.err


def test_a_later_roasting_day_is_another_bag(run):
    first, corrected, opened, later = ((date.today() - timedelta(days=days)).isoformat() for days in (40, 35, 30, 9))
    run("bean", "harbour fog", "--roasted-on", first, "--opened-on", opened)
    told = run("bean", "harbour fog", "--roasted-on", corrected, "--json").json["data"]["bean"]
    assert (told["roasted_on"], told["opened_on"]) == (corrected, opened)
    told = run("bean", "harbour fog", "--roasted-on", later, "--json").json["data"]["bean"]
    assert (told["roasted_on"], told["opened_on"]) == (later, None)


def test_a_ratio_that_is_not_the_roaster_s_is_told(bench):
    bench("bean", "harbour fog", "--suggested", "18 g in, 40 g out")
    said = bench("pairing", "--amend").out
    assert "Mind     it stays at 1:2, while the roaster suggests 1:2.22" in said
    assert "`dialopt pairing --amend --ratio 2.22` takes that over" in said
    for words in (("--ratio", "2"), ("--ratio", "2.22"), ()):
        assert "it stays at" not in bench("pairing", "--amend", *words).out
    bench("bean", "harbour fog", "--suggested", "93 °C")
    assert "it stays at" not in bench("pairing", "--amend").out, "nothing is suggested any more"


def test_a_new_bag_is_drunk_as_the_one_in_use(bench):
    bench("pairing", "--amend", "--drink", "milk")
    bench("bean", "attic light")
    assert "milk" in bench("pairing").out
    assert "straight" in bench("pairing", "--drink", "straight").out


def test_a_bean_almost_called_as_a_known_one_is_set_up_and_told(bench):
    said = bench("bean", "harbuor fog").out
    assert said.startswith("Set up the bean harbuor fog")
    mend = "`dialopt pairing --bean 'harbour fog'` takes that one"
    assert f"Mind     it is new, and almost called as the bean harbour fog; if that was meant, {mend}" in said
    assert "almost" not in bench("bean", "harbuor fog", "--roast", "dark").out, "known by now"
    for kind, rest in (("machine", ("--temp", "90:95:1")), ("basket", ("--dose", "16:20:0.1"))):
        assert f"almost called as the {kind} bench {kind}" in bench(kind, f"bench {kind}s", *rest).out


def test_a_misspelt_grinder_is_pointed_to(bench):
    done = bench("grinder", "bench griner", "--burrs", "set 2")
    assert done.status == 2
    assert "if bench grinder was meant: `dialopt grinder 'bench grinder'`" in done.err.replace("If", "if")
    made = bench("grinder", "bench griner", "--grind", "0:10:1", "--finer", "up").out
    assert "almost called as the grinder bench grinder" in made
