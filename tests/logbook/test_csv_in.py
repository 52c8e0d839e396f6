from __future__ import annotations

import zipfile
from datetime import datetime

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from dialopt.errors import BadValue, NotFound, Refused
from dialopt.logbook.csv_in import MOST_PROBLEMS, BadFile, import_csv, read_csv, shots_from_csv
from dialopt.trade.shot import FAULTS
from tests.examples import examples

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


def test_a_header_alone_is_refused():
    assert _problems(FULL) == ("it has a header and no shots; it takes a line a shot",)


def test_unknown_columns_are_named_with_those_accepted():
    problem, other = _problems("grind,dose_g,temp_c,pressure,flow\n18,18,93,9,2\n")
    assert other == "line 1 has the unknown column 'flow'"
    assert problem.startswith(
        "line 1 has the unknown column 'pressure'; the columns are grind, dose_g, temp_c, yield_g"
    )


def test_missing_repeated_and_nameless_columns():
    assert _problems("grind,,grind,score\n18,1,18,7\n") == (
        "line 1 has a column without a heading; the columns are grind, dose_g, temp_c, yield_g, time_s, score, "
        "balance, fault, tds_pct, pulled_at, note, preinfusion_s",
        "line 1 has the column grind 2 times; it takes one",
        "line 1 lacks the column dose_g; grind, dose_g, temp_c are required",
        "line 1 lacks the column temp_c; grind, dose_g, temp_c are required",
    )


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


@pytest.mark.parametrize(
    "cell", ["nan", "inf", "-inf", "1e999", "1_8", "0x12", "18 g", "1.234,5", "1,2,3", "١٨", "=18", "--1"]
)
def test_what_is_no_finite_plain_number_is_refused(cell):
    (problem,) = _problems(f'grind,dose_g,temp_c\n18,"{cell}",93\n')
    assert problem.startswith("line 2, dose_g can't be ")
    assert "it takes a" in problem


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


def test_import_is_all_or_nothing(book, tmp_path, a_pairing):
    number = book.save_pairing(a_pairing())
    path = tmp_path / "week.csv"
    path.write_text("grind,dose_g,temp_c\n18,18,93\n17,18,x\n")
    with pytest.raises(BadFile, match=r"^week.csv can't be imported, nothing was changed: line 3, temp_c"):
        import_csv(book, number, path)
    assert book.history(number) == []
    path.write_text("grind,dose_g,temp_c\n18,18,93\n17,18,92\n")
    assert import_csv(book, number, path) == [1, 2]
    with pytest.raises(Refused, match=r"2 of the 2 rows of week\.csv are in the log already, as shots 1–2"):
        import_csv(book, number, path)
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


def test_an_import_of_one_row_counts_in_the_singular(book, tmp_path, a_pairing):
    number = book.save_pairing(a_pairing())
    path = tmp_path / "one.csv"
    path.write_text("grind,dose_g,temp_c\n18,18,93\n")
    import_csv(book, number, path)
    with pytest.raises(Refused, match=r"^1 of the 1 row of one\.csv is in the log already, as shot 1; "):
        import_csv(book, number, path)


def test_a_row_pulled_in_days_to_come_stops_the_import(book, tmp_path, a_pairing):
    number = book.save_pairing(a_pairing())
    path = tmp_path / "week.csv"
    path.write_text("grind,dose_g,temp_c,pulled_at\n18,18,93,2031-04-08\n17,18,93,2031-04-11\n")
    with pytest.raises(BadValue, match=r"pulled_at can't be '2031-04-11T00:00:00'"):
        import_csv(book, number, path)
    assert book.history(number) == []


@pytest.mark.parametrize("text", ["grind,dose_g,temp_c\n" + "x,x,x\n" * 5_000, "grind," + "x," * 5_000 + "\n1\n"])
def test_a_file_of_bad_cells_is_not_looked_at_to_its_end(text):
    with pytest.raises(BadFile, match=r"and 99\d more problems, and maybe more\.$") as bad:
        shots_from_csv(text, "bad.csv")
    assert MOST_PROBLEMS <= len(bad.value.problems) < MOST_PROBLEMS + 11


def test_a_sheet_without_dates_that_grew_is_known_by_its_beginning(book, tmp_path, a_pairing):
    number = book.save_pairing(a_pairing())
    sheet = "grind,dose_g,temp_c,time_s,score\n20,18,93,20,5\n18,18,93,25,7\n"
    (tmp_path / "week.csv").write_text(sheet)
    assert import_csv(book, number, tmp_path / "week.csv") == [1, 2]
    (tmp_path / "week.csv").write_text(sheet + "17,18,93,28,8\n")
    with pytest.raises(Refused, match=r"2 of the 3 rows of week\.csv are in the log already, as shots 1–2"):
        import_csv(book, number, tmp_path / "week.csv")
    (tmp_path / "new.csv").write_text("grind,dose_g,temp_c,time_s,score\n17,18,93,28,8\n20,18,93,20,5\n18,18,93,25,7\n")
    assert import_csv(book, number, tmp_path / "new.csv") == [3, 4, 5], "other shots come first, so it is a new morning"
