from __future__ import annotations

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
    first, journal, *copies, then = done.out.splitlines()
    assert first.endswith("is whole: 2 shots of 1 pairing, until " + first[-17:])
    assert journal.startswith("  logbook.jsonl  2 shots of 1 pairing")
    assert all("1 shot of 1 pairing" in copy for copy in copies)
    assert "--replace" in then
    whole = copied("restore", "--json").json["data"]
    assert (whole["sound"], whole["journal"]["shots"]) == (True, 2)
    assert [one["shots"] for one in whole["copies"]] == [1, 1], "that of the day, and the one that was asked for"


def test_a_damaged_logbook_is_said_found_and_restored(copied, home):
    data = bytearray((home / "logbook.db").read_bytes())
    data[100:140] = bytes(40)
    (home / "logbook.db").write_bytes(data)
    for words in (("shots",), ("check",), (*SHOT, "5")):
        done = copied(*words)
        assert done.status == 5
        assert done.err.splitlines()[1].startswith("Next: `dialopt restore journal`")
    assert "Next: `dialopt restore journal`" in copied("restore").out
    done = copied("restore", "journal", "--json")
    assert done.status == 0
    assert (done.json["data"]["holds"]["shots"], done.json["data"]["left_out_rows"]) == (2, 0)
    assert (home / done.json["data"]["aside"]).read_bytes() == data
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
    (home / "logbook.jsonl").unlink()
    assert "Next: `dialopt restore latest`" in copied("restore").out
    for copy in (home / "backups").iterdir():
        copy.unlink()
    assert "Move the file away to start a new logbook" in copied("restore").out
    for source in ("latest", "journal"):
        assert copied("restore", source).status == 3
    (home / "logbook.jsonl").write_text("no journal\n")
    assert copied("restore", "journal").status == 4
    assert (home / "logbook.db").read_bytes() == b""


def test_without_anything_to_restore(run):
    done = run("restore")
    assert done.status == 0
    assert "There is no logbook" in done.out
    assert "dialopt grinder" in done.out


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
    assert len(copied("restore", "--json").json["data"]["copies"]) == 3, "the whole one is kept where copies are listed"


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


def test_an_export_of_everything_makes_an_equal_logbook_elsewhere(copied, home, run, tmp_path):
    exported = tmp_path / "everything.jsonl"
    exported.write_bytes((home / "logbook.jsonl").read_bytes())
    shots = copied("shots", "--history", "--json").json["data"]
    other = tmp_path / "other"
    done = run("restore", str(exported), "--home", str(other))
    assert done.status == 0, done.err
    assert "from everything.jsonl: 2 shots of 1 pairing" in done.out
    assert run("shots", "--history", "--json", "--home", str(other)).json["data"] == shots
    assert run(*SHOT, "9", "--home", str(other)).status == 0
    assert run("check", "--home", str(other)).status == 0


def test_a_logbook_that_vanished_is_named_with_what_to_run(copied, home):
    (home / "logbook.db").unlink()
    done = copied("shots")
    assert done.status == 5
    assert "it is gone, and only its journal is there. " not in done.out
    assert "Next: `dialopt restore journal`" in done.err
    assert copied("restore", "journal").status == 0
    assert len(copied("shots", "--json").json["data"]["shots"]) == 2


def test_what_a_damaged_journal_lost_is_said(copied, home):
    lines = (home / "logbook.jsonl").read_text(encoding="utf-8").splitlines(keepends=True)
    del lines[-2]  # the first shot
    (home / "logbook.jsonl").write_text("".join(lines), encoding="utf-8")
    done = copied("check")
    assert done.status == 0, "what was written last isn't where it was, so the journal is begun anew"
    (home / "logbook.db").unlink()
    done = copied("restore", "journal")
    assert done.status == 0
    assert "  Lost     1 line of the journal can't be read" in done.out
    assert "1 line can't be read" in done.out.splitlines()[0]
