from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from pathlib import Path

import pandas as pd
import pytest

from experiments import study
from experiments.fingerprint import CODE
from experiments.journal import NAME
from experiments.plan import Trial
from experiments.study import main
from experiments.trial import Row, run

FILES = ("results.csv.gz", "summary.csv", "about.json")
FEW = ["--families", "ridge,edge", "--methods", "rule_of_thumb,sobol", "--tasks", "3", "--shots", "3"]


def files(folder: Path) -> list[bytes]:
    return [(folder / name).read_bytes() for name in FILES]


@pytest.mark.slow
def test_the_study_writes_the_same_files_whatever_the_number_of_jobs(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for jobs in ("1", "2"):
        assert main([*FEW, "--against", "sobol", "--jobs", jobs, "--out", str(tmp_path / jobs)]) == 0
    assert files(tmp_path / "1") == files(tmp_path / "2")
    assert "rule_of_thumb" in (tmp_path / "1.html").read_text()
    printed = capsys.readouterr()
    assert "rule_of_thumb" in printed.out
    assert printed.err == ""  # nothing to say of so short a run where there is no terminal


def test_an_interrupted_study_goes_on_where_it_stopped(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Stopped after five trials and cut short within a sixth: the files come out as if it had never been stopped."""
    ran: list[Trial] = []

    def run_till(most: int) -> None:
        def run_some(left: Sequence[Trial], *, shots: int, seed: int, jobs: int) -> Iterator[list[Row]]:
            for trial in left[:most]:
                ran.append(trial)
                yield run(*trial, shots=shots, seed=seed)
            if len(left) > most:
                raise KeyboardInterrupt

        monkeypatch.setattr(study, "run_here", run_some)

    words = [*FEW, "--against", "sobol", "--out"]
    run_till(99)
    assert main([*words, str(tmp_path / "whole")]) == 0
    run_till(5)
    assert main([*words, str(tmp_path / "parts")]) == 130
    assert "again" in capsys.readouterr().err
    assert not (tmp_path / "parts" / "results.csv.gz").exists()
    with (tmp_path / "parts" / NAME).open("a") as journal:
        journal.write('\n[{"family": "edge", "met')
    ran.clear()
    run_till(99)
    assert main([*words, str(tmp_path / "parts")]) == 0
    assert len(ran) == 7
    assert files(tmp_path / "parts") == files(tmp_path / "whole")
    assert not (tmp_path / "parts" / NAME).exists()


def test_rows_of_other_methods_are_kept(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["--families", "ridge", "--tasks", "2", "--shots", "2", "--against", "sobol", "--out", str(tmp_path / "s")]
    assert main([*words, "--methods", "sobol,skopt_default"]) == 0
    before = pd.read_csv(tmp_path / "s" / "results.csv.gz")
    assert main([*words, "--methods", "sobol,rule_of_thumb", "--keep", "sobol"]) == 0
    after = pd.read_csv(tmp_path / "s" / "results.csv.gz")
    assert set(after["method"]) == {"sobol", "rule_of_thumb"}
    assert (
        after[after["method"] == "sobol"]["regret"].tolist() == before[before["method"] == "sobol"]["regret"].tolist()
    )
    assert capsys.readouterr().err == ""
    assert main([*words, "--methods", "quadratic", "--keep", "sobol", "--seed", "2"]) == 2
    assert "--seed must be as it was: 1" in capsys.readouterr().err


def test_rows_of_other_code_are_kept_with_a_word(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    words = ["--families", "ridge", "--tasks", "2", "--shots", "1", "--against", "sobol", "--out", str(tmp_path / "s")]
    assert main([*words, "--methods", "sobol"]) == 0
    monkeypatch.setattr(study, "CODE", "newer")
    assert main([*words, "--methods", "rule_of_thumb", "--keep", "sobol"]) == 0
    assert f"other code than this: sobol ({CODE})." in capsys.readouterr().err
    about = json.loads((tmp_path / "s" / "about.json").read_text())
    assert about["codes"] == {"rule_of_thumb": "newer", "sobol": CODE}
    assert f"other code than newer: sobol ({CODE})." in (tmp_path / "s.html").read_text()


def test_kept_rows_whose_code_was_not_written_down_are_earlier_ones(tmp_path: Path) -> None:
    out = tmp_path / "s"
    words = ["--families", "ridge", "--shots", "1", "--against", "sobol", "--methods", "sobol", "--out", str(out)]
    assert main([*words, "--tasks", "1"]) == 0
    about = json.loads((out / "about.json").read_text())
    assert about.pop("codes") == {"sobol": CODE}
    (out / "about.json").write_text(json.dumps(about))
    assert main([*words, "--tasks", "1", "--keep", "sobol"]) == 0
    assert json.loads((out / "about.json").read_text())["codes"] == {"sobol": "earlier"}
    assert main([*words, "--tasks", "2", "--keep", "sobol"]) == 0
    assert json.loads((out / "about.json").read_text())["codes"] == {"sobol": f"earlier and {CODE}"}


def test_versions_of_what_was_measured_are_written_down(tmp_path: Path) -> None:
    words = ["--families", "ridge", "--tasks", "1,skopt_eager=0", "--shots", "1", "--against", "skopt_default"]
    assert main([*words, "--methods", "skopt_default,skopt_eager,sobol", "--out", str(tmp_path / "s")]) == 0
    about = json.loads((tmp_path / "s" / "about.json").read_text())
    assert list(about["packages"]) == ["skopt_default"]
    assert f"skopt_default ({about['packages']['skopt_default']})" in (tmp_path / "s.html").read_text()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--methods", "oracle"], "no method 'oracle'"),
        (["--families", "tea"], "no family 'tea'"),
        (["--tasks", "many"], "'many' is neither"),
        (["--tasks", "5,oracle=3"], "no method 'oracle'"),
        (["--methods", "sobol", "--keep", "oracle"], "no method 'oracle'"),
        (["--families", "carry_new_bag", "--methods", "sobol"], "Nothing was run"),
    ],
)
def test_what_makes_no_study_is_said(
    words: list[str], said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "s"
    assert main([*words, "--out", str(out)]) == 2
    assert said in capsys.readouterr().err
    assert not (out / "results.csv.gz").exists()
    assert not (out / NAME).exists()


def test_absent_packages_are_skipped_with_a_word(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    for package in ("bask", "botorch", "torch", "optuna"):
        monkeypatch.setitem(__import__("sys").modules, package, None)
    words = ["--families", "ridge", "--tasks", "1", "--shots", "1", "--against", "sobol", "--out", str(tmp_path / "s")]
    assert main([*words, "--methods", "bask,botorch,optuna_gp,optuna_tpe,sobol"]) == 0
    said = capsys.readouterr().err.splitlines()
    assert [line.split()[0] for line in said] == ["bask", "botorch", "optuna_gp", "optuna_tpe"]
    assert all("isn't installed." in line for line in said)
    assert main([*words, "--methods", "bask"]) == 2
