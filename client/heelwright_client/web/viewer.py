"""What the visitor may do: read from the service at sign-in, kept in the session, read again after a while."""

from __future__ import annotations

import time
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, cast

from flask import Flask, g, session
from markupsafe import Markup
from werkzeug.local import LocalProxy

DEEDS = {
    "read": "a reader",
    "record": "a recorder",
    "plan": "a planner",
    "approve": "an approver",
    "administer": "an administrator",
}
_KEY = "viewer"
_OLD_AFTER_S = 300.0


@dataclass(frozen=True)
class Viewer:
    """Who looks at a page.

    Parameters
    ----------
    name : str
        As the token or the account names the visitor; empty where nobody is signed in.
    role : str
        The role's word in the service.
    deeds : tuple of str
        What the role includes, of `DEEDS`.
    fleet : str or None
        The fleet that the visitor is limited to.
    vessels : int or None
        How many vessels the visitor is limited to.
    person : bool
        Whether the visitor signed in by name and password; `name` is then that of a person.
    """

    name: str = ""
    role: str = ""
    deeds: tuple[str, ...] = ()
    fleet: str | None = None
    vessels: int | None = None
    person: bool = False

    @property
    def signature(self) -> str:
        """The name that a form may be signed with beforehand: a person's, never that of a token."""
        return self.name if self.person else ""

    def may(self, deed: str) -> bool:
        """Tell whether the service will take a deed from this visitor.

        Parameters
        ----------
        deed : str
            One of read, record, plan, approve and administer.

        Returns
        -------
        bool
            What the service said of the visitor's role.

        Raises
        ------
        ValueError
            When there is no such deed, so that a slip in a template does not hide a form for ever.
        """
        if deed not in DEEDS:
            raise ValueError(f"{deed} is no deed; there are {', '.join(DEEDS)}")
        return deed in self.deeds


def remember(facts: Mapping[str, Any]) -> None:
    """Keep what the service says of the visitor's token in the session.

    Parameters
    ----------
    facts : Mapping
        The answer to :meth:`heelwright_client.tokens.Tokens.own`. Of the vessels only the number is kept: a cookie has
        no room for their names, and the service alone decides what is shown.
    """
    vessel_ids = facts["vessel_ids"]
    session[_KEY] = {
        "name": facts["name"],
        "role": facts["role"],
        "may": facts["may"],
        "fleet": facts["fleet"],
        "vessels": None if vessel_ids is None else len(vessel_ids),
        "person": facts["session"],
        "at": time.time(),
    }
    g.pop("viewer", None)


def is_old() -> bool:
    """Tell whether the service should be asked again."""
    return time.time() - float(_kept().get("at", 0.0)) > _OLD_AFTER_S


def doubt() -> None:
    """Ask the service again with the next page, because it refused what this program took for allowed."""
    if _kept():
        session[_KEY] = {**_kept(), "at": 0.0}


def current() -> Viewer:
    """Return who looks at this page; it never asks the service, so that a page of failure can use it too."""
    if "viewer" not in g:
        kept = _kept()
        g.viewer = (
            Viewer(kept["name"], kept["role"], tuple(kept["may"]), kept["fleet"], kept["vessels"], kept["person"])
            if kept
            else Viewer()
        )
    return cast(Viewer, g.viewer)


def lacking(deed: str) -> str:
    """Say who does what the visitor may not do.

    Parameters
    ----------
    deed : str
        As in :meth:`Viewer.may`.

    Returns
    -------
    str
        One sentence as a paragraph; nothing where the visitor may do it himself.
    """
    viewer = current()
    if viewer.may(deed):
        return ""
    own = DEEDS[viewer.deeds[-1]] if viewer.deeds else "nobody"
    return Markup('<p class="quiet">This is done by {}; you are signed in as {}.</p>').format(DEEDS[deed], own)


def install(app: Flask) -> None:
    """Let every template, and every macro, ask who looks.

    Parameters
    ----------
    app : Flask
        The front end.
    """
    app.jinja_env.globals.update(viewer=LocalProxy(current), lacking=lacking)


def _kept() -> dict[str, Any]:
    found = session.get(_KEY)
    return found if isinstance(found, dict) else {}
