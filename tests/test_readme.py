"""README and the other documents: what they show is run, and what they name is there."""

from __future__ import annotations

import doctest
import re
from importlib import import_module
from pathlib import Path

import pytest

from tests.console import GUIDE, ROOT, steps_of, walk

README = ROOT / "README.md"
DOCUMENTS = [
    README,
    ROOT / "DEVELOPERS.md",
    ROOT / "reports" / "README.md",
    *sorted(GUIDE.glob("*.md")),
    *sorted((ROOT / "experiments" / "notes").glob("*.md")),
]
MOST_BYTES = {README: 7_000, ROOT / "DEVELOPERS.md": 10_000}


def test_the_suggestion_is_what_the_terminal_shows(tmp_path: Path) -> None:
    steps = steps_of(GUIDE / "first-bag.md")
    set_up = next(number for number, step in enumerate(steps) if step.command == "dialopt pairing") + 1
    shown = steps_of(README)
    assert "dialopt next" in {step.command for step in shown}
    walk([*steps[:set_up], *shown], tmp_path)


def test_the_python_example_runs() -> None:
    results = doctest.testfile(str(README), module_relative=False, encoding="utf-8")
    assert results.attempted >= 5
    assert results.failed == 0


def test_both_commands_stand_where_they_are_looked_for() -> None:
    text = README.read_text(encoding="utf-8")
    assert re.search(r"<!-- demo command -->\n```\npython3 .*/dialopt demo", text)
    assert re.search(r"<!-- test command -->\n```\npython3 .*pytest", text)


@pytest.mark.parametrize("page", DOCUMENTS, ids=lambda page: page.name)
def test_every_link_leads_somewhere(page: Path) -> None:
    for target in re.findall(r"\]\(([^)#]+)\)", page.read_text(encoding="utf-8")):
        assert (page.parent / target).exists(), target


@pytest.mark.parametrize("page", MOST_BYTES, ids=lambda page: page.name)
def test_a_page_stays_short(page: Path) -> None:
    assert page.stat().st_size <= MOST_BYTES[page]


def test_every_experiment_that_is_named_is_there_with_its_options() -> None:
    named = {
        found for page in DOCUMENTS for found in re.findall(r"-m experiments\.(\w+)([^`\n]*)", page.read_text("utf-8"))
    }
    assert len({name for name, _ in named}) >= 8
    for name, rest in named:
        source = (ROOT / "experiments" / name / "__main__.py", ROOT / "experiments" / f"{name}.py")
        text = next(path for path in source if path.is_file()).read_text("utf-8")
        assert all(f'"{option}"' in text for option in re.findall(r"--[a-z-]+", rest)), (name, rest)


def test_every_place_that_developers_are_sent_to_is_there() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    named = re.findall(r"`((?:\.ci|dialopt|experiments|logbook|model|report|shell|tests|trade|engine)/[\w/.]+)`", text)
    assert len(named) >= 25
    for name in named:
        assert (ROOT / name).exists() or (ROOT / "dialopt" / name).exists(), name


def test_a_note_has_a_date_a_subject_and_a_status() -> None:
    notes = [page for page in DOCUMENTS if page.parent.name == "notes"]
    assert len(notes) >= 20
    for note in notes:
        assert re.fullmatch(r"\d{4}-\d\d-\d\d-[a-z0-9-]+\.md", note.name)
        title, _, status, *_ = note.read_text("utf-8").splitlines()
        assert title.startswith("# "), note.name
        assert re.match(r"Status: (kept|left|open)\b", status), note.name
        for module in re.findall(r"`((?:engine|model|trade)\.[a-z_]+)`", note.read_text("utf-8")):
            import_module(f"dialopt.{module}")
