from __future__ import annotations

import csv
import io
import tempfile
import zipfile
from datetime import datetime
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from dialopt.errors import NotFound, Refused
from dialopt.logbook.spreadsheet import (
    MOST_PROBLEMS,
    BadFile,
    export_csv,
    guarded,
    import_csv,
    read_csv,
    shots_as_csv,
    shots_from_csv,
    unguarded,
)
from dialopt.trade.shot import FAULTS
from tests.bad_input.files import shots_noted
from tests.examples import examples

# In.

FULL = "grind,dose_g,temp_c,yield_g,time_s,score,balance,fault,tds_pct,pulled_at,note\n"


def _problems(text: str) -> tuple[str, ...]:
    with pytest.raises(BadFile) as caught:
        shots_from_csv(text, "week.csv")
    assert caught.value.status == 4
    assert str(caught.value).startswith("week.csv can't be imported, nothing was changed: ")
    return caught.value.problems


def test_a_full_row(a_shot):
    text = FULL + '18,18.1,93,36.2,27,7.5,-1,Channelled,9.1,2031-04-09T07:15,"plum, sharp"\n'
    assert shots_from_csv(text, "f.csv") == [
        a_shot(
            dose_g=18.1,
            yield_g=36.2,
            time_s=27,
            score=7.5,
            balance=-1,
            fault="channelled",
            tds_pct=9.1,
            pulled_at=datetime(2031, 4, 9, 7, 15),
            note="plum, sharp",
        )
    ]


@pytest.mark.parametrize(
    "text",
    [
        "grind,dose_g,temp_c,score\n18,18.5,93,\n",
        "\ufeffgrind,dose_g,temp_c\r\n18,18.5,93\r\n",
        "grind;dose_g;temp_c\n18;18,5;93,0\n",
        "grind;dose_g;temp_c\n18;18.5;93\n",
        "grind\tdose_g\ttemp_c\n18\t18,5\t93\n",
        'grind,dose_g,temp_c\n18,"18,5","93,0"\n',
        '"grind","dose_g","temp_c"\n"18","18.5","93"\n',
        " Grind , DOSE G,Temp_C , note\n 18 , 18.50 ,+93.,\n",
        "temp_c,grind,dose_g,,\n93,18,1.85e1,,\n,,,,\n\n",
        "\n,,\ngrind,dose_g,temp_c\n18,18.5,93",
        "grind,dose_g,temp_c\r18,18.5,93\r",
        "grind,dose_g,temp_c,note\n18,18.5,93\n",
    ],
)
def test_what_spreadsheets_write_is_taken(text, a_shot):
    assert shots_from_csv(text, "f.csv") == [a_shot(dose_g=18.5)]


def test_dates_and_typographic_minus(a_shot):
    text = "grind,dose_g,temp_c,balance,pulled_at\n18,18,93,−2,2031-04-09\n18,18,93,+1,2031-04-09 07:15:30\n"
    assert shots_from_csv(text, "f.csv") == [
        a_shot(balance=-2, pulled_at=datetime(2031, 4, 9)),
        a_shot(balance=1, pulled_at=datetime(2031, 4, 9, 7, 15, 30)),
    ]


@pytest.mark.parametrize("text", ["", "  \n", "\ufeff", ",,\n,,\n", "\x0b", "\u2028", '""'])
def test_an_empty_file_is_refused(text):
    assert "it is empty; it takes a header with grind, dose_g" in _problems(text)[0]


COLUMNS_ARE = (
    "; the columns are grind, dose_g, temp_c, ratio, yield_g, time_s, score, balance, fault, tds_pct, pulled_at, note, "
    "preinfusion_s"
)


