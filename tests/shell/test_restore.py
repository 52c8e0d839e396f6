from __future__ import annotations

import pytest

SHOT = ("shot", "--grind", "18", "--dose", "18", "--temp", "93", "--score")


@pytest.fixture
def copied(bench):
    bench(*SHOT, "7")
    bench("backup")
    bench(*SHOT, "8")
    return bench


def step(run, *words):
    """What a command says is sensible next, done or not."""
    return run(*words, "--json").json["next_step"]


def scores(run):
    return [shot["score"] for shot in run.log()]


def test_the_copies_are_listed(copied):
    journal, *copies = copied("restore").out.splitlines()[1:-1]
    assert journal.startswith("  logbook.jsonl  2 shots of 1 pairing")
    assert all("1 shot of 1 pairing" in copy for copy in copies)
    told = copied.data("restore")
    assert (told["sound"], told["journal"]["shots"]) == (True, 2)
    assert [one["shots"] for one in told["copies"]] == [1, 1], "that of the day, and the one that was asked for"
    assert "--replace" in step(copied, "restore")


def test_a_damaged_logbook_is_said_found_and_restored(copied, home):
    data = bytearray((home / "logbook.db").read_bytes())
    data[100:140] = bytes(40)
    (home / "logbook.db").write_bytes(data)
    for words in (("shots",), ("check",), (*SHOT, "5")):
        assert copied.fails(*words) == (5, "logbook_damaged")
        assert step(copied, *words).startswith("`dialopt restore journal`")
    assert step(copied, "restore").startswith("`dialopt restore journal`")
    done = copied.data("restore", "journal")
    assert (done["holds"]["shots"], done["left_out_rows"]) == (2, 0)
    assert (home / done["aside"]).read_bytes() == data
    assert scores(copied) == [7, 8]
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
    assert copied.fails("restore", "latest") == (4, "nothing_wrong")
    assert "--replace" in step(copied, "restore", "latest")
    assert (home / "logbook.db").read_bytes() == before
    (home / "logbook.db").write_bytes(b"")
    (home / "logbook.jsonl").unlink()
    assert step(copied, "restore").startswith("`dialopt restore latest`")
    for copy in (home / "backups").iterdir():
        copy.unlink()
    assert step(copied, "restore") == "Move the file away to start a new logbook."
    for source in ("latest", "journal"):
        assert copied("restore", source).status == 3
    (home / "logbook.jsonl").write_text("no journal\n")
    assert copied("restore", "journal").status == 4
    assert (home / "logbook.db").read_bytes() == b""


def test_without_anything_to_restore(run):
    told = run.data("restore")
    assert (told["there"], told["journal"], told["copies"]) == (False, None, [])
    assert "dialopt grinder" in step(run, "restore")


def test_through_a_link_the_file_that_it_leads_to_is_restored(copied, home, tmp_path):
    real = tmp_path / "elsewhere" / "coffee.db"
    real.parent.mkdir()
    (home / "logbook.db").replace(real)
    real.write_bytes(b"\xa5" * 8192)
    (home / "logbook.db").symlink_to(real)
    copied.data("restore", "latest")
    assert (home / "logbook.db").is_symlink()
    assert real.read_bytes().startswith(b"SQLite")
    assert scores(copied) == [7]
    copied.data("restore", "latest", "--replace")
    assert len(copied.data("restore")["copies"]) == 3, "the whole one is kept where copies are listed"


@pytest.mark.parametrize("name", ["x" * 300, "a\0b", ""], ids=["long", "NUL", "empty"])
def test_a_copy_whose_name_no_file_can_have_is_not_found(copied, name):
    done = copied("restore", name)
    assert done.status == 3
    assert "There is no copy" in done.err


def test_a_file_in_the_place_of_the_copies_is_named(bench, home):
    (home / "backups").write_text("mine")
    done = bench("backup")
    assert done.status == 5
    assert f"{home / 'backups'} is in the way" in done.err
    assert (home / "backups").read_text() == "mine"


def test_an_export_of_everything_makes_an_equal_logbook_elsewhere(copied, home, tmp_path):
    exported, there = tmp_path / "everything.jsonl", ("--home", str(tmp_path / "other"))
    exported.write_bytes((home / "logbook.jsonl").read_bytes())
    assert copied.data("restore", str(exported), *there)["holds"]["shots"] == 2
    assert copied.data("shots", "--history", *there) == copied.data("shots", "--history")
    assert copied(*SHOT, "9", *there).status == 0
    assert copied("check", *there).status == 0


def test_a_logbook_that_vanished_is_named_with_what_to_run(copied, home):
    (home / "logbook.db").unlink()
    assert copied("shots").status == 5
    assert step(copied, "shots").startswith("`dialopt restore journal`")
    assert copied("restore", "journal").status == 0
    assert scores(copied) == [7, 8]


def test_what_a_damaged_journal_lost_is_said(copied, home):
    lines = (home / "logbook.jsonl").read_text(encoding="utf-8").splitlines(keepends=True)
    del lines[-2]  # the first shot
    (home / "logbook.jsonl").write_text("".join(lines), encoding="utf-8")
    done = copied("check")
    assert done.status == 0, "what was written last isn't where it was, so the journal is begun anew"
    (home / "logbook.db").unlink()
    done = copied("restore", "journal", "--json")
    assert (done.status, done.json["data"]["holds"]["missing_lines"]) == (0, 1)
    assert "1 line can't be read" in done.json["did"]
