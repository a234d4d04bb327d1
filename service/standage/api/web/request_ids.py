"""The id of a request: the caller's own, where it is one that may stand in the log.

Nothing that somebody sent gets into the log as it is. An id of 32 hexadecimal digits,
or a UUID, has no room for anything else; any other is passed over.
"""

import re
from collections.abc import Iterable, Mapping

_ID = re.compile(
    r"[0-9a-f]{32}|[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}"
)
_TRACE = re.compile(
    r"(?!ff)[0-9a-f]{2}-([0-9a-f]{32})-[0-9a-f]{16}-[0-9a-f]{2}(?:-.*)?"
)
_LONGEST = 100
_NO_TRACE = "0" * 32


def id_for(headers: Iterable[tuple[bytes, bytes]]) -> str | None:
    """Return the id that a request brings, or None.

    It is that of X-Request-Id, or else the trace of traceparent (W3C Trace Context).
    """
    brought = {name.lower(): value[:_LONGEST] for name, value in headers}
    own = _text(brought, b"x-request-id").lower()
    if _ID.fullmatch(own):
        return own
    trace = _TRACE.fullmatch(_text(brought, b"traceparent"))
    if trace is None or trace[1] == _NO_TRACE:
        return None
    return trace[1]


def _text(brought: Mapping[bytes, bytes], name: bytes) -> str:
    return brought.get(name, b"").decode("latin-1").strip()
