"""Read If-Match and If-None-Match, and write ETags: the version of a resource, in quotation marks."""

from __future__ import annotations

import re
from http import HTTPStatus

from flask import Request
from werkzeug.datastructures import ETags

from heelwright_service.api.problems import RequestError
from heelwright_service.usecases.preconditions import ABSENT, ANY, UNSTATED, Expected

_STRONG_NUMBER = re.compile(r'(?<!W/)"([0-9]{1,9})"')


def expected_version(request: Request) -> Expected:
    """Return which versions a changing request accepts.

    Parameters
    ----------
    request : Request
        With ``If-Match`` for a version that was read, or ``If-None-Match: *`` for a first version.

    Returns
    -------
    Expected
        Nothing stated when neither header is there.

    Raises
    ------
    RequestError
        When If-None-Match names versions: that has no meaning here.
    """
    if request.headers.get("If-None-Match", "").strip() == "*":
        return ABSENT
    if "If-None-Match" in request.headers:
        raise RequestError(HTTPStatus.BAD_REQUEST, "bad-request", "If-None-Match of a change may only be *")
    if "If-Match" not in request.headers:
        return UNSTATED
    given = request.headers["If-Match"]
    if given.strip() == "*":
        return ANY
    # A tag that is weak or no number was never given out by this service for a change; it matches nothing.
    return Expected(frozenset(int(found) for found in _STRONG_NUMBER.findall(given)))


def is_known(tags: ETags, version: int) -> bool:
    """Say whether a reader has this version already (If-None-Match, weakly compared)."""
    return tags.star_tag or tags.contains_weak(str(version))
