"""compare, palate: which of two recipes is better, and how far the scores behind it can be trusted."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Annotated

import typer

from dialopt.engine.palate_words import BLIND, noise_words, offset_words, source_words
from dialopt.errors import NotFound
from dialopt.logbook.records import Entry, Evidence
from dialopt.shell import options, words
from dialopt.shell.advising import SEED, advised
from dialopt.shell.answer import Answer
from dialopt.shell.data import comparison_data, palate_data
from dialopt.shell.desk import Desk
from dialopt.shell.reading import read_recipe
from dialopt.shell.register import command
from dialopt.shell.setting_up import current
from dialopt.trade.dial import plain_setting
from dialopt.trade.names import same_name
from dialopt.trade.pairing import Pairing
from dialopt.trade.recipe import Recipe

if TYPE_CHECKING:
    from dialopt.engine.advice import Advice

_KEY = "GRIND:DOSE:TEMP, a shot's number, `best` for the sweet spot or `next` for the shot advised"


def register(app: typer.Typer) -> None:
    """Adds the commands."""
    command(app, "compare")(compare)
    command(app, "palate")(palate)


def compare(
    desk: Desk,
    *,
    one: Annotated[str, typer.Argument(metavar="A", help=f"{_KEY}.")],
    other: Annotated[str, typer.Argument(metavar="B", help="The same; the sweet spot when left out.")] = "best",
    seed: options.Seed = SEED,
) -> Answer:
    """Say which of two recipes is better, how surely, and by how much."""
    with desk.book() as book:
        kept = current(book)
        entries = book.entries(kept.id)
        first, second = (_meant(name, key, kept.pairing, entries) for name, key in (("A", one), ("B", other)))
        evidence, advice = advised(book, kept.id, today=desk.now().date(), seed=seed)

    from dialopt.engine.compare import margin, verdict

    compared = advice.compare(first(advice), second(advice))
    by = [] if compared.one == compared.other else [f"  By       {margin(compared)}, 9 times in 10"]
    return Answer(
        did=f"Two recipes for {kept.pairing.title}, going by {words.count_words(kept.shots)}:",
        lines=(
            f"  A        {words.recipe_words(compared.one)}",
            f"  B        {words.recipe_words(compared.other)}",
            f"  Better?  {verdict(compared)}",
            *by,
            *words.unscored_lines(evidence.shots),
        ),
        next_step="`dialopt serve paired` lets your palate judge them blind; `dialopt next` says what to pull now.",
        data={"pairing": kept.id, **comparison_data(kept.pairing, compared)},
    )


def palate(desk: Desk, *, seed: options.Seed = SEED) -> Answer:
    """Say how far your scores scatter, where your balance lies, and whether a blind repeat would help."""
    with desk.book() as book:
        kept = current(book)
        evidence, advice = advised(book, kept.id, today=desk.now().date(), seed=seed)
    found = advice.palate
    if found is None:
        raise NotFound("This advice tells nothing of the palate.")
    tastings = sum(shot.tasted for shot in evidence.shots)
    lines = [
        f"  Noise    {noise_words(found)}",
        f"  From     {source_words(found, tastings, _own_history(evidence))}",
        f"  Balance  {offset_words(found)}",
    ]
    if found.repeat is not None:
        lines.append(f"  Repeat   {words.recipe_words(found.repeat)}, blind: {BLIND}")
        at = found.repeat
        next_step = (
            f"pull that repeat, then `dialopt shot --grind {plain_setting(at.grind)} --dose {plain_setting(at.dose_g)} "
            f"--temp {plain_setting(at.temp_c)} --yield G --time S --score 0-10` logs it; `dialopt next` "
            "says what else."
        )
    else:
        next_step = "`dialopt next` says what to pull now; `dialopt serve triangle` tests whether two recipes differ."
    return Answer(
        did=f"{_whose(kept.pairing)} palate with {kept.pairing.title}, going by {words.count_words(kept.shots)}, "
        "9 times in 10:",
        lines=tuple(lines),
        next_step=next_step,
        data={"pairing": kept.id, "tastings": tastings, **palate_data(kept.pairing, found)},
    )


def _whose(pairing: Pairing) -> str:
    return "Your" if pairing.taster is None else f"{pairing.taster}'s"


def _own_history(evidence: Evidence) -> bool:
    """Whether earlier pairings had a say in the palate, which none has that somebody else scored."""
    return any(same_name(case.pairing.taster, evidence.pairing.taster) for case in evidence.read)


def _meant(name: str, key: str, pairing: Pairing, entries: Sequence[Entry]) -> Callable[[Advice], Recipe]:
    """The recipe that a key stands for, once there is advice. Raises BadValue, NotFound at once."""
    word = key.strip().lower()
    if word == "best":
        return lambda advice: advice.sweet_spot.recipe
    if word == "next":
        return lambda advice: advice.next_recipe
    if word.isascii() and word.isdigit():
        recipe = next((entry.shot.recipe for entry in entries if str(entry.number) == word.lstrip("0")), None)
        if recipe is None:
            raise NotFound(f"There is no shot {word}; `dialopt shots` lists them, and GRIND:DOSE:TEMP names a recipe.")
    else:
        recipe = pairing.check(read_recipe(name, key))
    return lambda advice: recipe
