"""import, export, check, backup, and every place a file may be named."""

from __future__ import annotations

import os
import sqlite3
import sys
from contextlib import closing
from pathlib import Path

import pytest

HEADER = "grind,dose_g,temp_c,yield_g,time_s,score,balance,fault,tds_pct,pulled_at,note\n"
ROWS = "20,18,93,36,20,5,-2,,,2024-03-08T07:10:00,thin\n18,18,93,36,25,7,-1,,,2024-03-08T07:20:00,\n"
ONE = "grind,dose_g,temp_c\n18,18,93\n"
PAGES = (("report", "--out"), ("side-by-side", "--out"), ("demo", "--out"))


@pytest.fixture
def written(tmp_path):
    """Writes a file and returns its path."""

    def written(name: str, text: str) -> str:
        (tmp_path / name).write_text(text, encoding="utf-8")
        return str(tmp_path / name)

    return written


def test_import_then_export_is_the_same_file(bench, written, tmp_path):
    whole = (HEADER + ROWS).replace("note\n", "note,preinfusion_s\n").replace("thin\n", "thin,6\n")
    whole = whole.replace("temp_c,", "temp_c,ratio,").replace(",93,", ",93,,")
    whole = whole.removesuffix("\n") + ",\n"
    assert bench.data("import", written("in.csv", whole))["numbers"] == [1, 2]
    out = tmp_path / "out.csv"
    assert bench("export", str(out)).status == 0
    assert out.read_text(encoding="utf-8") == whole


def test_a_semicolon_file_with_decimal_commas(bench, written):
    assert bench("import", written("de.csv", "grind;dose_g;temp_c;score\n18;18,3;93;7,5\n")).status == 0
    (shot,) = bench.log()
    assert (shot["dose_g"], shot["score"]) == (18.3, 7.5)


def test_what_can_t_be_imported_is_refused_whole(bench, written, tmp_path):
    good = written("good.csv", HEADER + ROWS)
    once = written("in.csv", ONE)
    for name, text, kind, said in (
        ("a.csv", "grind,dose_g,temp_c,crema\n18,18,93,nice\n", "bad_file", "crema"),
        ("b.csv", HEADER + ROWS + "18,18,nan,36,25,7,,,,,\n", "bad_file", "line 4"),
    ):
        error = bench("import", good, written(name, text), "--json").json["error"]
        assert (error["status"], error["kind"]) == (4, kind)
        assert said in error["message"]
    assert bench.fails("import", once, str(tmp_path / "." / "in.csv")) == (4, "refused"), "it is named twice"
    assert bench.log() == []
    bench("import", good)
    assert bench.fails("import", good) == (4, "refused"), "these rows are there already"
    assert len(bench.log()) == 2


def test_several_files_are_one_act(bench, written):
    assert bench("import", written("good.csv", HEADER + ROWS), written("more.csv", ONE)).status == 0
    assert len(bench.log()) == 3
    undone = bench.data("undo")["undone"]
    assert (undone["kind"], undone["source"], len(undone["shots"])) == ("import", "good.csv, more.csv", 3)
    assert bench.log() == []


