"""The guide is run: the first bag from an empty bench, each other page from where the first bag ends."""

from __future__ import annotations

from pathlib import Path
from shutil import copytree

import pytest

from tests.console import GUIDE, matches, steps_of, walk

pytestmark = pytest.mark.slow

FIRST = GUIDE / "first-bag.md"
OTHERS = sorted(page.name for page in GUIDE.glob("*.md") if page != FIRST)


@pytest.fixture(scope="session")
def first_bag(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("first-bag")
    walk(steps_of(FIRST), folder)
    return folder


def test_the_first_bag_goes_as_written(first_bag: Path) -> None:
    assert len(steps_of(FIRST)) > 12
    assert (first_bag / "first-bag.html").stat().st_size > 100_000


@pytest.mark.parametrize("page", OTHERS)
def test_a_page_goes_as_written(page: str, first_bag: Path, tmp_path: Path) -> None:
    steps = steps_of(GUIDE / page)
    assert len(steps) >= 2
    walk(steps, copytree(first_bag, tmp_path / "bench"))


def test_the_pages_are_those_of_the_walks() -> None:
    names = {"backup.md", "blind-tests.md", "new-burrs.md", "roaster.md", "water-and-caffeine.md"}
    assert set(OTHERS) == names
    assert all(f"]({name})" in FIRST.read_text(encoding="utf-8") for name in names)


def test_the_matcher_can_fail() -> None:
    assert matches(["a … c", "…"], ["a b c", "d", "e"])
    assert matches(["grind [x]", "…", "z"], ["grind [x]", "z"])
    assert not matches(["a … c"], ["a b d"])
    assert not matches(["a"], ["a", "b"])
    assert not matches(["a", "…", "z"], ["a", "b"])
