from __future__ import annotations

import sqlite3
from contextlib import closing

import pytest

SHOT = ("shot", "--grind", "18", "--dose", "18", "--temp", "93", "--score")


@pytest.fixture
def copied(bench):
    bench(*SHOT, "7")
    bench("backup")
    bench(*SHOT, "8")
    return bench


def test_the_copies_are_listed(copied):
    done = copied("restore")
    assert done.status == 0
    first, copy, then = done.out.splitlines()
    assert first.endswith("is whole: 2 shots of 1 pairing, until " + first[-17:])
    assert "1 shot of 1 pairing" in copy
    assert "--replace" in then
    whole = copied("restore", "--json").json["data"]
    assert (whole["sound"], [one["shots"] for one in whole["copies"]]) == (True, [1])


def test_a_damaged_logbook_is_said_found_and_restored(copied, home):
    data = bytearray((home / "logbook.db").read_bytes())
    data[100:140] = bytes(40)
    (home / "logbook.db").write_bytes(data)
    for words in (("shots",), ("check",), (*SHOT, "5")):
        done = copied(*words)
        assert done.status == 5
        assert done.err.splitlines()[1].startswith("Next: `dialopt restore`")
    assert "latest" in copied("restore").out
    done = copied("restore", "latest", "--json")
    assert done.status == 0
    assert done.json["data"]["salvaged"] == {"shots": 1, "lost_rows": 0}
    assert [shot["score"] for shot in copied("shots", "--json").json["data"]["shots"]] == [7, 8]
    assert copied("check").status == 0


def test_a_single_value_that_changed_is_found_by_check(copied, home):
    data = (home / "logbook.db").read_bytes()
    note = data.index(b"bench machine")
    (home / "logbook.db").write_bytes(data[:note] + b"bench\xff" + data[note + 6 :])
    done = copied("check")
    assert done.status == 5
    assert "machines" in done.err


def test_what_cannot_be_restored_changes_nothing(copied, home):
    before = (home / "logbook.db").read_bytes()
    assert copied("restore", "no-such.db").status == 3
    done = copied("restore", "latest", "--json")
    assert (done.status, done.json["error"]["kind"]) == (4, "nothing_wrong")
    assert "--replace" in done.json["next_step"]
    assert (home / "logbook.db").read_bytes() == before
    (home / "logbook.db").write_bytes(b"")
    for copy in (home / "backups").iterdir():
        copy.unlink()
    assert "salvage" in copied("restore").out
    assert copied("restore", "latest").status == 3
    done = copied("restore", "salvage")
    assert (done.status, (home / "logbook.db").read_bytes()) == (4, b"")


def test_without_anything_to_restore(run):
    done = run("restore")
    assert done.status == 0
    assert "There is no logbook" in done.out
    assert "dialopt grinder" in done.out


def test_it_says_when_nothing_could_be_taken_from_the_damaged_file(copied, home):
    (home / "logbook.db").write_bytes(b"\xa5" * 8192)
    done = copied("restore", "latest")
    assert done.status == 0, done.err
    assert "  Lost     nothing could be taken from the damaged file" in done.out
    again = copied("restore", "latest", "--replace")
    assert again.status == 0
    assert "Lost" not in again.out


def test_through_a_link_the_file_that_it_leads_to_is_restored(copied, home, tmp_path):
    real = tmp_path / "elsewhere" / "coffee.db"
    real.parent.mkdir()
    (home / "logbook.db").replace(real)
    real.write_bytes(b"\xa5" * 8192)
    (home / "logbook.db").symlink_to(real)
    done = copied("restore", "latest", "--json")
    assert done.status == 0, done.out
    assert (home / "logbook.db").is_symlink()
    assert real.read_bytes().startswith(b"SQLite")
    assert [shot["score"] for shot in copied("shots", "--json").json["data"]["shots"]] == [7]
    assert copied("restore", "latest", "--replace").status == 0
    assert len(copied("restore", "--json").json["data"]["copies"]) == 2, "the whole one is kept where copies are listed"


@pytest.mark.parametrize("name", ["x" * 300, "a\0b", ""], ids=["long", "NUL", "empty"])
def test_a_copy_whose_name_no_file_can_have_is_not_found(copied, name):
    done = copied("restore", name)
    assert done.status == 3
    assert "There is no copy" in done.err


def test_there_is_nothing_to_salvage_from_a_whole_logbook(copied, home):
    plain = copied("restore", "salvage")
    assert plain.status == 4
    assert "is whole" in plain.err
    assert "--replace" not in plain.err
    for name in ("whole", "gone"):
        if name == "gone":
            (home / "logbook.db").unlink()
        done = copied("restore", "salvage", "--replace")
        assert (done.status, "There is no damaged logbook to build from" in done.err) == (4, True)


def test_without_a_copy_a_whole_logbook_is_not_sent_to_salvage(bench):
    done = bench("restore", "latest")
    assert done.status == 3
    assert "`dialopt backup`" in done.err


def test_a_file_in_the_place_of_the_copies_is_named(bench, home):
    (home / "backups").write_text("mine")
    done = bench("backup")
    assert done.status == 5
    assert f"{home / 'backups'} is in the way" in done.err
    assert (home / "backups").read_text() == "mine"


def test_shots_that_lost_their_bean_are_told_apart_from_those_that_are_there(copied, home):
    copied("bean", "quay dusk")
    copied("pairing")
    for score in ("5", "6"):
        copied(*SHOT, score)
    with closing(sqlite3.connect(home / "logbook.db")) as db:
        (page,) = db.execute("SELECT rootpage FROM sqlite_schema WHERE name = 'beans'").fetchone()
    data = bytearray((home / "logbook.db").read_bytes())
    data[(page - 1) * 4096 : page * 4096] = bytes(4096)
    (home / "logbook.db").write_bytes(data)
    done = copied("restore", "latest")
    assert done.status == 0, done.err
    first, saved, *_ = done.out.splitlines()
    assert "2 shots of 1 pairing, until " in first
    assert first.endswith("; 2 more shots lost their bean or kit and can't be listed.")
    assert saved == "  Saved    1 entry of shots that only the damaged file held"
    assert copied("pairings", "--json").json["data"]["pairings"][0]["shots"] == 2
    (home / "logbook.db").write_bytes(data)
    alone = copied("restore", "salvage", "--json").json["data"]
    assert (alone["holds"]["pairings"], alone["holds"]["shots"], alone["holds"]["unlisted"]) == (0, 0, 4)
    assert alone["salvaged"]["shots"] == 0
