"""What advise and its advice take, looked over once."""

from __future__ import annotations

import numbers
from collections.abc import Iterable, Mapping
from datetime import date, datetime

from dialopt.engine.frame import recipes_from_frame
from dialopt.errors import BadValue
from dialopt.trade.checks import whole_number
from dialopt.trade.fields import RECIPE_COLUMNS, REQUIRED_COLUMNS
from dialopt.trade.pairing import DIAL_WORDS, Pairing
from dialopt.trade.recipe import Recipe
from dialopt.trade.shot import Shot
from dialopt.trade.verdict import Verdict


def checked_pairing(pairing: object) -> Pairing:
    """The pairing itself. Raises BadValue."""
    if not isinstance(pairing, Pairing):
        raise BadValue("pairing", pairing, "a Pairing")
    return pairing


def checked_shots(shots: object) -> list[Shot]:
    """The shots as a list. Raises BadValue naming the first that is none."""
    if not isinstance(shots, Iterable) or isinstance(shots, str):
        raise BadValue("shots", shots, "Shots, in the order they were pulled")
    checked = []
    for number, shot in enumerate(shots, start=1):
        if not isinstance(shot, Shot):
            raise BadValue(f"shot {number}", shot, "a Shot")
        checked.append(shot)
    return checked


def checked_earlier(earlier: object) -> list[tuple[Pairing, list[Shot]]]:
    """Pairings with their shots. Raises BadValue."""
    wanted = "pairs of a Pairing and its Shots"
    if not isinstance(earlier, Iterable) or isinstance(earlier, str):
        raise BadValue("earlier", earlier, wanted)
    checked = []
    for pair in earlier:
        if not isinstance(pair, tuple | list) or len(pair) != 2:
            raise BadValue("earlier", pair, wanted)
        checked.append((checked_pairing(pair[0]), checked_shots(pair[1])))
    return checked


def checked_seed(seed: object) -> int:
    """The seed. Raises BadValue."""
    if isinstance(seed, bool) or not isinstance(seed, numbers.Integral) or seed < 0:
        raise BadValue("seed", seed, "a whole number from 0 up")
    return int(seed)


def checked_most_moves(most_moves: object, counts: str) -> int:
    """How many dials a test may move, by default one, or three where only the recipe counts. Raises BadValue."""
    if most_moves is None:
        return 3 if counts == "recipe" else 1
    return whole_number("most_moves", most_moves, 1, len(DIAL_WORDS))


def checked_hold(pairing: Pairing, hold: object) -> dict[str, float]:
    """Settings of dials that aren't to be moved, by the recipe's field names. Raises BadValue."""
    if hold is None:
        return {}
    if not isinstance(hold, Mapping) or not set(hold) <= set(pairing.dials):
        raise BadValue("hold", hold, f"settings by field, of {', '.join(pairing.dials)}")
    for name, setting in hold.items():
        dial = pairing.dials[name]
        if isinstance(setting, bool) or not isinstance(setting, int | float) or not dial.offers(setting):
            raise BadValue(f"hold {name}", setting, f"a setting of this dial, {dial}")
    return {name: dial.snap(hold[name]) for name, dial in pairing.dials.items() if name in hold}


def checked_verdicts(verdicts: object, shots: int) -> list[Verdict]:
    """The verdicts as a list. Raises BadValue naming one that is none, or of a cup that isn't among the shots."""
    if not isinstance(verdicts, Iterable) or isinstance(verdicts, str):
        raise BadValue("verdicts", verdicts, "Verdicts")
    checked = []
    for number, verdict in enumerate(verdicts, start=1):
        if not isinstance(verdict, Verdict):
            raise BadValue(f"verdict {number}", verdict, "a Verdict")
        if (place := max(verdict.one, verdict.other)) >= shots:
            raise BadValue(f"a place in verdict {number}", place, f"places of the {shots} shots, counted from 0")
        checked.append(verdict)
    return checked


def checked_today(today: object) -> date | None:
    """The day. Raises BadValue."""
    if today is None or (isinstance(today, date) and not isinstance(today, datetime)):
        return today
    raise BadValue("today", today, "a date, as a datetime.date")


def checked_level(level: object) -> float:
    """A share of certainty. Raises BadValue."""
    if isinstance(level, bool) or not isinstance(level, int | float) or not 0 <= level <= 1:
        raise BadValue("level", level, "a number from 0 to 1")
    return float(level)


def checked_recipe(field: str, recipe: object) -> Recipe:
    """The recipe itself. Raises BadValue."""
    if not isinstance(recipe, Recipe):
        raise BadValue(field, recipe, "a Recipe")
    return recipe


def checked_recipes(recipes: object) -> list[Recipe]:
    """The recipes as a list, from Recipes, tuples or a frame. Raises BadValue naming the first that is none."""
    if hasattr(recipes, "columns"):
        return recipes_from_frame(recipes)  # type: ignore[arg-type]  # anything with named columns will do
    if not isinstance(recipes, Iterable) or isinstance(recipes, str):
        raise BadValue(
            "recipes",
            recipes,
            "Recipes, tuples of grind, dose_g, temp_c and maybe ratio, or a frame with these columns",
        )
    return [
        Recipe(**dict(zip(RECIPE_COLUMNS, recipe, strict=False)))
        if isinstance(recipe, tuple) and len(REQUIRED_COLUMNS) <= len(recipe) <= len(RECIPE_COLUMNS)
        else checked_recipe(f"recipe {number}", recipe)
        for number, recipe in enumerate(recipes, start=1)
    ]
