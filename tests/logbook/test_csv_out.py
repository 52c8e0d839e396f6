from __future__ import annotations

import csv
import io
import tempfile
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dialopt.errors import Refused
from dialopt.logbook.csv_in import read_csv, shots_from_csv
from dialopt.logbook.csv_out import export_csv, shots_as_csv
from tests.bad_input.files import shots_noted
from tests.examples import examples

NOTES = st.text(max_size=60) | st.text(alphabet="'=+-@,;\"\t\r\n\x00\ufeff x", max_size=12)
SHOTS = shots_noted(NOTES)


@examples(300)
@given(st.lists(SHOTS, min_size=1, max_size=6))
def test_export_then_import_is_the_identity(shots):
    assert shots_from_csv(shots_as_csv(shots), "back.csv") == shots


@examples(40)
@given(st.lists(SHOTS, min_size=1, max_size=4))
def test_so_it_is_by_way_of_a_file(shots):
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "shots.csv"
        export_csv(shots, path)
        assert read_csv(path) == shots


def test_so_it_is_by_way_of_two_logbooks(book, tmp_path, a_pairing, a_shot):
    number = book.save_pairing(a_pairing())
    other = book.save_pairing(a_pairing(bean="low tide"))
    for shot in (a_shot(score=7.5, balance=-1, note="=cmd|' /C calc'!A0"), a_shot(grind=17.5, fault="spilt", note="")):
        book.log(number, shot)
    export_csv(book.shots(number), tmp_path / "out.csv")
    book.import_shots(other, read_csv(tmp_path / "out.csv"), "out.csv")
    assert book.shots(other) == book.shots(number)


def test_what_is_written_is_plain_to_read(a_shot):
    text = shots_as_csv([a_shot(grind=17.5, yield_g=36, score=7, balance=-1, note="=1+1")])
    header, row = list(csv.reader(io.StringIO(text)))
    assert (
        ",".join(header)
        == "grind,dose_g,temp_c,yield_g,time_s,score,balance,fault,tds_pct,pulled_at,note,preinfusion_s"
    )
    assert row == ["17.5", "18", "93", "36", "", "7", "-1", "", "", "", "'=1+1", ""]


def test_an_existing_file_is_replaced_only_when_asked(tmp_path, a_shot):
    path = tmp_path / "shots.csv"
    path.write_text("dear diary")
    with pytest.raises(Refused, match="exists already"):
        export_csv([a_shot()], path)
    assert path.read_text() == "dear diary"
    export_csv([a_shot()], path, replace=True)
    assert read_csv(path) == [a_shot()]
    assert list(tmp_path.iterdir()) == [path]


def test_a_folder_is_never_replaced(tmp_path, a_shot):
    with pytest.raises(Refused, match="is a folder"):
        export_csv([a_shot()], tmp_path, replace=True)


def test_where_nothing_can_be_written(tmp_path, a_shot):
    (tmp_path / "file").write_text("")
    for path in (tmp_path / "no" / "folder.csv", tmp_path / "file" / "below.csv"):
        with pytest.raises(Refused, match="There is no folder"):
            export_csv([a_shot()], path)
