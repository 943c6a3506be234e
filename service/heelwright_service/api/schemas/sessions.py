"""Sessions: what is needed to sign in."""

from __future__ import annotations

from heelwright_service.api.fields import Text
from heelwright_service.api.schemas.base import Strict


class SignInBody(Strict):
    """Name and password of a person who has an account."""

    name = Text(200, required=True, metadata={"description": "the person's name, as the account has it"})
    password = Text(1000, blank=True, required=True, metadata={"description": "the account's password"})
