"""Conditional requests (RFC 9110, section 13): If-Match on changes, If-None-Match on reads."""

import hashlib
import re

LONGEST_HEADER = 1000
"""How many characters of entity tags a request may bring."""

_TAG = re.compile(r'\s*(W/)?"([\x21\x23-\x7e\x80-\xff]*)"\s*(?:,|$)')


def strong_tags(header: str) -> tuple[str, ...]:
    """Return the strong entity tags of a list, quotes included; weak tags never match a change and are left out."""
    return tuple(f'"{tag}"' for weak, tag in _tags(header) if not weak)


def has_current(header: str | None, etag: str) -> bool:
    """Tell whether If-None-Match names ``etag``, by the weak comparison that reads ask for."""
    if header is None:
        return False
    return header.strip() == "*" or any(f'"{tag}"' == etag for _, tag in _tags(header))


def _tags(header: str) -> list[tuple[str, str]]:
    found, position = [], 0
    while match := _TAG.match(header, position):
        found.append((match[1] or "", match[2]))
        position = match.end()
    return found


def etag_of(body: bytes) -> str:
    """Return the strong entity tag of an answer that is no record: a hash of its bytes."""
    return f'"{hashlib.sha256(body).hexdigest()[:32]}"'
