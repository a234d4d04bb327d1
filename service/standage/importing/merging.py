"""What a row says upon what is on record, and what it changes."""

from collections.abc import Iterator, Mapping
from typing import Any

from standage.exchange.values import shown_cell
from standage.importing.outcomes import CellChange


def upon(under: Mapping[str, Any], over: Mapping[str, Any]) -> dict[str, Any]:
    """Return a record as it was with what a row says put over it, part by part."""
    both = dict(under)
    for name, value in over.items():
        both[name] = _one_upon(under.get(name), value)
    return both


def _one_upon(before: Any, value: Any) -> Any:
    """Return a value upon the one on record; spaces around a text, which no list shows,
    change nothing.
    """
    if isinstance(value, dict):
        return upon(before or {}, value)
    if (
        isinstance(value, str)
        and isinstance(before, str)
        and before.strip() == value.strip()
    ):
        return before
    return value


def changes(old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[CellChange]:
    """Yield what differs between a record as cells have it and as they are to have
    it.
    """
    for field in dict.fromkeys((*old, *new)):
        was, becomes = old.get(field), new.get(field)
        if was != becomes:
            yield CellChange(
                field=field,
                before=_shown(was),
                after=_shown(becomes),
            )


def _shown(value: Any) -> str | None:
    if value is None:
        return None
    if isinstance(value, list | tuple):
        return "; ".join(_shown(one) or "" for one in value)
    if isinstance(value, int | float):
        return shown_cell(float(value))
    return str(value)
