"""Sessions: signing in by name and password, and out again."""

from __future__ import annotations

from heelwright_client.http import Connection, Document


class Sessions:
    """The sign-in calls of one connection."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def sign_in(self, name: str, password: str, *, on_behalf_of: str | None = None) -> Document:
        """Sign in by name and password.

        Parameters
        ----------
        name : str
            The person's name, as the account has it.
        password : str
            The account's password.
        on_behalf_of : str or None
            Address of the visitor, where a front end signs somebody in; the service believes it only when it was told
            to trust the front end as a proxy.

        Returns
        -------
        dict
            The session: its ``token``, the person's ``name``, ``role`` and scope, and ``expires_at``.

        Raises
        ------
        UnauthenticatedError
            When name and password do not fit.
        TooManyRequestsError
            When too many attempts failed lately.
        """
        headers = {"X-Forwarded-For": on_behalf_of} if on_behalf_of else {}
        return self._connection.post_once("/v1/sessions", {"name": name, "password": password}, headers)

    def sign_out(self) -> None:
        """End the session whose token this connection speaks with.

        Raises
        ------
        ConflictError
            When that is no session but a token.
        """
        self._connection.delete("/v1/sessions/self")
