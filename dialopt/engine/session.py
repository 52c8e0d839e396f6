"""A dial-in held in memory: ask what to pull, tell how it was, and ask again."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Self

from dialopt.engine.advice import Advice
from dialopt.engine.advise import advise
from dialopt.engine.checked import checked_pairing, checked_recipe, checked_seed, checked_shots
from dialopt.engine.frame import from_frame, to_frame
from dialopt.trade.pairing import Pairing
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot

if TYPE_CHECKING:
    import pandas as pd


class Session:
    """A pairing and its shots so far. The same shots give the same advice as `advise`.

    shots: those pulled already, in order. seed and options: as `advise` takes them. Raises BadValue.

    >>> import dialopt as d
    >>> pairing = d.Pairing(
    ...     bean=d.Bean(name="washed sample"),
    ...     grinder=d.Grinder(name="bench grinder", grind=d.Dial(0, 40, 1)),
    ...     machine=d.Machine(name="bench machine", temp_c=d.Dial(93, 93)),
    ...     basket=d.Basket(dose_g=d.Dial(18, 18)),
    ... )
    >>> session = d.Session(pairing)
    >>> first = session.ask()
    >>> session.tell(first, yield_g=36, time_s=19, score=5, balance=-2)
    >>> session.ask().grind < first.grind, len(session.shots)
    (True, 1)
    >>> finer, coarser = session.advice.predict([(12, 18, 93), (24, 18, 93)]).time_s
    >>> bool(finer > coarser)
    True
    >>> session.to_frame()[["grind", "time_s", "score"]].shape
    (1, 3)
    """

    def __init__(self, pairing: Pairing, shots: Sequence[Shot] = (), seed: int = 0, **options: Any) -> None:
        self.pairing = checked_pairing(pairing)
        self._shots = checked_shots(shots)
        self._seed, self._options = checked_seed(seed), options
        self._advice: Advice | None = None

    @property
    def shots(self) -> tuple[Shot, ...]:
        """The shots told so far, in order."""
        return tuple(self._shots)

    @property
    def advice(self) -> Advice:
        """What `advise` says of these shots."""
        if self._advice is None:
            self._advice = advise(self.pairing, self._shots, seed=self._seed, **self._options)
        return self._advice

    def ask(self) -> Recipe:
        """The recipe to pull next."""
        return self.advice.next_recipe

    def tell(self, recipe: Recipe, **noted: Any) -> None:
        """Adds a shot of that recipe. noted: other fields of a `Shot`, such as time_s and score. Raises BadValue."""
        self._shots.append(Shot(recipe=checked_recipe("recipe", recipe), **noted))
        self._advice = None

    def to_frame(self) -> pd.DataFrame:
        """The shots as a pandas frame: a row each, a column for every field of a shot and its recipe."""
        return to_frame(self._shots)

    @classmethod
    def from_frame(cls, pairing: Pairing, frame: pd.DataFrame, seed: int = 0, **options: Any) -> Self:
        """A session of the shots in a frame: columns as in `to_frame`, of which only the recipe's must be there.

        Raises BadValue, which names the row.
        """
        return cls(pairing, from_frame(frame), seed, **options)
