"""Passwords: what may be one, and its hash.

The hash is scrypt (RFC 7914) as werkzeug.security, which Flask brings, computes and stores it: memory-hard like Argon2,
from the standard library's OpenSSL, so that no further native library stands between a person and the service. The cost
N = 2^15, r = 8, p = 3 is one of the equivalent settings of the OWASP Password Storage Cheat Sheet (from memory): 32 MiB
a check. What may be a password follows NIST SP 800-63B: a shortest length, no rules of composition, no periodic change.
"""

from __future__ import annotations

import threading
import unicodedata

from werkzeug.security import check_password_hash, generate_password_hash

from heelwright_service.usecases.errors import InvalidError

METHOD = "scrypt:32768:8:3"
SHORTEST, LONGEST = 12, 256
_FEWEST_DIFFERENT = 5
_OURS = "heelwright"

# One at a time: side by side they would take a thread and 32 MiB each from those who wait for an answer.
_one_at_a_time = threading.Lock()


def hash_password(password: str, name: str) -> str:
    """Return the hash of a new password.

    Parameters
    ----------
    password : str
        As it was typed.
    name : str
        Whose it is to be.

    Returns
    -------
    str
        Method, salt and hash.

    Raises
    ------
    InvalidError
        When it is too short, too long, or one that is guessed first.
    """
    text = _normal(password)
    if not SHORTEST <= len(text) <= LONGEST:
        message = f"a password has {SHORTEST} to {LONGEST} characters, found {len(text)}; any characters will do"
        raise InvalidError("password-length", message, "/password")
    if len(set(text.casefold())) < _FEWEST_DIFFERENT:
        raise InvalidError("password-guessable", "the password repeats a few characters; take another", "/password")
    for word in (name, _OURS):
        if _normal(word).casefold() in text.casefold():
            message = f"the password contains {word!r}, which is guessed first; take another"
            raise InvalidError("password-guessable", message, "/password")
    with _one_at_a_time:
        return generate_password_hash(text, method=METHOD)


def fits(password: str, password_hash: str | None) -> bool:
    """Say whether a password is the one that was hashed; it takes as long where there is no hash to compare with.

    Parameters
    ----------
    password : str
        As it was typed.
    password_hash : str or None
        From :func:`hash_password`; None where nobody has that name.

    Returns
    -------
    bool
        False without a hash.
    """
    with _one_at_a_time:
        same = check_password_hash(password_hash or _nobodys(), _normal(password)[:LONGEST])
    return same and password_hash is not None


def _normal(text: str) -> str:
    return unicodedata.normalize("NFKC", text)


def _nobodys() -> str:
    return f"{METHOD}$0000000000000000${'0' * 128}"
