"""Plain documents (JSON-like dictionaries) to frozen dataclasses and back, by the fields' types alone.

A field that is a Python keyword in the document (``from``) carries a trailing underscore in its dataclass.
"""

from __future__ import annotations

import dataclasses
import types
from collections.abc import Hashable, Mapping, Sequence
from functools import cache
from typing import Any, TypeVar, Union, cast, get_args, get_origin, get_type_hints

import numpy as np

T = TypeVar("T")


@cache
def _hints(cls: Hashable) -> dict[str, Any]:
    return get_type_hints(cast(Any, cls))


def from_document(cls: type[T], document: Mapping[str, Any]) -> T:
    """Build a dataclass from a document whose shape has been checked already.

    Parameters
    ----------
    cls : type
        The dataclass to build; nested dataclasses, lists and dictionaries are followed by their type hints.
    document : Mapping
        Values by field name; absent fields take the dataclass's defaults.

    Returns
    -------
    T
        The dataclass.

    Raises
    ------
    TypeError
        When a required field is absent.

    Examples
    --------
    >>> from dataclasses import dataclass
    >>> @dataclass
    ... class Sample:
    ...     density_t_per_m3: float
    ...     depth_m: float | None = None
    >>> from_document(Sample, {"density_t_per_m3": 1.025})
    Sample(density_t_per_m3=1.025, depth_m=None)
    """
    hints = _hints(cast(Hashable, cls))
    values: dict[str, Any] = {}
    for field in dataclasses.fields(cast(Any, cls)):
        key = field.name.rstrip("_")
        if key in document:
            values[field.name] = _convert(hints[field.name], document[key])
    return cls(**values)


def to_document(value: Any) -> Any:
    """Turn dataclasses and arrays into plain dictionaries, lists, numbers and texts.

    Parameters
    ----------
    value : Any
        A dataclass, array, mapping, sequence or scalar.

    Returns
    -------
    Any
        The same content in types that JSON knows.
    """
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {f.name.rstrip("_"): to_document(getattr(value, f.name)) for f in dataclasses.fields(value)}
    if isinstance(value, np.ndarray | np.generic):
        return value.tolist()
    if isinstance(value, Mapping):
        return {key: to_document(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [to_document(item) for item in value]
    return value


def _convert(hint: Any, value: Any) -> Any:
    origin = get_origin(hint)
    if origin in (Union, types.UnionType):
        return None if value is None else _convert(_chosen(get_args(hint), value), value)
    if dataclasses.is_dataclass(hint):
        return from_document(cast(Any, hint), value)
    if origin in (list, Sequence):
        return [_convert(get_args(hint)[0], item) for item in value]
    if origin in (dict, Mapping):
        return {key: _convert(get_args(hint)[1], item) for key, item in value.items()}
    if origin is tuple:
        inner = get_args(hint)
        kinds = inner[:1] * len(value) if inner[-1] is Ellipsis else inner
        return tuple(_convert(kind, item) for kind, item in zip(kinds, value, strict=True))
    if hint is np.ndarray or origin is np.ndarray:
        return np.asarray(value, dtype=float)
    return float(value) if hint is float else value


def _chosen(options: tuple[Any, ...], value: Any) -> Any:
    """Of the types of a union, the one that fits the value: a dataclass for a mapping, a list for a list."""
    real = [option for option in options if option is not type(None)]
    for option in real:
        origin = get_origin(option) or option
        if isinstance(value, Mapping) and (dataclasses.is_dataclass(option) or origin in (dict, Mapping)):
            return option
        if isinstance(value, list) and origin in (list, tuple, Sequence, np.ndarray):
            return option
        if isinstance(value, str) and option is str:
            return option
    return real[0]
