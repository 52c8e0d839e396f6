"""The scale that liking is told on."""

from __future__ import annotations

import numpy as np

from dialopt.model.observations import Floats
from dialopt.trade.shot import SCALE


def on_scale(liking: Floats) -> Floats:
    """Liking, or a score, kept to the scale: a cup beyond an end of it can't be liked more, or less, than one there.

    A draw may promise 12 points where nobody has tasted. On average with others that is worth no more than a 10.
    """
    return np.clip(liking, *SCALE)
