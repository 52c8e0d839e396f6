from __future__ import annotations

import os
import sqlite3
import sys
from contextlib import closing
from pathlib import Path

import pytest

HEADER = "grind,dose_g,temp_c,yield_g,time_s,score,balance,fault,tds_pct,pulled_at,note\n"
ROWS = "20,18,93,36,20,5,-2,,,2024-03-08T07:10:00,thin\n18,18,93,36,25,7,-1,,,2024-03-08T07:20:00,\n"


def written(folder: Path, name: str, text: str) -> str:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return str(path)


def count(bench) -> int:
    return len(bench("shots", "--json").json["data"]["shots"])


def test_import_then_export_is_the_same_file(bench, tmp_path):
    whole = (HEADER + ROWS).replace("note\n", "note,preinfusion_s\n").replace("thin\n", "thin,6\n")
    whole = whole.removesuffix("\n") + ",\n"
    source = written(tmp_path, "in.csv", whole)
    assert bench("import", source, "--json").json["data"]["numbers"] == [1, 2]
    out = tmp_path / "out.csv"
    assert bench("export", str(out)).status == 0
    assert out.read_text(encoding="utf-8") == whole


def test_a_semicolon_file_with_decimal_commas(bench, tmp_path):
    source = written(tmp_path, "de.csv", "grind;dose_g;temp_c;score\n18;18,3;93;7,5\n")
    assert bench("import", source).status == 0
    (shot,) = bench("shots", "--json").json["data"]["shots"]
    assert (shot["dose_g"], shot["score"]) == (18.3, 7.5)


def test_a_second_import_of_the_same_file_is_refused(bench, tmp_path):
    source = written(tmp_path, "in.csv", HEADER + ROWS)
    bench("import", source)
    again = bench("import", source)
    assert again.status == 4
    assert "already" in again.err
    assert count(bench) == 2


def test_unknown_columns_and_bad_cells_are_refused_whole(bench, tmp_path):
    unknown = bench("import", written(tmp_path, "a.csv", "grind,dose_g,temp_c,crema\n18,18,93,nice\n"))
    assert unknown.status == 4
    assert "crema" in unknown.err
    bad = bench("import", written(tmp_path, "b.csv", HEADER + ROWS + "18,18,nan,36,25,7,,,,,\n"), "--json")
    assert bad.status == 4
    assert bad.json["error"]["kind"] == "bad_file"
    assert "line 4" in bad.json["error"]["message"]
    assert count(bench) == 0


def test_of_two_files_both_or_none(bench, tmp_path):
    good = written(tmp_path, "good.csv", HEADER + ROWS)
    bad = written(tmp_path, "bad.csv", "grind,dose_g,temp_c\n18,18,\n")
    assert bench("import", good, bad).status == 4
    assert count(bench) == 0
    more = written(tmp_path, "more.csv", "grind,dose_g,temp_c\n17,18,93\n")
    assert bench("import", good, more).status == 0
    assert count(bench) == 3
    assert "the import of 3 shots from good.csv, more.csv" in bench("undo").out
    assert count(bench) == 0


def test_an_import_without_a_pairing(run, tmp_path):
    done = run("import", written(tmp_path, "in.csv", HEADER + ROWS))
    assert done.status == 3
    assert "dialopt grinder" in done.err


def test_export_replaces_only_when_asked(bench, tmp_path):
    there = written(tmp_path, "there.csv", "mine")
    done = bench("export", there, "--json")
    assert done.status == 4
    assert "--replace" in done.json["next_step"]
    assert Path(there).read_text() == "mine"
    assert bench("export", there, "--replace").status == 0
    assert Path(there).read_text().startswith("grind,")


def test_backup_and_check(bench):
    copy = Path(bench("backup", "--json").json["data"]["copy"])
    assert copy.is_file()
    assert bench("check", "--json").json["data"]["findings"] == []


def test_a_report_needs_a_place(bench, tmp_path):
    done = bench("report", "--out", str(tmp_path))
    assert done.status == 4
    assert "is a folder" in done.err


def test_a_file_named_twice_is_refused(bench, tmp_path):
    once = written(tmp_path, "in.csv", "grind,dose_g,temp_c\n18,18,93\n")
    done = bench("import", once, str(tmp_path / "." / "in.csv"))
    assert done.status == 4
    assert "named twice" in done.err
    assert count(bench) == 0


def test_the_import_of_one_shot_is_taken_back_in_the_singular(bench, tmp_path):
    bench("import", written(tmp_path, "in.csv", "grind,dose_g,temp_c\n18,18,93\n"))
    assert "the import of 1 shot from in.csv" in bench("undo").out


def test_an_export_needs_a_file(bench, tmp_path):
    for replace in ((), ("--replace",)):
        done = bench("export", str(tmp_path), *replace)
        assert done.status == 4
        assert "is a folder" in done.err


