from __future__ import annotations

import numpy as np
import pytest

from dialopt.model.observations import Floats
from dialopt.model.smc import Particles, tempered_smc


class Sharp:
    """The unit normal in k directions, seen through readings of that precision at `at` in the first direction."""

    def __init__(self, at: float, sd: float) -> None:
        self.at, self.sd, self.calls = at, sd, 0

    def __call__(self, points: Floats, rng: np.random.Generator) -> Particles:
        self.calls += 1
        log_likelihood = -0.5 * ((points[:, 0] - self.at) / self.sd) ** 2
        log_base = -0.5 * np.sum(points**2, axis=1)
        return Particles(
            points=points,
            log_base=log_base,
            log_likelihood=log_likelihood,
            hidden=np.zeros((len(points), 0), dtype=bool),
            latent=np.zeros((len(points), 0)),
        )


def test_a_normal_seen_through_noise_is_the_exact_posterior() -> None:
    at, sd, rng = 2.0, 0.3, np.random.default_rng(4)
    particles, log_evidence = tempered_smc(
        Sharp(at, sd), rng.standard_normal((4000, 3)), rng, moves=6, most_temperatures=40
    )
    shrink = 1.0 / (1.0 + sd**2)
    assert particles.points[:, 0].mean() == pytest.approx(at * shrink, abs=0.03)
    assert particles.points[:, 0].std() == pytest.approx(sd * np.sqrt(shrink), rel=0.1)
    assert particles.points[:, 1:].std() == pytest.approx(1.0, rel=0.1)
    exact = 0.5 * np.log(sd**2 / (1.0 + sd**2)) - 0.5 * at**2 / (1.0 + sd**2)
    assert log_evidence == pytest.approx(exact, abs=0.15)


@pytest.mark.parametrize("most_temperatures", [1, 4, 11])
def test_however_sharp_the_data_the_powers_are_bounded(most_temperatures: int) -> None:
    sharp, rng = Sharp(5.0, 1e-4), np.random.default_rng(4)
    particles, log_evidence = tempered_smc(
        sharp, rng.standard_normal((500, 3)), rng, moves=2, most_temperatures=most_temperatures
    )
    assert sharp.calls <= 1 + 2 * most_temperatures
    assert np.isfinite(particles.points).all()
    assert np.isfinite(log_evidence)


def test_nothing_to_bring_in_takes_one_power() -> None:
    flat, rng = Sharp(0.0, 1e9), np.random.default_rng(4)
    _, log_evidence = tempered_smc(flat, rng.standard_normal((500, 3)), rng, moves=2, most_temperatures=40)
    assert flat.calls == 3
    assert log_evidence == pytest.approx(0.0, abs=1e-9)
