"""Which rules are for which vessel, and which rule set she falls under when none is named."""

from __future__ import annotations

from typing import get_args

from heelwright_service.core.rules.definitions import Applicability, Kind, RuleVessel

SYNONYMS: dict[str, Kind] = {
    "passenger-ship": "passenger",
    "passenger-vessel": "passenger",
    "ferry": "passenger",
    "ro-pax": "passenger",
    "ro-pax-ferry": "passenger",
    "ropax": "passenger",
    "cruise": "passenger",
    "cruise-ship": "passenger",
    "excursion-boat": "passenger",
    "cargo-ship": "cargo",
    "bulk-carrier": "cargo",
    "general-cargo": "cargo",
    "container-ship": "cargo",
    "tanker": "cargo",
    "ro-ro": "cargo",
    "offshore-supply": "cargo",
    "fishing-vessel": "fishing",
    "trawler": "fishing",
    "tug": "towing",
    "towing-vessel": "towing",
    "modu": "offshore-unit",
    "mobile-offshore-unit": "offshore-unit",
    "mobile-offshore-drilling-unit": "offshore-unit",
    "semi-submersible": "offshore-unit",
    "jack-up": "offshore-unit",
    "hsc": "high-speed-craft",
    "inland-vessel": "inland",
    "floating-equipment": "inland",
}


def kind_of(words: str) -> Kind | None:
    """Return the kind of vessel that trade words stand for.

    Parameters
    ----------
    words : str
        What the vessel is called; case, spaces and underscores do not matter.

    Returns
    -------
    str or None
        One of the kinds that rules know, or None for a word that stands for none of them.

    Examples
    --------
    >>> kind_of("Cruise ship"), kind_of("lightvessel")
    ('passenger', None)
    """
    word = "-".join(words.strip().lower().replace("_", " ").replace("-", " ").split())
    for kind in get_args(Kind):
        if kind == word:
            return kind  # type: ignore[no-any-return] # get_args is untyped
    return SYNONYMS.get(word)


def applies_to(applies: Applicability, vessel: RuleVessel) -> bool:
    """Tell whether a rule is for a vessel.

    Parameters
    ----------
    applies : Applicability
        Kinds and lengths that the rule names.
    vessel : RuleVessel
        The vessel.

    Returns
    -------
    bool
        False for a vessel of unknown kind where the rule names kinds.

    Examples
    --------
    >>> over_24_m = Applicability(kinds=frozenset({"fishing"}), from_length_m=24.0)
    >>> applies_to(over_24_m, RuleVessel(kind="trawler", length_m=31.0))
    True
    """
    kind, length = kind_of(vessel.kind), vessel.length_m
    return (
        (not applies.kinds or kind in applies.kinds)
        and (applies.from_length_m is None or length >= applies.from_length_m)
        and (applies.above_length_m is None or length > applies.above_length_m)
        and (applies.below_length_m is None or length < applies.below_length_m)
        and (applies.up_to_length_m is None or length <= applies.up_to_length_m)
        and (applies.column_stabilized is None or bool(vessel.column_stabilized) == applies.column_stabilized)
    )
