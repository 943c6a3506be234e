"""The invented fleet: who they are, what they weighed when they were inclined, and how they have grown since."""

from __future__ import annotations

from dataclasses import dataclass

from heelwright_client.demo.forms import Form

FLEET = "Saltmarsh demonstration fleet"


@dataclass(frozen=True)
class Survey:
    """A lightweight survey: date, growth since the inclining test [% of its mass], shift of LCG forward [m]."""

    date: str
    growth_percent: float
    lcg_shift_m: float


@dataclass(frozen=True)
class Alteration:
    """A logged alteration [t, m]."""

    date: str
    kind: str
    mass_t: float
    at_m: tuple[float, float, float]
    description: str
    to_m: tuple[float, float, float] | None = None


@dataclass(frozen=True)
class Ship:
    """A vessel with the lightship of her inclining test and what is known since."""

    name: str
    kind: str
    form: Form
    keel_laid: str
    inclined: str
    mass_t: float
    lcg_m: float
    vcg_m: float
    surveys: tuple[Survey, ...] = ()
    alterations: tuple[Alteration, ...] = ()
    imo_number: str | None = None
    sister_of: str | None = None


TEST_SHIP = Ship(
    "Merrowdale",
    "passenger",
    Form(72.79, 11.05, 7.52),
    "2013-02-11",
    "2014-05-06",
    1425.0,
    35.12,
    4.262,
    (Survey("2019-05-14", 1.4, 0.06), Survey("2024-05-07", 2.7, 0.15)),
    (
        Alteration("2016-11-20", "added", 8.5, (52.0, 0.0, 5.4), "lower passenger saloon refitted"),
        Alteration("2021-10-04", "added", 12.8, (30.0, 0.0, 5.1), "second fire pump room with its pipes"),
    ),
)
"""The ship of the carried test day; her hull, marks and tanks are those of its record."""

SISTERS = {"Merrowmere": "2013-09-30", "Merrowvale": "2014-04-22"}
"""Ships of the same form with the days on which their keels were laid: they come with their stored tests."""

SHIPS = (
    TEST_SHIP,
    Ship(
        "Quillhaven",
        "cargo",
        Form(98.0, 15.6, 8.4, 0.55, 0.7, 0.22),
        "2007-05-14",
        "2008-06-20",
        2315.0,
        43.9,
        6.42,
        (Survey("2013-05-28", 0.3, 0.04), Survey("2018-06-11", 0.6, 0.05), Survey("2023-06-02", 0.8, 0.09)),
        (Alteration("2016-03-09", "added", 6.4, (21.0, 0.0, 9.8), "exhaust gas cleaning tower"),),
        imo_number="0100006",
    ),
    Ship(
        "Quillmoor",
        "cargo",
        Form(98.0, 15.6, 8.4, 0.55, 0.7, 0.22),
        "2008-02-01",
        "2009-03-17",
        2331.0,
        44.1,
        6.45,
        (Survey("2014-03-25", 0.5, 0.02), Survey("2019-04-04", 1.2, 0.21)),
        (Alteration("2017-10-02", "added", 11.2, (70.5, -1.2, 10.4), "second deck crane"),),
        imo_number="0100018",
        sister_of="Quillhaven",
    ),
    Ship(
        "Feshwick Provider",
        "offshore-supply",
        Form(74.0, 16.4, 7.2, 0.85, 0.66, 0.2),
        "2011-09-30",
        "2012-10-05",
        1968.0,
        35.2,
        6.11,
        (Survey("2017-09-19", 0.9, -0.1), Survey("2022-10-12", 1.7, -0.18)),
        (
            Alteration("2015-06-21", "removed", 9.5, (12.0, 0.0, 8.1), "stern roller taken out"),
            Alteration("2019-02-14", "added", 24.0, (48.0, 3.5, 9.2), "mooring winch and foundation"),
        ),
        imo_number="0100020",
    ),
    Ship(
        "Tolvane Pull",
        "towing",
        Form(29.0, 10.4, 5.1, 0.8, 0.58, 0.34),
        "2015-01-12",
        "2015-11-03",
        412.0,
        14.3,
        3.62,
        (Survey("2020-11-17", 1.4, 0.03),),
        (
            Alteration("2018-04-30", "added", 3.1, (9.5, 0.0, 5.9), "towing winch exchanged for a heavier one"),
            Alteration("2021-08-08", "added", 5.2, (20.0, 0.0, 6.6), "fire monitors and platform"),
        ),
    ),
    Ship(
        "Larkhollow",
        "fishing",
        Form(33.5, 9.2, 4.6, 0.75, 0.6, 0.38),
        "1998-07-07",
        "1999-05-26",
        348.0,
        15.1,
        3.71,
        (Survey("2009-06-03", 2.6, -0.12), Survey("2019-05-21", 4.9, -0.31)),
        (
            Alteration("2006-01-18", "added", 4.8, (14.0, 0.0, 6.2), "refrigerated sea water plant"),
            Alteration("2014-12-12", "relocated", 2.2, (25.0, 0.0, 5.4), "net drum moved aft", (5.0, 0.0, 5.8)),
        ),
    ),
    Ship(
        "Pendrosk Lass",
        "fishing",
        Form(24.4, 7.8, 4.1, 0.72, 0.58, 0.4),
        "2010-10-10",
        "2011-08-16",
        182.0,
        10.9,
        3.18,
        (Survey("2021-08-30", 1.1, 0.02),),
        (Alteration("2016-05-05", "added", 0.9, (17.0, 0.0, 6.4), "whaleback extended"),),
    ),
    Ship(
        "Wexbarrow Wing",
        "high-speed-craft",
        Form(34.0, 9.8, 3.4, 0.85, 0.55, 0.42, demihulls=True),
        "2013-03-21",
        "2014-02-27",
        121.0,
        14.2,
        2.94,
        (Survey("2019-03-06", 1.3, 0.06), Survey("2024-02-20", 2.4, 0.12)),
        (Alteration("2020-01-31", "added", 1.1, (16.0, 0.0, 4.9), "seats exchanged and a second mast"),),
    ),
    Ship(
        "Sandhopper",
        "inland",
        Form(52.0, 11.0, 3.6, 0.9, 0.75, 0.15),
        "2004-04-04",
        "2005-03-15",
        421.0,
        24.8,
        2.55,
        (Survey("2015-03-23", 0.7, 0.05),),
    ),
    Ship(
        "Bryndle Hand",
        "workboat",
        Form(17.6, 6.4, 3.0, 0.85, 0.55, 0.4),
        "2018-06-18",
        "2019-01-22",
        58.0,
        7.9,
        2.07,
        (Survey("2024-01-16", 3.1, 0.05),),
        (Alteration("2022-07-07", "added", 1.2, (5.5, 0.0, 3.8), "deck crane with a longer jib"),),
    ),
)
