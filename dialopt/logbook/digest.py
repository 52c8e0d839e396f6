"""A number by which a shot's row can be told for just what was written."""

from __future__ import annotations

import zlib
from collections.abc import Sequence

VALUES = ("grind", "dose_g", "temp_c", "yield_g", "time_s", "score", "balance", "fault", "tds_pct", "pulled_at", "note")
DIGESTED = ("act_id", "pairing_id", "number", "revision", *VALUES)
"""The columns that it covers, in order. It stands in every row, so neither this nor the digest ever changes."""


def digest_of(values: Sequence[object]) -> int:
    """CRC-32 of the values of DIGESTED; a number counts the same however it was typed, as the file keeps it.

    >>> digest_of([1, 18]) == digest_of([1.0, 18.0]) != digest_of([1, 18.5])
    True
    """
    told = [float(value) + 0.0 if isinstance(value, int | float) else value for value in values]  # no minus nought
    return zlib.crc32(repr(told).encode("utf-8", "surrogatepass"))