@pytest.mark.parametrize(
    ("text", "problems"),
    [
        (FULL, ["it has a header and no shots; it takes a line a shot"]),
        (
            "grind,dose_g,temp_c,pressure,flow\n18,18,93,9,2\n",
            [f"line 1 has the unknown column 'pressure'{COLUMNS_ARE}", "line 1 has the unknown column 'flow'"],
        ),
        (
            "grind,,grind,score\n18,1,18,7\n",
            [
                f"line 1 has a column without a heading{COLUMNS_ARE}",
                "line 1 has the column grind 2 times; it takes one",
                "line 1 lacks the column dose_g; grind, dose_g, temp_c are required",
                "line 1 lacks the column temp_c; grind, dose_g, temp_c are required",
            ],
        ),
    ],
)
def test_what_is_wrong_with_a_header_is_named(text, problems):
    assert [*_problems(text)] == problems


def test_every_bad_cell_is_found_with_line_column_value_and_what_would_do():
    text = FULL + '18,18,93,,,,,,,,"two\nlines"\n18,,93,,,11,,burnt,,yesterday,\n18,18,200,inf,1.234,5,,,,,\n'
    assert _problems(text) == (
        "line 4, dose_g can't be empty; it takes a number from 1 to 60 g",
        "line 4, score can't be '11'; it takes a number from 0 to 10",
        f"line 4, fault can't be 'burnt'; it takes one of {', '.join(FAULTS)}",
        "line 4, pulled_at can't be 'yesterday'; it takes a date as 2031-04-09, or a date and time as 2031-04-09T07:15",
        "line 5, temp_c can't be '200'; it takes a number from 20 to 110 °C (it looks like °F)",
        "line 5, yield_g can't be 'inf'; it takes a number from 0.1 to 500 g, in plain digits",
    )


@pytest.mark.parametrize("row", ["18,18,5,93", "18,5,18,93", "18,18,93,"])
def test_a_decimal_comma_between_commas_is_explained(row):
    (problem,) = _problems(f"grind,dose_g,temp_c\n{row}\n")
    assert problem == (
        "line 2 has 4 cells under 3 headings; a comma as decimal mark takes quotes, or a semicolon between the cells"
    )


def test_a_lost_quotation_mark_is_named():
    (problem,) = _problems('grind,dose_g,temp_c,note\n18,18,93,ok\n18,18,93,"oh\n18,18,93,x\n')
    assert problem.startswith("line 3 isn't whole")


def test_many_problems_are_cut_short_in_the_message_only():
    text = "grind,dose_g,temp_c\n" + "x,18,93\n" * 12
    with pytest.raises(BadFile) as caught:
        shots_from_csv(text, "f.csv")
    assert len(caught.value.problems) == 12
    assert str(caught.value).count("line ") == 5
    assert str(caught.value).endswith("and 7 more problems.")


def test_escape_sequences_do_not_reach_the_terminal():
    with pytest.raises(BadFile) as caught:
        shots_from_csv("grind,dose_g,temp_c,\x1b[31mred\n18,18,93,\n18,\x1b[2J,93,\n", "f.csv")
    assert "\x1b" not in str(caught.value)
    with pytest.raises(BadFile, match=r"\?\[2Jf.csv can't be imported"):
        shots_from_csv("", "\x1b[2Jf.csv")


def test_import_is_all_or_nothing(book, number, tmp_path):
    path = tmp_path / "week.csv"
    path.write_text("grind,dose_g,temp_c\n18,18,93\n17,18,x\n")
    with pytest.raises(BadFile, match=r"^week.csv can't be imported, nothing was changed: line 3, temp_c"):
        import_csv(book, number, path)
    assert book.history(number) == []
    path.write_text("grind,dose_g,temp_c\n18,18,93\n17,18,92\n")
    assert import_csv(book, number, path) == [1, 2]
    path.write_text("grind;dose_g;temp_c\r\n18;18,0;93\r\n17;18,0;92\r\n")  # the same, saved otherwise
    with pytest.raises(Refused, match="in the log already"):
        import_csv(book, number, path)
    assert len(book.shots(number)) == 2
    (act,) = book.history(number)
    assert (act.kind, act.source) == ("import", "week.csv")


