"""Several pairings on one page, by command."""

from __future__ import annotations

import json

import pytest

SHOT = ("shot", "--dose", "18", "--temp", "93", "--yield", "36")


@pytest.fixture
def shelf(bench):
    """Pairings 1 and 3 on the bench grinder, 2 of the first bean on another, 4 with nothing in common; 3 in use."""
    bench(*SHOT, "--grind", "18", "--time", "27", "--score", "6.5")
    bench("grinder", "hand grinder", "--grind", "10:60:1", "--finer", "down")
    bench("pairing")
    bench(*SHOT, "--grind", "30", "--time", "30", "--score", "6")
    bench("bean", "quay dusk")
    bench("pairing")
    bench(*SHOT, "--grind", "30", "--time", "24", "--score", "7")
    bench("pairing", "--bean", "quay dusk", "--grinder", "bench grinder")
    return bench


@pytest.mark.usefixtures("engine")
@pytest.mark.slow
def test_all_that_have_to_do_with_the_one_in_use_go_on_a_page(shelf, tmp_path):
    out = tmp_path / "page.html"
    out.write_text("another file")
    told = shelf.data("side-by-side", "--out", str(out), "--replace")
    assert told["file"] == str(out)
    assert [(one["letter"], one["id"], one["label"], one["shots"]) for one in told["pairings"]] == [
        ("A", 1, "harbour fog, bench grinder", 1),
        ("B", 3, "quay dusk, hand grinder", 1),
        ("C", 4, "quay dusk, bench grinder", 0),
    ]
    chances = [one["chance_best"] for one in told["pairings"]]
    assert chances[2] is None
    assert sum(chances[:2]) == pytest.approx(1)
    assert told["pairings"][0]["grinder_independent"]["ratio"] == 2
    page = out.read_text(encoding="utf-8")
    assert "3 pairings side by side" in page
    assert "Not tasted yet: C" in page
    assert "set 1, about 18 g by 1 shot logged" in page.replace("\u00a0", " ")


@pytest.mark.usefixtures("engine")
@pytest.mark.slow
def test_those_that_are_named_go_on_it_one_alone_beside_the_one_in_use(shelf, tmp_path):
    out = tmp_path / "page.html"
    done = shelf("side-by-side", "2", "1", "--out", str(out))
    assert done.status == 0, done.err
    lines = done.out.splitlines()
    assert lines[0] == f"Wrote 2 pairings side by side to {out}."
    assert lines[1].startswith("  A        pairing 2, hand grinder: ")
    assert lines[2].startswith("  B        pairing 1, bench grinder: ")
    assert "chance is" in lines[3]
    assert lines[4].startswith("Next: open it in a browser")
    alone = shelf.data("side-by-side", "2", "--out", str(out))["pairings"]
    assert [one["id"] for one in alone] == [4, 2]


def test_what_cannot_be_put_side_by_side_is_said_and_nothing_is_written(bench, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    alone = bench("side-by-side")
    assert alone.status == 3
    assert "No other pairing with shots shares the bean or the grinder of harbour fog on bench grinder" in alone.err
    assert "dialopt pairings" in alone.err
    assert bench("side-by-side", "1").status == 2
    assert "named twice" in bench("side-by-side", "1", "1").err
    assert bench("side-by-side", "7").status == 3
    assert bench("side-by-side", "--out", str(tmp_path / "no" / "page.html")).status == 4
    for number in range(8):
        bench("bean", f"bag {number}")
        bench("pairing")
    many = bench("side-by-side", *(str(number) for number in range(1, 10)))
    assert many.status == 2
    assert "9 pairings are too many for one page; name up to 8." in many.err
    assert not list(tmp_path.glob("*.html"))


@pytest.mark.usefixtures("engine")
@pytest.mark.slow
def test_scores_of_several_people_come_with_a_word_on_that(shelf, tmp_path):
    alone = shelf("side-by-side", "2", "1", "--out", str(tmp_path / "a.html"))
    assert "Scores compare only" not in alone.out
    sent = tmp_path / "sent.json"
    shelf("use", "1")
    assert shelf("share", str(sent)).status == 0
    told = json.loads(sent.read_text(encoding="utf-8"))
    for shot in told["case"]["shots"]:
        shot["score"] = 4
    sent.write_text(json.dumps({**told, "hash": None}), encoding="utf-8")
    assert shelf("receive", str(sent), "--from", "Ada").status == 0
    both = shelf("side-by-side", "1", "5", "--out", str(tmp_path / "b.html"))
    assert both.status == 0, both.err
    assert "Scores compare only where one person gave them all" in both.out
