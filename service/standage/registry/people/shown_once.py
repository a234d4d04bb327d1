"""Secrets that are shown once and kept as a hash: a token's, a session's, an
invitation's, a share link's.
"""

import hashlib
import re
import secrets
from typing import Literal

Sort = Literal["token", "session", "invitation", "link"]

_SECRET_BYTES = 24
_PREFIXES: dict[str, Sort] = {
    "stg_": "token",
    "sts_": "session",
    "sti_": "invitation",
    "stl_": "link",
}
_SHAPE = re.compile(r"(st[gsil]_)[A-Za-z0-9_-]{22,100}")


def new_secret(sort: Sort) -> str:
    """Return a new secret of that sort, with 192 random bits."""
    (prefix,) = (prefix for prefix, one in _PREFIXES.items() if one == sort)
    random = secrets.token_urlsafe(_SECRET_BYTES)
    return f"{prefix}{random}"


def sort_of(text: str) -> Sort | None:
    """Return the sort of secret that ``text`` has the shape of; ``None`` where it has
    none.

    >>> sort_of("stg_" + "x" * 32), sort_of("x" * 32)
    ('token', None)
    """
    found = _SHAPE.fullmatch(text)
    if found is None:
        return None
    return _PREFIXES[found[1]]


def sha256_of(text: str) -> str:
    """Return the hash by which a secret is kept and found."""
    return hashlib.sha256(text.encode()).hexdigest()
