from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from dialopt import Basket, Bean, Dial, Grinder, Machine, Pairing, Recipe, Shot, advise
from dialopt.engine.candidates import Candidates, candidates
from dialopt.engine.region import Region
from dialopt.engine.shape import modes, near_optimal_ridge
from dialopt.model.observations import Floats

Surface = Callable[[Floats], Floats]


@pytest.fixture
def pairing() -> Pairing:
    return Pairing(
        bean=Bean(name="shape trial"),
        grinder=Grinder(name="g", grind=Dial(0, 20, 1)),
        machine=Machine(name="m", temp_c=Dial(88, 96, 1)),
        basket=Basket(dose_g=Dial(18, 18, 1)),
    )


def draws_of(lattice: Candidates, surface: Surface, count: int = 200, wobble: float = 0.05) -> Floats:
    """Draws of a surface over (fine, temperature) in shares of the dials, each a little moved up or down everywhere."""
    rng = np.random.default_rng(3)
    height = surface(lattice.at.cube[:, [0, 2]])
    return np.asarray(height + wobble * rng.standard_normal((count, len(height))))


def modes_of(lattice: Candidates, liking: Floats) -> tuple[Recipe, ...]:
    mean, best = liking.mean(axis=0), np.argmax(liking, axis=1)
    return modes(lattice, mean, best, Region(lattice.at.cube[best], lattice.spacing), int(np.argmax(mean)))


def test_a_single_peak_has_neither_line_nor_rival(pairing: Pairing) -> None:
    lattice = candidates(pairing, {})
    liking = draws_of(lattice, lambda at: 8 - 30 * np.sum((at - 0.5) ** 2, axis=1))
    assert near_optimal_ridge(lattice, liking) is None
    assert modes_of(lattice, liking) == ()


def test_a_level_ridge_is_a_line_and_its_ends_lie_on_it(pairing: Pairing) -> None:
    lattice = candidates(pairing, {})
    liking = draws_of(lattice, lambda at: 8 - 60 * (at[:, 0] - at[:, 1]) ** 2)
    line = near_optimal_ridge(lattice, liking)
    assert line is not None
    for end in line:
        cube = lattice.at.cube[lattice.row(pairing, end)]
        assert abs(cube[0] - cube[2]) < 0.15
    assert abs(line[0].temp_c - line[1].temp_c) >= 4


def drawn(lattice: Candidates, chances: dict[int, float]) -> Floats:
    """Twenty draws in which each row is within half a point of the best as often as given, the others never.

    The first row given as always is the best by just that half point; each draw lies elsewhere as a whole.
    """
    liking = np.full((20, len(lattice.at.cube)), 4.0)
    for row, chance in chances.items():
        liking[: round(20 * chance), row] = 7.5
    liking[:, next(iter(chances))] = 8.0
    return np.asarray(liking - 0.5 * np.arange(20)[:, None])


@pytest.mark.parametrize(
    ("changed", "is_line"),
    [({}, True), ({15: 0.7}, False), ({11: 0.4}, False), ({15: 0.0, 14: 0.9}, False)],
    ids=["just enough", "one end not sure enough", "broken", "not far enough"],
)
def test_a_line_is_one_by_its_bounds(pairing: Pairing, changed: dict[int, float], is_line: bool) -> None:
    """Ends just sure enough, half a dial apart, every setting between them as likely close as not."""
    lattice = candidates(replace(pairing, machine=replace(pairing.machine, temp_c=Dial(93, 93))), {})
    chances = {5: 1.0, **dict.fromkeys(range(6, 15), 0.5), 15: 0.9, 16: 0.4}
    line = near_optimal_ridge(lattice, drawn(lattice, chances | changed))
    # From the coarse end on, whose number is the larger one.
    assert (line and tuple(end.grind for end in line)) == ((15, 5) if is_line else None)


