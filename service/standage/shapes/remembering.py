"""Remembering: what a function gave for a value is given again for an equal one.

Only for pure functions of frozen values, so that nothing goes stale; never of what may
hold somebody's name or notes, since a process keeps it until other values take its
place; and always bounded, since callers choose the values. Nothing else in the service
remembers what callers send: tests/laws/test_remembering_laws.py.
"""

from collections.abc import Callable
from functools import lru_cache
from typing import TYPE_CHECKING, Any, TypeVar

if TYPE_CHECKING:
    from functools import _lru_cache_wrapper

T = TypeVar("T")

MANY = 4096
"""Of vehicles and what is made of each: the same stock is asked about again and again,
and a club has some hundreds.
"""
FEW = 64
"""Of what may be long, such as a train of a thousand vehicles that is tried in one
place after another, or of what clubs ask one after the other.
"""
_MEMORIES: list["_lru_cache_wrapper[Any]"] = []


def remembered(
    *, most: int = MANY
) -> "Callable[[Callable[..., T]], _lru_cache_wrapper[T]]":
    """Return what makes a function remember ``most`` of what it gave, those longest
    unused going first.
    """

    def remembering(function: Callable[..., T]) -> "_lru_cache_wrapper[T]":
        memory = lru_cache(maxsize=most)(function)
        _MEMORIES.append(memory)
        return memory

    return remembering


def forget_all() -> int:
    """Empty every memory; return how many there were."""
    for memory in _MEMORIES:
        memory.cache_clear()
    return len(_MEMORIES)


def bounds() -> list[int | None]:
    """Return how much each memory holds at the utmost."""
    return [memory.cache_parameters()["maxsize"] for memory in _MEMORIES]
