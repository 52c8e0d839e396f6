"""What comes next on the way to a first shot."""

from __future__ import annotations

from dialopt.logbook.set_up import Missing

NEXT_STEP: dict[Missing, str] = {
    "grinder": "`dialopt grinder NAME --grind LOW:HIGH:STEP --finer down` sets up the grinder.",
    "machine": "`dialopt machine NAME --temp LOW:HIGH:STEP` sets up the machine.",
    "basket": "`dialopt basket NAME --dose LOW:HIGH:STEP` sets up the basket.",
    "bean": "`dialopt bean NAME --roasted-on DATE` sets up the bean.",
    "pairing": "`dialopt pairing` puts bean and kit together.",
    "choice": "`dialopt use KEY` chooses one of `dialopt pairings`.",
    "shot": "`dialopt prepare` says what to see to first, `dialopt next` what to pull, `dialopt sitting` leads you "
    "through.",
}
KIT = "`dialopt kit` shows what is set up."
ANOTHER = "`dialopt pairing` sets up a pairing with it."


def older_version(pairing_id: int) -> str:
    """Of a thing that the pairing in use has in an older version."""
    return (
        f"pairing {pairing_id} keeps the old version; `dialopt pairing` starts a new bag with this one, "
        "`dialopt pairing --amend` corrects the pairing and keeps its shots."
    )
