"""What leaves for the roaster and comes back: a share file, or a report, which carries the same.

Share file, schema 1, one JSON object:

    format      "dialopt share"
    schema      1; a reader refuses a higher one
    made_at     when, ISO 8601
    version     of the dialopt that wrote it
    recipe      the sweet spot in terms that need no dial: `GrinderIndependent`, its fields by name
    sure        prob_near_optimal (0–1), settled, tasted (how many shots counted as tastings)
    hash        SHA-256 of the shots without notes; a reader refuses another one
    case        bean, grinder, machine, basket, ratio, drink, water, shots: what reads back as evidence
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Sequence
from dataclasses import asdict, astuple, dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from dialopt.errors import Refused
from dialopt.logbook.plain_values import case_from_values, case_values, data_hash
from dialopt.logbook.records import AdviceGiven
from dialopt.logbook.store.words import printable
from dialopt.logbook.whole_file import read_whole
from dialopt.trade.checks import number
from dialopt.trade.estimate import Estimate
from dialopt.trade.fields import BY_NAME
from dialopt.trade.grinder_independent import MARK_S, GrinderIndependent
from dialopt.trade.pairing import Pairing
from dialopt.trade.shot import SCALE, Shot

FORMAT, SCHEMA = "dialopt share", 1
MOST_BYTES = 20_000_000
_NUMBERS: dict[str, tuple[float, float, str]] = {
    "dose_g": (1, 60, "g"),
    "yield_g": (0.1, 500, "g"),
    "ratio": (0.5, 6, ""),
    "temp_c": (20, 110, "°C"),
    "flow_g_s": (0, 500, "g/s"),
}
_RANGES: dict[str, tuple[float, float, str]] = {"time_s": (0, 1e6, "s"), "score": (*SCALE, "")}
_DATA, _END = '<script type="application/json" id="data">', "</script>"
"""Around what a report carries."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sent:
    """What came in a share file or a report. recipe: theirs in terms that need no dial; a report tells it to people
    only, hence None there.
    """

    pairing: Pairing
    shots: list[Shot]
    recipe: GrinderIndependent | None


def share_json(
    advice: AdviceGiven, shots: Sequence[Shot], recipe: GrinderIndependent, *, now: datetime, notes: bool
) -> str:
    """The share file's text. Personal notes are in it only where asked for."""
    share: dict[str, Any] = {
        "format": FORMAT,
        "schema": SCHEMA,
        "made_at": now.isoformat(timespec="seconds"),
        "version": advice.version,
        "recipe": asdict(recipe),
        "sure": {
            "chance_close": round(advice.sweet_spot.prob_near_optimal, 4),
            "settled": advice.settled,
            "tasted": sum(shot.tasted for shot in shots),
        },
        "hash": data_hash(shots),
        "case": case_values(advice.pairing, shots, notes=notes),
    }
    return json.dumps(share, indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def share_csv(recipe: GrinderIndependent) -> str:
    """The recipe alone as a table of quantity, value, low, high and unit; low and high are the 90 % interval's."""
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(("quantity", "value", "low", "high", "unit"))
    writer.writerows(
        (
            ("dose", f"{recipe.dose_g:g}", "", "", "g"),
            ("cup", f"{recipe.yield_g:g}", "", "", "g"),
            ("ratio", f"{recipe.ratio:g}", "", "", "cup to dose"),
            ("water", f"{recipe.temp_c:g}", "", "", "°C"),
            ("time", *(f"{value:.1f}" for value in astuple(recipe.time_s)), "s"),
            ("flow", f"{recipe.flow_g_s:.2f}", "", "", "g/s"),
            ("strength", "" if recipe.tds_pct is None else f"{recipe.tds_pct:g}", "", "", "% of the cup"),
            ("grind", recipe.steps_finer_than_mark, "", "", f"steps finer than what runs in {MARK_S:g} s"),
            ("liking", *(f"{value:.1f}" for value in astuple(recipe.score)), "of 10"),
        )
    )
    return text.getvalue()


def read_share(path: Path) -> Sent:
    """What a share file or a report holds. Raises NotFound without the file, Refused, BadValue."""
    data = read_whole(path, most_bytes=MOST_BYTES, wanted="a share file (JSON) or a report (HTML)")
    return share_from_text(data.decode("utf-8-sig", errors="replace"), path.name)


def share_from_text(text: str, name: str) -> Sent:
    """What the text of a file called `name` holds. Raises Refused, BadValue."""
    # Found and not matched: a pattern would look for the end anew from every beginning.
    start = text.find(_DATA) + len(_DATA)
    in_report = start >= len(_DATA)
    try:
        content = json.loads(text[start : text.find(_END, start)] if in_report else text)
    except (ValueError, RecursionError):
        raise Refused(f"{printable(name)} is no share file and no report of dialopt, or it isn't whole.") from None
    if in_report:
        pairing, shots = case_from_values(content)
        return Sent(pairing=pairing, shots=shots, recipe=None)
    if not isinstance(content, dict) or content.get("format") != FORMAT:
        raise Refused(f"{printable(name)} is no share file of dialopt.")
    schema = content.get("schema")
    if not isinstance(schema, int) or isinstance(schema, bool) or schema < 1:
        raise Refused(f"{printable(name)} doesn't say which schema it follows.")
    if schema > SCHEMA:
        raise Refused(
            f"{printable(name)} was written by a newer dialopt (schema {schema}, this one knows up to {SCHEMA}); "
            "bring dialopt up to date first."
        )
    pairing, shots = case_from_values(content.get("case"))
    if content.get("hash") not in (None, data_hash(shots)):
        raise Refused(f"{printable(name)} was changed or damaged on its way: its shots aren't those that were sent.")
    return Sent(pairing=pairing, shots=shots, recipe=_recipe(content.get("recipe"), name))


def _recipe(content: Any, name: str) -> GrinderIndependent | None:
    """The recipe in a share file. It is shown to people, so its numbers are looked over like any others."""
    if content is None:
        return None
    try:
        steps = content["steps_finer_than_mark"]
        read: dict[str, Any] = {field: number(field, content[field], *bounds) for field, bounds in _NUMBERS.items()}
        for field, bounds in _RANGES.items():
            ends = {end: number(field, content[field][end], *bounds) for end in ("mean", "low", "high")}
            read[field] = Estimate(**ends)
        return GrinderIndependent(
            **read,
            tds_pct=BY_NAME["tds_pct"].checked(content["tds_pct"]),
            steps_finer_than_mark=None if steps is None else round(number("grind steps", steps, -1e6, 1e6)),
        )
    except (KeyError, TypeError, IndexError):
        raise Refused(f"The recipe in {printable(name)} isn't complete.") from None
