"""README and the other documents: what they show is run, and what they name is there."""

from __future__ import annotations

import doctest
import re
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


def test_every_experiment_that_is_named_is_there() -> None:
    named = {name for page in DOCUMENTS for name in re.findall(r"-m experiments\.(\w+)", page.read_text("utf-8"))}
    assert len(named) >= 8
    for name in named:
        path = ROOT / "experiments" / name
        assert path.with_suffix(".py").is_file() or (path / "__main__.py").is_file(), name
