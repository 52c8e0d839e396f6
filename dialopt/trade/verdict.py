"""A verdict between two cups."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar

from dialopt.errors import BadValue
from dialopt.trade.fields import Field, Fields, hold

SAYS = ("better", "same", "worse")
_MOST = 1_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """What somebody says of two cups: the one is better than the other, the same or worse. Raises BadValue.

    one, other: their places among the shots, from 0. Neither cup needs a score.

    >>> Verdict(one=3, other=2, says="better")
    Verdict(one=3, other=2, says='better')
    """

    FIELDS: ClassVar[Fields] = (
        Field(name="one", kind="whole", high=_MOST, needed=True),
        Field(name="other", kind="whole", high=_MOST, needed=True),
        Field(name="says", kind="choice", choices=SAYS, needed=True),
    )

    one: int
    other: int
    says: str

    def __post_init__(self) -> None:
        hold(self)
        if self.one == self.other:
            raise BadValue("other", self.other, "the place of another cup than the one")


def among(verdicts: Sequence[Verdict], places: Sequence[int]) -> list[Verdict]:
    """The verdicts on shots of which only those at these places are left, in order; both cups must be.

    >>> among([Verdict(one=3, other=2, says="same"), Verdict(one=0, other=2, says="worse")], [0, 2])
    [Verdict(one=0, other=1, says='worse')]
    """
    now = {place: number for number, place in enumerate(places)}
    return [
        Verdict(one=now[it.one], other=now[it.other], says=it.says)
        for it in verdicts
        if it.one in now and it.other in now
    ]