def test_files_that_cannot_be_read(tmp_path):
    with pytest.raises(NotFound, match="There is no file"):
        read_csv(tmp_path / "no.csv")
    with pytest.raises(Refused, match="isn't a file"):
        read_csv(tmp_path)
    (tmp_path / "latin.csv").write_bytes("grind,dose_g,temp_c,note\n18,18,93,süß\n".encode("latin-1"))
    with pytest.raises(BadFile, match="line 2 isn't UTF-8 text"):
        read_csv(tmp_path / "latin.csv")
    with zipfile.ZipFile(tmp_path / "book.csv", "w") as archive:
        archive.writestr("sheet1.xml", "<sheet/>")
    with pytest.raises(BadFile, match="a spreadsheet program's own file; save it there as CSV"):
        read_csv(tmp_path / "book.csv")


@examples(400)
@given(
    st.text(alphabet='grindose_tmpc,;\t\n\r"18.9-+= \x00\x0b\u2028')
    | st.text().map(lambda tail: FULL + "18,18,93," + tail)
)
@example("grind,dose_g,temp_c\n" + "9" * 5000 + ",18,93\n")
@example('grind,dose_g,temp_c,note\n18,18,93,"' + "x" * 200_000 + '"\n')
def test_whatever_the_text_it_is_taken_or_refused_in_words(text):
    try:
        shots = shots_from_csv(text, "f.csv")
    except BadFile as bad:
        said = bad.problems
    else:
        said = ("taken",) * len(shots)
    assert said
    assert all(said)


@pytest.mark.parametrize("text", ["grind,dose_g,temp_c\n" + "x,x,x\n" * 5_000, "grind," + "x," * 5_000 + "\n1\n"])
def test_a_file_of_bad_cells_is_not_looked_at_to_its_end(text):
    with pytest.raises(BadFile, match=r"and 99\d more problems, and maybe more\.$") as bad:
        shots_from_csv(text, "bad.csv")
    assert MOST_PROBLEMS <= len(bad.value.problems) < MOST_PROBLEMS + 11


# Out, and back in.

NOTES = st.text(max_size=60) | st.text(alphabet="'=+-@,;\"\t\r\n\x00\ufeff x", max_size=12)
SHOTS = shots_noted(NOTES)


@examples(300)
@given(st.lists(SHOTS, min_size=1, max_size=6))
def test_export_then_import_is_the_identity(shots):
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "shots.csv"
        export_csv(shots, path)
        assert read_csv(path) == shots


def test_so_it_is_by_way_of_two_logbooks(book, number, tmp_path, a_pairing, a_shot):
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
        == "grind,dose_g,temp_c,ratio,yield_g,time_s,score,balance,fault,tds_pct,pulled_at,note,preinfusion_s"
    )
    assert row == ["17.5", "18", "93", "", "36", "", "7", "-1", "", "", "", "'=1+1", ""]


def test_an_existing_file_is_replaced_only_when_asked(tmp_path, a_shot):
    path = tmp_path / "shots.csv"
    path.write_text("dear diary")
    with pytest.raises(Refused, match="exists already"):
        export_csv([a_shot()], path)
    assert path.read_text() == "dear diary"
    export_csv([a_shot()], path, replace=True)
    assert read_csv(path) == [a_shot()]
    assert list(tmp_path.iterdir()) == [path]
    for place, why in ((tmp_path, "is a folder"), (tmp_path / "no" / "folder.csv", "There is no folder")):
        with pytest.raises(Refused, match=why):
            export_csv([a_shot()], place, replace=True)


# Cells that a spreadsheet would run.

TEXTS = st.text() | st.text(alphabet="'=+-@ \t\r\nx＝")


@given(TEXTS)
def test_unguarding_undoes_guarding(text):
    assert unguarded(guarded(text)) == text


@given(TEXTS)
def test_nothing_guarded_can_be_run(text):
    assert not guarded(text).lstrip().startswith(tuple("=+-@＝＋－＠"))
    assert not guarded(text).startswith(("\t", "\r"))


def test_plain_text_and_its_apostrophes_are_left_alone():
    assert guarded("sweet, 50 % more = better") == "sweet, 50 % more = better"
    assert unguarded("'t was sweet") == "'t was sweet"
    assert unguarded("'=SUM(A1)") == "=SUM(A1)"
