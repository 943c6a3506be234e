"""Strict JSON: no NaN goes out, no key stands twice, and what cannot be read is said in one sentence."""

from __future__ import annotations

import datetime
import json
from typing import Any

import numpy as np
from flask.json.provider import DefaultJSONProvider


class JsonTextError(ValueError):
    """A body that is not JSON, or has one key twice in one object."""


def read_json(data: bytes) -> Any:  # noqa: ANN401 (JSON is anything)
    """Read a request's body.

    Parameters
    ----------
    data : bytes
        JSON in UTF-8. NaN and Infinity are read, so that the field they stand in can refuse them by name.

    Returns
    -------
    Any
        Dictionaries, lists, texts, numbers, booleans or None.

    Raises
    ------
    JsonTextError
        When the data is not JSON, is nested too deeply, or has a key twice in one object.

    Examples
    --------
    >>> read_json(b'{"mass_t": 2}')
    {'mass_t': 2}
    """
    try:
        return json.loads(data.decode("utf-8"), object_pairs_hook=_object)
    except RecursionError as error:
        raise JsonTextError("the body is nested too deeply") from error
    except UnicodeDecodeError as error:
        raise JsonTextError(f"the body is not UTF-8 (byte {error.start})") from error
    except json.JSONDecodeError as error:
        raise JsonTextError(f"the body is not JSON: {error.msg} (line {error.lineno}, column {error.colno})") from error
    except JsonTextError:
        raise
    except ValueError as error:  # an integer of more digits than Python reads
        raise JsonTextError("the body has an absurdly long number") from error


class StrictJsonProvider(DefaultJSONProvider):
    """Writes answers: numbers at full precision, arrays as lists, dates in ISO 8601, never NaN."""

    sort_keys = False
    compact = True

    @staticmethod
    def default(value: object) -> Any:  # noqa: ANN401 (JSON is anything)
        """Turn what JSON does not know into what it knows."""
        if isinstance(value, np.ndarray | np.generic):
            return value.tolist()
        if isinstance(value, datetime.datetime | datetime.date):
            return value.isoformat()
        return DefaultJSONProvider.default(value)

    def dumps(self, obj: Any, **kwargs: Any) -> str:  # noqa: ANN401 (as the base class has it)
        """Write a document; a NaN in an answer is a defect and raises."""
        return super().dumps(obj, allow_nan=False, **kwargs)

    def loads(self, s: str | bytes, **kwargs: Any) -> Any:  # noqa: ANN401 (as the base class has it)
        """Read a document as strictly as a request."""
        return read_json(s.encode() if isinstance(s, str) else s)


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise JsonTextError(f"the key {json.dumps(twice)} stands twice in one object; keep one of them")
    return found