def test_option_and_spreadsheet_take_times_alike(bench, tmp_path):
    times = ("2024-03-08T07:10:00", "2024-03-08T07:10:00+05:45", "2024-03-08")
    for time in times:
        bench("shot", "--grind", "18", "--dose", "18", "--temp", "93", "--at", time)
    rows = "".join(f"18,18,93,{time},same\n" for time in times)
    bench("import", written(tmp_path, "in.csv", "grind,dose_g,temp_c,pulled_at,note\n" + rows))
    told = [shot["pulled_at"] for shot in bench("shots", "--json").json["data"]["shots"]]
    assert told == [*times[:2], "2024-03-08T00:00:00"] * 2


HOSTILE = ("x" * 300, "a\0b", "\x1b]8;;u\x1b\\" * 100)


@pytest.mark.parametrize("name", HOSTILE, ids=["long", "NUL", "escapes"])
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
def test_no_command_puts_a_file_in_the_place_of_a_device(bench, tmp_path):
    writers = {
        "a": ("export",),
        "b.json": ("share",),
        "c": ("report", "--out"),
        "d": ("side-by-side", "--out"),
        "e": ("demo", "--out"),
    }
    for name, words in writers.items():
        pipe = tmp_path / name
        os.mkfifo(pipe)
        for more in ((), ("--replace",)):
            refused = bench(*words, str(pipe), *more)
            assert refused.status == 4
            assert "is a device or the like" in refused.err
        assert pipe.is_fifo()


def test_a_folder_in_the_place_of_a_file_is_named(bench, tmp_path):
    folder = tmp_path / "shots.csv"
    folder.mkdir()
    for words in (
        ("import",),
        ("export",),
        ("receive", "--from", "Ada"),
        ("report", "--out"),
        ("side-by-side", "--out"),
        ("demo", "--out"),
    ):
        refused = bench(*words, str(folder))
        assert refused.status == 4
        assert ("isn't a file" if words[0] in ("import", "receive") else "is a folder") in refused.err


def test_a_folder_that_is_not_there_is_refused_before_the_model_runs(bench, tmp_path):
    bench("shot", "--grind", "18", "--dose", "18", "--temp", "93", "--score", "7")
    for words in (("export", "no/such.csv"), ("share", "no/such.json")):
        done = bench(*words, advise=None)
        assert done.status == 4
        assert "There is no folder no;" in done.err


def test_an_import_names_its_files_in_full(bench, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    written(tmp_path, "in.csv", "grind,dose_g,temp_c\n18,18,93\n")
    assert bench("import", "in.csv", "--json").json["data"]["files"] == [str(tmp_path / "in.csv")]


@pytest.mark.parametrize("value", ["zz", "77"])
def test_a_logbook_that_lost_which_pairing_is_in_use(bench, home, value):
    with closing(sqlite3.connect(home / "logbook.db")) as db, db:
        db.execute("UPDATE settings SET value = ? WHERE name = 'current pairing'", (value,))
    for words, status in ((("check",), 5), (("shots",), 3)):
        done = bench(*words)
        assert done.status == status
        assert "which pairing is in use is lost" in done.err.lower()
        assert "`dialopt use KEY`" in done.err
    assert "(in use)" not in bench("pairings").out
    assert bench("use", "1").status == 0
    assert bench("check").status == 0


def test_two_pages_of_the_demo_take_two_files(run, tmp_path):
    once = tmp_path / "once.html"
    done = run("demo", "--out", str(once), "--side-by-side", str(tmp_path / "." / "once.html"))
    assert done.status == 4
    assert not once.exists()


@pytest.mark.parametrize(
    "words",
    [
        ("report", "--out"),
        ("side-by-side", "--out"),
        ("demo", "--out"),
        ("demo", "--out", "new.html", "--side-by-side"),
    ],
    ids=" ".join,
)
def test_no_page_takes_the_place_of_another_file_unasked(bench, tmp_path, monkeypatch, words):
    monkeypatch.chdir(tmp_path)
    mine = written(tmp_path, "mine.html", "<!DOCTYPE html><title>Espresso report: mine</title>")
    done = bench(*words, mine, "--json")
    assert done.status == 4
    assert "exists already; name a new file" in done.json["error"]["message"]
    assert done.json["next_step"] == "`--replace` replaces it."
    assert Path(mine).read_text().endswith("mine</title>")
    assert not Path("new.html").exists()


def test_a_time_to_come_is_named_with_its_file_and_row(bench, tmp_path):
    (tmp_path / "first.csv").write_text("grind,dose_g,temp_c,score,pulled_at\n20,18,93,5,2024-04-09\n")
    (tmp_path / "second.csv").write_text(
        "grind,dose_g,temp_c,score,pulled_at\n20,18,93,5,2024-04-10\n19,18,93,6,2999-04-10\n"
    )
    refused = bench("import", str(tmp_path / "first.csv"), str(tmp_path / "second.csv"))
    assert refused.status == 4
    assert refused.err.startswith(
        "second.csv can't be imported, nothing was changed: shot 2 of it, pulled_at can't be 2999-04-10T00:00:00; "
    )
    assert bench("shots", "--json").json["data"]["shots"] == []
