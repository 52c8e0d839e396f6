"""side-by-side: several pairings on one page."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

from dialopt.errors import NotFound, WrongUse
from dialopt.logbook.book import Logbook
from dialopt.logbook.records import PairingRecord
from dialopt.shell.context import SEED, Context
from dialopt.shell.data import recipe_data
from dialopt.shell.in_use import burr_set, current
from dialopt.shell.options import Replace, Seed, argument, option
from dialopt.shell.parsers import check_page
from dialopt.shell.render import Answer, working
from dialopt.text.formats import estimate_words
from dialopt.trade.names import same_name

if TYPE_CHECKING:
    from dialopt.engine.independent import Ranked
    from dialopt.report.sides import Shown

MOST = 8
_KEYS = (
    "Numbers or beans of `dialopt pairings`, at most 8. One alone is put beside the pairing in use; none stands for "
    "all with shots that share its bean or its grinder."
)


def side_by_side(
    context: Context,
    *,
    keys: Annotated[list[str] | None, argument("[KEY]...", _KEYS)] = None,
    out: Annotated[Path, option("FILE", "Where to write it.")] = Path("dialopt-side-by-side.html"),
    replace: Replace = False,
    seed: Seed = SEED,
) -> Answer:
    """Write several pairings on one page: bags, grinders, before and after new burrs."""
    check_page(out, replace=replace)
    with context.book() as book:
        chosen = _chosen(book, keys or [])
        shown = lined_up(context, book, chosen, seed=seed)
        from dialopt.report.side_by_side import write_side_by_side
        from dialopt.report.sides import ranked
        from dialopt.text.pairings import TASTERS, best_sentence

        write_side_by_side(out, shown, now=context.now())
        ranking = ranked(shown)
        return Answer(
            did=f"Wrote {len(shown)} pairings side by side to {out}.",
            lines=(
                *(_line(one) for one in shown),
                f"  {best_sentence(ranking)}",
                *([f"  {TASTERS}"] if len({one.pairing.taster for one in shown}) > 1 else []),
            ),
            next_step="open it in a browser; it needs no network. `dialopt report` tells more of the one in use.",
            data={"file": out.absolute(), "pairings": _data(shown, ranking)},
        )


def lined_up(context: Context, book: Logbook, chosen: list[PairingRecord], *, seed: int = SEED) -> tuple[Shown, ...]:
    """The pairings with advice on each, looked back on shot by shot."""
    advised = [(*context.advised(book, record.id, seed=seed), burr_set(book, record.pairing)) for record in chosen]
    with working("Looking back") as tell:
        from dialopt.report.sides import Side, line_up

        sides = [
            Side(shots=it.shots, advice=advice, earlier=it.earlier, burrs=burrs, pairing_id=it.case.pairing_id)
            for it, advice, burrs in advised
        ]
        return line_up(sides, progress=lambda done, of: tell(f"shot {done} of {of}"))


def _chosen(book: Logbook, keys: list[str]) -> list[PairingRecord]:
    """The pairings that were asked for, else all that have to do with the one in use, the oldest first."""
    if not keys:
        return _related(book, current(book))
    found = [book.pairing(key) for key in keys]
    if len(found) == 1:
        found.insert(0, current(book))
    if len({record.id for record in found}) < len(found):
        raise WrongUse("A pairing is named twice; name each once. One alone is put beside the pairing in use.")
    if len(found) > MOST:
        raise WrongUse(f"{len(found)} pairings are too many for one page; name up to {MOST}.")
    return found


def _related(book: Logbook, here: PairingRecord) -> list[PairingRecord]:
    bean, grinder = here.pairing.bean.name, here.pairing.grinder.name
    others = [
        record
        for record in book.pairings()
        if record.id != here.id
        and record.shots
        and (same_name(record.pairing.bean.name, bean) or same_name(record.pairing.grinder.name, grinder))
    ]
    if not others:
        alone = NotFound(f"No other pairing with shots shares the bean or the grinder of {here.pairing.title}.")
        alone.add_note("name the pairings to put side by side; `dialopt pairings` lists them.")
        raise alone
    return sorted([here, *others[: MOST - 1]], key=lambda record: record.id)


def _line(one: Shown) -> str:
    recipe = one.advice.sweet_spot.recipe
    return (
        f"  {one.letter}        pairing {one.side.pairing_id}, {one.label}: {recipe.dose_g:g} g, "
        f"1:{one.pairing.ratio:g}, {recipe.temp_c:g} °C, {one.free.time_s.mean:.0f} s, liking "
        f"{estimate_words(one.advice.sweet_spot.score)}"
    )


def _data(shown: tuple[Shown, ...], ranking: Ranked) -> list[dict[str, Any]]:
    chances = {place.number: place.chance for place in ranking.places}
    return [
        {
            "letter": one.letter,
            "id": one.side.pairing_id,
            "title": one.pairing.title,
            "label": one.label,
            "shots": len(one.shots),
            "tasted": one.side.tasted,
            "sweet_spot": recipe_data(one.pairing, one.advice.sweet_spot.recipe),
            "grinder_independent": asdict(one.free),
            "prob_near_optimal": float(one.advice.sweet_spot.prob_near_optimal),
            "chance_best": chances.get(one.number),
            "settled": bool(one.advice.settled),
        }
        for one in shown
    ]
