"""How much of an answer its example shows.

The tests record answers whole. A reader of the document wants to see the verdict, the
figures and a reason; what a record of each list looks like is said by its schema.
"""

from collections.abc import Iterator, Mapping
from typing import Any

import msgspec

Json = dict[str, Any]

_MOST_SHOWN = 1
_MOST_PARTS = 4
"""A value of more parts, each of them a value of its own, is a map of what has names."""
_MOST_BYTES = 250
"""Of a whole answer: a verdict with a dozen figures and a reason."""
_FIRST_OF_A_DRAWING = 34
"""So much of a drawing is the same for all."""
_REASONS = "because"
_CUT = frozenset({_REASONS, "items"})


def shown(example: Any) -> Any:
    """Return what the document shows of an answer.

    It is the first of each list of records, and of each map of many; of a long answer
    to a question, or a page, the longest lists but that of its reasons are left empty.
    """
    if isinstance(example, str):
        return _beginning(example)
    shortened = _shortened(example)
    if not _may_be_cut(shortened):
        return shortened  # some lists of a record are never empty
    while _bytes_of(shortened) > _MOST_BYTES:
        lists = list(_lists_of_records(shortened))
        if not lists:
            break
        max(lists, key=_bytes_of).clear()
    return shortened


def _may_be_cut(shortened: Any) -> bool:
    """Tell whether it is the answer to a question, or a page of records, each of which
    is shown where it is read by itself.
    """
    if not isinstance(shortened, dict):
        return False
    return not _CUT.isdisjoint(shortened)


def _beginning(text: str) -> str:
    """Return how a drawing begins; a sheet of values is shown as it is."""
    is_drawing = text.startswith("<svg")
    if is_drawing:
        return f"{text[:_FIRST_OF_A_DRAWING]}…"
    return text


def _shortened(example: Any) -> Any:
    """Return an answer of which more would show no more.

    Whole figures stand as such: 210, and not 210.0.
    """
    if isinstance(example, float) and example.is_integer():
        return int(example)
    if isinstance(example, dict):
        kept = list(example.items())[: _MOST_SHOWN if _is_map(example) else None]
        return {name: _shortened(value) for name, value in kept}
    if not isinstance(example, list):
        return example
    are_records = all(isinstance(one, dict) for one in example)
    kept_records = example[:_MOST_SHOWN] if are_records else example
    return [_shortened(one) for one in kept_records]


def _is_map(example: Mapping[str, Any]) -> bool:
    are_values = all(isinstance(one, dict) for one in example.values())
    return are_values and len(example) > _MOST_PARTS


def _lists_of_records(value: Any, *, depth: int = 0) -> Iterator[list[Json]]:
    """Yield every list of records within an answer, but that of its own reasons."""
    if isinstance(value, list):
        if value and isinstance(value[0], dict):
            yield value
        for one in value:
            yield from _lists_of_records(one, depth=depth + 1)
    elif isinstance(value, dict):
        for name, one in value.items():
            are_its_reasons = name == _REASONS and depth == 0
            if not are_its_reasons:
                yield from _lists_of_records(one, depth=depth + 1)


def _bytes_of(value: Any) -> int:
    return len(msgspec.json.encode(value))
