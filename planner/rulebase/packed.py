"""Rules as bytes and back, without checking again what was checked when they were read from YAML.

The form is a pickle that can name nothing but the models of rules, so reading one builds rules and
calls nothing else, whatever it holds; only files that we wrote ourselves are read (``cache.py``).
Equal parts are kept once, which makes it short and quick.
"""

from __future__ import annotations

import gc
import hashlib
import io
import pickle
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from msgspec.structs import asdict
from pydantic import BaseModel

from planner.rulebase import conditions, model

#: All that may be named in the bytes, by module and name.
_CLASSES = {
    (one.__module__, one.__qualname__): one
    for one in (*vars(model).values(), conditions.Test, conditions.Group)
    if isinstance(one, type)
    and (issubclass(one, BaseModel) or one.__module__ == conditions.__name__)
}
_PLAIN = (str, int, float, bool, type(None))


def packed(value: Any) -> bytes:
    """Return models, conditions and plain data as bytes."""
    with io.BytesIO() as file:
        _Packer(file, pickle.HIGHEST_PROTOCOL).dump(_shared(value, {}))
        data = file.getvalue()
    return hashlib.sha256(data).digest() + data


def unpacked(data: bytes) -> Any:
    """Return what was packed.

    Raises:
        ValueError: If the bytes are damaged, or name anything but models of rules.
    """
    size = hashlib.sha256().digest_size
    rules = memoryview(data)[size:]
    if hashlib.sha256(rules).digest() != data[:size]:
        raise ValueError("these packed rules are damaged")
    try:
        with _no_collecting():
            return _Unpacker(io.BytesIO(rules)).load()
    except Exception as error:
        # What was made to do harm makes the reader fail in any way there is.
        raise ValueError(f"these are no packed rules: {error}") from error


def _made(kind: type[BaseModel], values: dict[str, Any], given: set[str]) -> BaseModel:
    """Build a model from values that were checked before."""
    made = _new(kind)
    _put_values(made, values)
    _put_given(made, given)
    _put_extra(made, None)
    _put_private(made, None)
    return made


_new = object.__new__
#: What a model consists of, set without asking it: this runs some thousand times at every start.
_put_values, _put_given, _put_extra, _put_private = (
    vars(BaseModel)[name].__set__
    for name in (
        "__dict__",
        "__pydantic_fields_set__",
        "__pydantic_extra__",
        "__pydantic_private__",
    )
)


class _Packer(pickle.Pickler):
    def reducer_override(self, value: Any) -> Any:
        """Take models apart into what builds them quickest."""
        if isinstance(value, BaseModel):
            return _made, (type(value), value.__dict__, value.__pydantic_fields_set__)
        return NotImplemented


class _Unpacker(pickle.Unpickler):
    def find_class(self, module: str, name: str) -> Any:
        """Return a model of rules; anything else is refused."""
        if (module, name) == (__name__, _made.__name__):
            return _made
        return _CLASSES[module, name]


@contextmanager
def _no_collecting() -> Iterator[None]:
    """Nothing of what is built is garbage, so looking for garbage only takes time."""
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()


def _shared(value: Any, known: dict[Any, Any]) -> Any:
    """Return the same value in which equal parts that nobody can change are one and the same."""
    kind = type(value)
    if kind is dict:
        return {_shared(key, known): _shared(held, known) for key, held in value.items()}
    if kind is list:
        return [_shared(held, known) for held in value]
    if kind in _PLAIN:
        return known.setdefault((kind, repr(value)), value)
    return _shared_parts(value, kind, known)


def _shared_parts(value: Any, kind: type, known: dict[Any, Any]) -> Any:
    """Share a tuple, model or condition: those with the very same parts are the same."""
    if kind is tuple:
        parts: Any = tuple(_shared(held, known) for held in value)
        key: Any = (kind, *map(id, parts))
    else:
        values = vars(value) if isinstance(value, BaseModel) else asdict(value)
        parts = {name: _shared(held, known) for name, held in values.items()}
        given = getattr(value, "__pydantic_fields_set__", ())
        key = (kind, tuple(sorted(given)), *map(id, parts.values()))
    if key not in known:
        # The parts are kept with what they make: their identity is the key.
        known[key] = parts if kind is tuple else _like(value, parts, known)
    return known[key]


def _like(value: Any, parts: dict[str, Any], known: dict[Any, Any]) -> Any:
    if isinstance(value, BaseModel):
        given = value.__pydantic_fields_set__
        return _made(type(value), parts, known.setdefault(frozenset(given), set(given)))
    return type(value)(**parts)