def test_a_line_may_lie_along_any_dial_and_lean(pairing: Pairing) -> None:
    lattice = candidates(pairing, {})
    assert lattice.sides == (21, 1, 9, 1)
    rows = {(grind, place): 9 * grind + place for grind in range(21) for place in range(9)}
    lean = {rows[10 if place < 5 else 11, place]: 0.9 for place in range(2, 9)}
    line = near_optimal_ridge(lattice, drawn(lattice, {rows[10, 3]: 1.0, **lean}))
    assert line == (Recipe(grind=10, dose_g=18, temp_c=90, ratio=2), Recipe(grind=11, dose_g=18, temp_c=96, ratio=2))


class Patches:
    """A region of separate patches."""

    def __init__(self, rows: set[int]) -> None:
        self.rows = rows

    def contains(self, cube: Floats, level: float) -> np.ndarray:
        assert level == 0.8
        return np.isin(np.arange(len(cube)), [*self.rows])


def test_modes_are_the_places_that_draws_send_their_best_to(pairing: Pairing) -> None:
    """A fifth of them is enough. Places that touch by a corner are one; what lies outside of all is none."""
    lattice = candidates(pairing, {})
    few, many, some, corner, home = 0, 9 * 5, 9 * 9 + 1, 9 * 10 + 2, 9 * 15
    best_rows = np.repeat([few, many, some, corner, 9 * 12], [1, 8, 2, 2, 7])
    mean = np.linspace(5, 6, len(lattice.at.cube))
    patches = Patches({few, many, many + 1, some, corner, home})
    found = modes(lattice, mean, best_rows, patches, home)  # type: ignore[arg-type]
    assert found == (lattice.recipe(many + 1), lattice.recipe(corner))


def test_two_far_peaks_are_modes(pairing: Pairing) -> None:
    lattice = candidates(pairing, {})

    def two(at: Floats) -> Floats:
        here, there = np.sum((at - 0.15) ** 2, axis=1), np.sum((at - 0.85) ** 2, axis=1)
        return np.asarray(8 - 30 * np.minimum(here, there))

    liking = draws_of(lattice, two, wobble=0.3)
    sweet = int(np.argmax(liking.mean(axis=0)))
    (mode,) = modes_of(lattice, liking)
    gap = np.abs(lattice.at.cube[lattice.row(pairing, mode)] - lattice.at.cube[sweet])
    assert gap[0] > 0.5
    assert gap[2] > 0.5


@pytest.mark.parametrize(("valley", "is_line"), [(4.0, False), (0.2, True)])
def test_two_peaks_along_one_dial_are_no_line(pairing: Pairing, valley: float, is_line: bool) -> None:
    """As good as each other and far apart; how much worse is what lies between them?"""
    lattice = candidates(replace(pairing, machine=replace(pairing.machine, temp_c=Dial(93, 93))), {})
    liking = draws_of(lattice, lambda at: 8 - valley * np.sin(np.pi * (at[:, 0] - 0.2) / 0.6) ** 2)
    assert (near_optimal_ridge(lattice, liking) is not None) == is_line


def test_a_ridge_that_rises_off_the_dial_is_said_to(pairing: Pairing) -> None:
    """The score rises to the fine, hot corner, and nothing else is known: no shot time, no notes."""
    rng = np.random.default_rng(5)
    shots = []
    for fine in (0.0, 0.25, 0.5, 0.75, 1.0):
        for temp in (0.0, 0.5, 1.0):
            score = 4 + 2.5 * fine + 1.5 * temp + 0.3 * rng.standard_normal()
            recipe = Recipe(grind=20 - 20 * fine, dose_g=18, temp_c=88 + 8 * temp)
            shots.append(Shot(recipe=recipe, score=round(2 * score) / 2))
    advice = advise(pairing, shots)
    assert "grind" in advice.sweet_spot.edges
    assert advice.why.caveats[0].kind == "edges"
    assert "grind" in advice.why.caveats[0].dials
