"""The errors that the computation raises: a stable code, the field, one sentence with the unit."""

from __future__ import annotations


class CoreError(Exception):
    """A request that cannot be computed; says which field, what was found and what is allowed.

    Parameters
    ----------
    code : str
        Stable machine-readable name in kebab-case, such as ``draught-outside-table``.
    message : str
        One sentence: what was wrong, what is allowed, how to mend it.
    pointer : str
        JSON Pointer (RFC 6901) to the field in the request, such as ``/draughts/0/reading_m``.
    """

    def __init__(self, code: str, message: str, pointer: str = "") -> None:
        super().__init__(message)
        self.code = code
        self.message = message
        self.pointer = pointer

    def under(self, prefix: str) -> CoreError:
        """Return the same error with its pointer moved below a longer request path.

        Parameters
        ----------
        prefix : str
            JSON Pointer to put in front, such as ``/record``.

        Returns
        -------
        CoreError
            A new error; the code and the message are unchanged.
        """
        return CoreError(self.code, self.message, prefix + self.pointer)
