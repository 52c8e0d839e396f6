"""Advice: what it rests on, kept with what it said, so that it can be given again."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Sequence
from dataclasses import fields
from datetime import date, datetime
from typing import Any

from dialopt.errors import NotFound
from dialopt.logbook import error_translation
from dialopt.logbook.records import SHOWN, AdviceGiven, AdviceRecord, Case, Evidence, in_turn
from dialopt.logbook.store import pairings, shots
from dialopt.logbook.store.recording import Recording
from dialopt.logbook.store.words import is_row_number
from dialopt.trade.checks import whole_number
from dialopt.trade.estimate import Estimate, PredictedOutcome
from dialopt.trade.pairing import COUNTS, MOST_EARLIER
from dialopt.trade.recipe import Recipe

_COLUMNS = "id, pairing_id, at, seed, version, saw, told"


def evidence(db: sqlite3.Connection, pairing_id: int) -> Evidence:
    """What advice on this pairing rests on: its live shots, and other pairings that have some.

    Of these come first the few that are read, half of them of the same bean where there are such: the same grinder and
    burrs first, then the same bean, then the same grinder with other burrs, then the same machine, and within these the
    one used last first. After them come all others of the same bag, whose coffee counts. Raises NotFound.
    """
    case = _case_now(db, pairing_id)
    return Evidence(case=case, others=tuple(_case_now(db, other_id) for other_id in _others(db, pairing_id)))


def keep(db: Recording, evidence: Evidence, advice: AdviceGiven, shown: Sequence[str] = SHOWN) -> int:
    """Keeps a piece of advice, what it rested on and what of it was shown; returns its number in the logbook.

    Raises NotFound, BadValue.
    """
    pairings.check_there(db, evidence.case.pairing_id)
    seed = whole_number("seed", advice.seed, -(2**63), 2**63 - 1)
    spot = advice.sweet_spot
    told = {
        "next": advice.next_recipe,
        "settled": advice.settled,
        "reason": advice.reason,
        "sweet_spot": spot.recipe,
        "sweet_spot_score": spot.score,
        "chance_close": spot.prob_near_optimal,
        "edges": spot.edges,
        "level_line": spot.near_optimal_ridge,
        "rivals": spot.modes,
        "expected": advice.expected,
        "shots_left": advice.shots_left,
        "leaning": advice.gp_weight,
        "today": advice.today,
        "shown": shown,
        "counts": advice.pairing.counts,
        "most_moves": advice.most_moves,
        "hold": dict(advice.hold),
        "finer_today": advice.finer_today,
    }
    saw = {"case": _reference(evidence.case), "others": [_reference(other) for other in evidence.others]}
    row = {"pairing_id": evidence.case.pairing_id, "at": db.at.isoformat(), "seed": seed, "version": advice.version}
    return db.insert("advice", {**row, "saw": _json(saw), "told": _json(told)})


def history(db: sqlite3.Connection, pairing_id: int) -> list[AdviceRecord]:
    """Every piece of advice on a pairing, in the order given. Raises NotFound."""
    pairings.check_there(db, pairing_id)
    rows = db.execute(f"SELECT {_COLUMNS} FROM advice WHERE pairing_id = ? ORDER BY id", (pairing_id,))
    return [_kept(row) for row in rows]


def latest(db: sqlite3.Connection, pairing_id: int, shown: str = "next") -> AdviceRecord | None:
    """The last advice on a pairing of which that recipe, of `SHOWN`, was shown; None without. Raises NotFound."""
    pairings.check_there(db, pairing_id)
    rows = db.execute(f"SELECT {_COLUMNS} FROM advice WHERE pairing_id = ? ORDER BY id DESC", (pairing_id,))
    return next((kept for row in rows if shown in (kept := _kept(row)).shown), None)


def by_row(db: sqlite3.Connection, row: int) -> AdviceRecord:
    """The piece of advice in that row, which must be there."""
    return _kept(db.execute(f"SELECT {_COLUMNS} FROM advice WHERE id = ?", (row,)).fetchone())


def replay(db: sqlite3.Connection, advice_id: int) -> Evidence:
    """Exactly the pairing, shots and earlier pairings that a piece of advice rested on. Raises NotFound.

    Together with the seed and the day of the kept advice, and the same version of dialopt, `advise` gives that advice
    again.
    """
    row = None
    if is_row_number(advice_id):
        row = db.execute("SELECT saw FROM advice WHERE id = ?", (advice_id,)).fetchone()
    if row is None:
        raise NotFound(f"There is no piece of advice {advice_id} in the logbook; its history lists those there are.")
    with error_translation.reading_back():
        saw = json.loads(row[0])
        return Evidence(case=_case_then(db, saw["case"]), others=tuple(_case_then(db, one) for one in saw["others"]))


def _others(db: sqlite3.Connection, pairing_id: int) -> list[int]:
    """Those that are read, the most telling first, then what else was pulled from the same bag.

    Half of the places are kept for the same bean, however many others the grinder has seen: what was received of it, or
    pulled on another grinder, tells most of where its best cup lies.
    """
    latest = "revision = (SELECT max(revision) FROM pairing_revisions WHERE pairing_id = {0}.pairing_id)"
    rows = db.execute(
        "SELECT r.pairing_id, b.known_as = my_b.known_as, b.known_as = my_b.known_as "
        "AND (b.roasted_on, b.opened_on, b.bag_g) IS (my_b.roasted_on, my_b.opened_on, my_b.bag_g) "
        "FROM pairing_revisions r "
        "JOIN pairing_revisions mine ON mine.pairing_id = ? AND mine." + latest.format("mine") + " "
        "JOIN grinders g ON g.id = r.grinder_id JOIN grinders my_g ON my_g.id = mine.grinder_id "
        "JOIN beans b ON b.id = r.bean_id JOIN beans my_b ON my_b.id = mine.bean_id "
        "JOIN machines m ON m.id = r.machine_id JOIN machines my_m ON my_m.id = mine.machine_id "
        "WHERE r.pairing_id <> mine.pairing_id AND r." + latest.format("r") + " "
        "AND EXISTS (SELECT 1 FROM shots "
        "WHERE pairing_id = r.pairing_id AND act_id NOT IN (SELECT act_id FROM undone)) "
        "ORDER BY (g.known_as = my_g.known_as AND g.burrs = my_g.burrs) DESC, b.known_as = my_b.known_as DESC, "
        f"g.known_as = my_g.known_as DESC, m.known_as = my_m.known_as DESC, {pairings.LAST_USED}",
        (pairing_id,),
    ).fetchall()
    kept = [number for number, same_bean, _ in rows if same_bean][: MOST_EARLIER // 2]
    rest = [number for number, *_ in rows if number not in kept][: MOST_EARLIER - len(kept)]
    read = [number for number, *_ in rows if number in kept or number in rest]
    return [*read, *(number for number, _, same_bag in rows if same_bag and number not in read)]


def _case_now(db: sqlite3.Connection, pairing_id: int) -> Case:
    kept = pairings.by_number(db, pairing_id)
    return Case(
        pairing_id=pairing_id,
        revision=kept.revision,
        pairing=kept.pairing,
        entries=in_turn(shots.live(db, pairing_id)),
    )


def _case_then(db: sqlite3.Connection, reference: list[Any]) -> Case:
    pairing_id, revision, rows = reference
    ever = shots.ever(db, pairing_id)
    return Case(
        pairing_id=pairing_id,
        revision=revision,
        pairing=pairings.revision(db, pairing_id, revision),
        entries=tuple(ever[row] for row in rows),
    )


def _reference(case: Case) -> list[Any]:
    return [case.pairing_id, case.revision, [entry.row for entry in case.entries]]


def _json(values: dict[str, Any]) -> str:
    return json.dumps(values, default=_plain, separators=(",", ":"), allow_nan=False)


def _plain(value: Any) -> Any:
    if isinstance(value, Estimate):
        return [value.mean, value.low, value.high]
    if isinstance(value, Recipe | PredictedOutcome):
        return {field.name: getattr(value, field.name) for field in fields(value)}
    return value.isoformat() if isinstance(value, date) else value.item()  # one of numpy's kinds of number


def _estimate(numbers: list[float] | None) -> Any:
    if numbers is None:
        return None
    mean, low, high = numbers
    return Estimate(mean=mean, low=low, high=high)


def _recipes(values: Sequence[dict[str, float]]) -> tuple[Recipe, ...]:
    return tuple(Recipe(**one) for one in values)


def _kept(row: tuple[Any, ...]) -> AdviceRecord:
    with error_translation.reading_back():
        advice_id, pairing_id, at, seed, version, saw_text, values_text = row
        saw, values = json.loads(saw_text), json.loads(values_text)
        return AdviceRecord(
            id=advice_id,
            pairing_id=pairing_id,
            given_at=datetime.fromisoformat(at),
            seed=seed,
            version=version,
            rows_seen=tuple(saw["case"][2]),
            shown=tuple(values.get("shown", SHOWN)),
            next_recipe=Recipe(**values["next"]),
            settled=values["settled"],
            reason=values["reason"],
            sweet_spot_recipe=Recipe(**values["sweet_spot"]),
            sweet_spot_score=_estimate(values["sweet_spot_score"]),
            prob_near_optimal=values["chance_close"],
            edges=tuple(values["edges"]),
            near_optimal_ridge=_recipes(values.get("level_line") or ()) or None,  # type: ignore[arg-type]  # two ends
            modes=_recipes(values.get("rivals", ())),
            expected=PredictedOutcome(**{name: _estimate(it) for name, it in values["expected"].items()}),
            shots_left=values["shots_left"],
            gp_weight=values["leaning"],
            counts=values.get("counts", COUNTS[0]),
            most_moves=values.get("most_moves", 1),
            hold=tuple(values.get("hold", {}).items()),
            today=None if values["today"] is None else date.fromisoformat(values["today"]),
            finer_today=_estimate(values["finer_today"]),
        )
