"""Conditional requests (RFC 9110, section 13): If-Match on changes, If-None-Match on
reads.
"""

import hashlib
import re

from standage.api.web.problems import Rejected
from standage.shapes.faults import shown

LONGEST_HEADER = 1000
"""How many characters of entity tags a request may bring."""

_TAG = re.compile(r'\s*(W/)?"([\x21\x23-\x7e\x80-\xff]*)"\s*(?:,|$)')
_OWN = re.compile(r"\s*(v\d{1,19}(?:-[0-9a-f]{16})?|[0-9a-f]{32})\s*(?:,|$)", re.ASCII)
"""An entity tag of this service that lost its quotes on the way."""
_NOTHING = re.compile(r"\s*,")


def strong_tags(header: str) -> tuple[str, ...]:
    """Return the strong entity tags of a list, quotes included; weak tags never match a
    change and are left out.

    The service's own tags are known without their quotes too. Raises ``Rejected``
    (malformed) for anything else.
    """
    found: list[str] = []
    position = 0
    while header[position:].strip():
        if match := _TAG.match(header, position):
            found += [] if match[1] else [f'"{match[2]}"']
        elif match := _OWN.match(header, position):
            found.append(f'"{match[1]}"')
        else:
            match = _NOTHING.match(header, position)
        if match is None:
            raise _illegible(header[position:])
        position = match.end()
    if not header.strip(" \t,"):
        raise _illegible(header)
    return tuple(found)


def _illegible(rest: str) -> Rejected:
    such_as = (
        'send the ETag as you read it, such as If-Match: "v3-9f2c4be1f0c85d2a", or *'
        " for any version"
    )
    return Rejected(
        "malformed",
        f"The header If-Match has {shown(rest.strip())}, which is no ETag: {such_as}.",
    )


def has_current(header: str | None, etag: str) -> bool:
    """Tell whether If-None-Match names ``etag``, by the weak comparison that reads ask
    for.
    """
    if header is None:
        return False
    if header.strip() == "*":
        return True
    return any(f'"{tag}"' == etag for tag in _tags(header))


def _tags(header: str) -> list[str]:
    found, position = [], 0
    while match := _TAG.match(header, position):
        found.append(match[2])
        position = match.end()
    return found


def etag_of(body: bytes) -> str:
    """Return the strong entity tag of an answer that is no record: a hash of its
    bytes.
    """
    return f'"{hashlib.sha256(body).hexdigest()[:32]}"'
