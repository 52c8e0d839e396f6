"""The one sentence that goes with a piece of advice."""

from __future__ import annotations

from dialopt.engine.reason import Caveat, Move, Reason
from dialopt.text.formats import bare_setting, counted, joined, odds, plain, sentence_case, setting
from dialopt.trade.pairing import DIAL_WORDS

_KINDS = {
    "settled": "More test shots won't help much; the chance is {odds} that no setting is better by more than half a "
    "point",
    "start": "Nothing has been tasted yet, so start where the best cup is most likely",
    "untasted": "The last recipe wasn't properly tasted, so pull it once more",
    "again_best": "The same again: it is the best guess so far, and no other cup is worth more now",
    "again_unsure": "The same again: a second cup shows how far to trust the first",
    "careful": "The puck choked, so this is a careful step to where the best cup is likelier",
    "nearest": "The setting of the dials that is nearest to the last shot",
}
_BECAUSE = {
    "shot_time": "Only the grind moves until the shot time is right: ",
    "choked": "The last puck choked: ",
    None: "",
}
_UNTRIED = "as nothing {side} {setting} has been tasted yet and one cup there teaches the most"
_WHY = {
    "best": "to the best guess so far",
    "towards_best": "towards the best guess so far",
    "open": "to find out what that changes",
    "ran_fast": "as the finest so far ran fast, {seconds} s",
    "ran_slow": "as the coarsest so far ran slow, {seconds} s",
    "untried_more": _UNTRIED,
    "untried_less": _UNTRIED,
}
_SIDES = {"grind": ("finer than", "coarser than"), "dose_g": ("above", "below"), "temp_c": ("above", "below")} | {
    "ratio": ("longer than", "shorter than")
}
_CAVEATS = {
    "edges": "the best {dials} may lie at or beyond {ends}",
    "ridge": "there is no single best setting, as a whole line of them does about as well",
    "modes": "the best may also lie in quite another place",
    "may_choke": "a puck choked at {grind} with {dose}, so this one may, too",
    "older": "the beans are {days} days older than at the last shot, so less is certain",
}


def reason_sentence(reason: Reason) -> str:
    """Why this recipe next, in one plain sentence that names every dial it moves."""
    if reason.kind == "moves":
        said = sentence_case(_BECAUSE[reason.because] + "; ".join(_move(move) for move in reason.moves))
    else:
        said = _KINDS[reason.kind].format(odds=odds(reason.prob_near_optimal))
    if reason.goes_by:
        sources = {
            "suggestion": "the roaster's suggestion",
            "roast": f"the {reason.roast} roast",
            "earlier": counted(reason.earlier, "earlier pairing"),
        }
        said += f", going by {joined([sources[name] for name in reason.goes_by])}"
    return "; ".join([said, *(_caveat(caveat) for caveat in reason.caveats)]) + "."


def _move(move: Move) -> str:
    beyond = move.beyond or 0.0
    why = _WHY[move.why].format(
        side=_SIDES[move.dial][move.why == "untried_less"],
        setting=setting(move.dial, beyond),
        seconds=plain(beyond, 2),
    )
    return f"{DIAL_WORDS[move.dial]} {setting(move.dial, move.now)} (was {bare_setting(move.dial, move.was)}), {why}"


def _caveat(caveat: Caveat) -> str:
    choked = caveat.recipe
    return _CAVEATS[caveat.kind].format(
        dials=joined([DIAL_WORDS[name] for name in caveat.dials]),
        ends="the ends of their dials" if len(caveat.dials) > 1 else "the end of the dial",
        grind=choked and setting("grind", choked.grind),
        dose=choked and setting("dose_g", choked.dose_g),
        days=caveat.days,
    )
