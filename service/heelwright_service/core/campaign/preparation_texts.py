"""What the work list says: each kind of work with its reason, its proof, who does it and until when."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Wording:
    """The words of one kind of work.

    Parameters
    ----------
    kind : str
        Name of the kind, by which it is priced.
    what, why, verify : str
        What to do, why in one line, how it is verified; ``{name}`` and ``{state}`` are filled in.
    who, due, rule : str
        Who does it, the milestone it is due with, the rule behind it.
    only : str, optional
        Only where the plan has such a thing.
    """

    kind: str
    what: str
    why: str
    verify: str
    who: str
    due: str
    rule: str = "common practice"
    only: str | None = None


TANKS: dict[str, Wording] = {
    "emptied": Wording(
        "emptied",
        "{name}: empty and strip it, no free liquid at low points or between frames.",
        "Liquid nobody knows of weighs low in the ship and flatters her stability.",
        "Seen from the open manhole or by a sounding at its lowest point; by name.",
        "chief-engineer",
        "survey",
        "K-10",
    ),
    "pressed": Wording(
        "pressed",
        "{name}: press it up until it overflows at the vent before a witness, then shut the valves.",
        "A tank at 98 % has a free surface that nobody can compute; only a full one has none.",
        "Overflow at the vent seen by a witness, then sounded.",
        "chief-engineer",
        "survey",
        "K-08",
    ),
    "slack": Wording(
        "slack",
        "{name}: bring it to {state} and leave it there.",
        "The level decides its mass and free surface; both are deducted.",
        "Sounded by hand, its density measured.",
        "chief-engineer",
        "survey",
        "K-02",
    ),
    "heated": Wording(
        "heated",
        "{name}: warm the contents so that they flow.",
        "Cold oil does not follow the heel, so no correction for its free surface holds.",
        "Temperature written down at the sounding.",
        "chief-engineer",
        "survey",
        "K-06",
    ),
    "gas-free": Wording(
        "gas-free",
        "{name}: have it certified gas-free by a competent person on the day of entry.",
        "People have died in tanks that looked empty; without the certificate nobody goes in. Alternatives: fill it, "
        "or carry its doubt in the uncertainty.",
        "Certificate of the day with readings, time and name.",
        "yard",
        "gas-free",
        "K-10",
    ),
    "access": Wording(
        "access",
        "{name}: open the access for the day and guard it.",
        "An empty tank is proved empty by looking in.",
        "Seen open by the sounding party.",
        "yard",
        "survey",
        "K-10",
    ),
    "sounded": Wording(
        "sounded",
        "{name}: keep pipe, cap and sounding table at hand for the sounding party.",
        "Every tank and void is sounded: a gauge alone counts less, an assumption not at all.",
        "Sounding entered with its evidence.",
        "sounding-party",
        "test",
        "K-13",
    ),
    "permit": Wording(
        "permit",
        "Issue an entry permit for every tank that is entered: atmosphere readings, attendant, rescue.",
        "The first rescuer is often the next victim.",
        "Permit at the access, signed for the day.",
        "master",
        "gas-free",
        "K-10",
    ),
    "cross-connection": Wording(
        "cross-connection",
        "{name}: shut it, and let a second person verify it.",
        "Liquid that runs across bends the plot and the ship looks other than she is.",
        "Two names, one tag at the valve.",
        "chief-engineer",
        "test",
        "K-07",
    ),
    "system": Wording(
        "system",
        "{name}: bring it to its planned state: {state}.",
        "Systems at their working level belong to lightship; half-filled ones belong nowhere.",
        "Seen and written down.",
        "chief-engineer",
        "survey",
        "P-24",
    ),
}

GENERAL: dict[str, Wording] = {
    "valves": Wording(
        "valves",
        "Shut all valves between tanks and to the sea; verify twice.",
        "Liquid that moves during the test is a weight nobody entered.",
        "Two names on the valve list.",
        "chief-engineer",
        "test",
        "K-07",
    ),
    "yard-gear": Wording(
        "yard-gear",
        "Take off everything of the yard's: staging, tools, cables, welding sets, waste.",
        "It is not lightship; what is forgotten stays in the books for years.",
        "Walk through by two persons at the close of the survey day.",
        "yard",
        "yard-work-ends",
        "P-10",
    ),
    "yard-work": Wording(
        "yard-work",
        "End all work on board; nothing of the yard's comes aboard on the day of the test.",
        "A weight that comes or goes between survey and readings spoils both.",
        "Gangway watch from the close of the survey on.",
        "yard",
        "yard-work-ends",
        "P-11",
    ),
    "loose-outfit": Wording(
        "loose-outfit",
        "Put loose outfit at or near its fitted place.",
        "Near its place it needs no entry of its own.",
        "Walk through.",
        "master",
        "survey",
        "P-05",
    ),
    "surplus": Wording(
        "surplus",
        "Land surplus stores, spares and cargo gear, space by space, to quay storage; list what must come back.",
        "Surplus over 4 % of lightship puts the result in doubt.",
        "List of the quay store, compared when it comes back aboard.",
        "master",
        "surplus-landed",
        "P-08",
    ),
    "safety-equipment": Wording(
        "safety-equipment",
        "Keep all statutory life-saving and fire-fighting equipment aboard and in its place.",
        "It is lightship, and it may be needed.",
        "Walk through.",
        "master",
        "survey",
        "C-25",
    ),
    "crane": Wording(
        "crane",
        "Crane, operator and riggers stand by for the whole test, with the lifting plan read.",
        "The test is short when the weights move fast; nobody stands under a load.",
        "Named and present at the briefing.",
        "crane-crew",
        "resources-booked",
        "P-30",
        "crane",
    ),
    "weights": Wording(
        "weights",
        "Weigh, mark and certify the inclining weights and place them at their start.",
        "One per cent of error in a weight is one per cent of GM.",
        "Certificates of weights and scale; number and mass painted on each.",
        "yard",
        "weights-certified",
        "W-05",
    ),
    "bilges": Wording(
        "bilges",
        "Dry bilges and decks; remove rain, snow and ice before the readings.",
        "Water on a wide deck is a free surface of the worst kind.",
        "Seen on the day.",
        "chief-engineer",
        "test",
        "P-12",
    ),
    "swinging-gear": Wording(
        "swinging-gear",
        "Secure everything that can swing: derricks, cranes, boats, hanging loads.",
        "A swinging load acts as if it hung at its upper end, and never rests.",
        "Seen on the day.",
        "master",
        "test",
        "P-25",
    ),
    "systems": Wording(
        "systems",
        "Fill boilers, piping and machinery systems to their working level.",
        "At working level they are lightship.",
        "Levels written down.",
        "chief-engineer",
        "survey",
        "P-24",
    ),
    "moorings": Wording(
        "moorings",
        "Rig long slack lines near the centreline, gangway off, shore hoses and cables off or slack.",
        "A line that holds three per cent of the heel makes the ship look stiffer than she is.",
        "Checked slack just before each reading.",
        "master",
        "test",
        "P-16",
    ),
    "depth": Wording(
        "depth",
        "Sound the depth round the ship for the lowest tide of the test.",
        "A ship that touches the bottom does not heel freely.",
        "Depths and times written down.",
        "master",
        "test",
        "P-14",
    ),
    "persons": Wording(
        "persons",
        "List everybody who stays aboard, with body weight and place; everybody else goes ashore.",
        "People are weights that walk.",
        "Muster just before the first reading.",
        "master",
        "test",
        "P-11",
    ),
    "communications": Wording(
        "communications",
        "Two-way radios between the centre, the weights and every instrument.",
        "All instruments are read at the same word, and one word stops everything.",
        "Radio check before the first reading.",
        "coordinator",
        "test",
        "P-31",
    ),
    "mobile": Wording(
        "mobile",
        "{name}: mark its place for the readings on deck: {state}.",
        "A ten-tonne truck half a metre off its spot changes a move of 80 t·m by six per cent.",
        "Confirmed at every state.",
        "weight-gang",
        "test",
        "P-11",
    ),
}

NOT_NEEDED: tuple[str, ...] = (
    "Slack tanks need not be at exactly the planned level: a few centimetres are only sounded and entered.",
    "Loose outfit near its fitted place need not be listed piece by piece.",
    "Items below the materiality limit may be lumped together by space.",
    "A small list or trim within the limits need not be taken out: it is measured.",
    "A little liquid in a very narrow or sharp tank bottom need not be mopped: enter it as it is.",
    "Nobody need enter a tank for the test's sake where it can be filled, or where its doubt can be carried.",
)
"""What the ship need not do (common practice; 2008 IS Code annex 1, from memory, for sharp tanks)."""
