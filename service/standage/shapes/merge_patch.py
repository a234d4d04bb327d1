"""JSON merge patches."""

from typing import Any


def merged(target: Any, patch: Any) -> Any:
    """Return ``target`` with ``patch`` merged into it (RFC 7396, section 2)."""
    if not isinstance(patch, dict):
        return patch
    result = dict(target) if isinstance(target, dict) else {}
    for name, value in patch.items():
        if value is None:
            result.pop(name, None)
        else:
            result[name] = merged(result.get(name), value)
    return result