def test_an_import_names_its_files_in_full(bench, written, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    written("in.csv", ONE)
    assert bench.data("import", "in.csv")["files"] == [str(tmp_path / "in.csv")]


def test_a_time_to_come_is_named_with_its_file_and_row(bench, written):
    header = "grind,dose_g,temp_c,score,pulled_at\n"
    first = written("first.csv", f"{header}20,18,93,5,2024-04-09\n")
    second = written("second.csv", f"{header}20,18,93,5,2024-04-10\n19,18,93,6,2999-04-10\n")
    refused = bench("import", first, second)
    assert refused.status == 4
    assert refused.err.startswith(
        "second.csv can't be imported, nothing was changed: shot 2 of it, pulled_at can't be 2999-04-10T00:00:00; "
    )
    assert bench.log() == []


def test_option_and_spreadsheet_take_times_alike(bench, written):
    times = ("2024-03-08T07:10:00", "2024-03-08T07:10:00+05:45", "2024-03-08")
    for time in times:
        bench("shot", "--grind", "18", "--dose", "18", "--temp", "93", "--at", time)
    rows = "".join(f"18,18,93,{time},same\n" for time in times)
    bench("import", written("in.csv", "grind,dose_g,temp_c,pulled_at,note\n" + rows))
    assert [shot["pulled_at"] for shot in bench.log()] == [*times[:2], "2024-03-08T00:00:00"] * 2


def test_export_replaces_only_when_asked(bench, written):
    there = written("there.csv", "mine")
    done = bench("export", there, "--json")
    assert (done.status, done.json["next_step"]) == (4, "`--replace` replaces it.")
    assert Path(there).read_text() == "mine"
    assert bench("export", there, "--replace").status == 0
    assert Path(there).read_text().startswith("grind,")


def test_backup_and_check(bench):
    assert Path(bench.data("backup")["copy"]).is_file()
    assert bench.data("check")["findings"] == []


@pytest.mark.parametrize("name", ["x" * 300, "a\0b", "\x1b]8;;u\x1b\\" * 100], ids=["long", "NUL", "escapes"])
def test_a_name_that_no_file_can_have_is_refused_by_every_command(bench, tmp_path, name):
    for words in (
        ("import", f"{tmp_path}/{name}"),
        ("export", f"{tmp_path}/{name}"),
        ("share", f"{tmp_path}/{name}.json"),
        ("receive", f"{tmp_path}/{name}", "--from", "Ada"),
        ("report", "--out", f"{tmp_path}/{name}"),
        ("demo", "--out", f"{tmp_path}/{name}"),
        ("kit", "--home", f"{tmp_path}/{name}"),
    ):
        done = bench(*words)
        assert done.status in (2, 3, 4, 5), words
        assert "fault of its own" not in done.err
        assert all(letter.isprintable() or letter == "\n" for letter in done.err)
    assert [path.name for path in tmp_path.iterdir()] == ["home"]


@pytest.mark.skipif(sys.platform == "win32", reason="named pipes are POSIX's")
def test_no_command_puts_a_file_in_the_place_of_a_device_or_a_folder(bench, tmp_path):
    pipe, folder = tmp_path / "pipe.json", tmp_path / "shots.json"
    os.mkfifo(pipe)
    folder.mkdir()
    for words in (("export",), ("share",), *PAGES):
        for more in ((), ("--replace",)):
            for place, said in ((pipe, "is a device or the like"), (folder, "is a folder")):
                refused = bench(*words, str(place), *more)
                assert refused.status == 4
                assert said in refused.err
    for words in (("import",), ("receive", "--from", "Ada")):
        refused = bench(*words, str(folder))
        assert refused.status == 4
        assert "isn't a file" in refused.err
    assert pipe.is_fifo()


def test_a_folder_that_is_not_there_is_refused_before_the_model_runs(bench):
    bench("shot", "--grind", "18", "--dose", "18", "--temp", "93", "--score", "7")
    for words in (("export", "no/such.csv"), ("share", "no/such.json")):
        done = bench(*words, advise=None)
        assert done.status == 4
        assert "There is no folder no;" in done.err


@pytest.mark.parametrize("value", ["zz", "77"])
def test_a_logbook_that_lost_which_pairing_is_in_use(bench, home, value):
    with closing(sqlite3.connect(home / "logbook.db")) as db, db:
        db.execute("UPDATE settings SET value = ? WHERE name = 'current pairing'", (value,))
    for words, status in ((("check",), 5), (("shots",), 3)):
        done = bench(*words)
        assert done.status == status
        assert "which pairing is in use is lost" in done.err.lower()
        assert "`dialopt use KEY`" in done.err
    assert bench.data("pairings")["in_use"] is None
    assert bench("use", "1").status == 0
    assert bench("check").status == 0


def test_two_pages_of_the_demo_take_two_files(run, tmp_path):
    once = tmp_path / "once.html"
    done = run("demo", "--out", str(once), "--side-by-side", str(tmp_path / "." / "once.html"))
    assert done.status == 4
    assert not once.exists()


@pytest.mark.parametrize("words", [*PAGES, ("demo", "--out", "new.html", "--side-by-side")], ids=" ".join)
def test_no_page_takes_the_place_of_another_file_unasked(bench, written, tmp_path, monkeypatch, words):
    monkeypatch.chdir(tmp_path)
    mine = written("mine.html", "<!DOCTYPE html><title>Espresso report: mine</title>")
    done = bench(*words, mine, "--json")
    assert done.status == 4
    assert "exists already; name a new file" in done.json["error"]["message"]
    assert done.json["next_step"] == "`--replace` replaces it."
    assert Path(mine).read_text().endswith("mine</title>")
    assert not Path("new.html").exists()
