"""Files that stay the same while the service runs: sent with an entity tag, and packed
to whoever takes them so.

They are packed once. What holds secrets beside what somebody else chose is never packed
by this service: its length would tell of the secret. These files hold none.
"""

import gzip
import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from litestar import Request, Response

from standage.api.web.call import etag_of, has_current

_LEAST_PACKED_BYTES = 1024


@dataclass(frozen=True)
class KeptFile:
    """One file: what it holds is looked up when it is first asked for."""

    contents: Callable[[], bytes]
    media_type: str
    policy: str

    @cached_property
    def _plain(self) -> tuple[bytes, str]:
        body = self.contents()
        return body, etag_of(body)

    @cached_property
    def _packed(self) -> tuple[bytes, str]:
        body = gzip.compress(self._plain[0], mtime=0)  # the same bytes in each process
        return body, etag_of(body)

    def answer(self, request: Request[Any, Any, Any]) -> Response[bytes]:
        """Return the file, or 304 to whoever has it already."""
        headers = {
            "content-security-policy": self.policy,
            "cache-control": "no-cache",
            "vary": "Accept-Encoding",
        }
        body, etag = self._plain
        is_packed = len(body) >= _LEAST_PACKED_BYTES and _takes_gzip(request)
        if is_packed:
            body, etag = self._packed
            headers["content-encoding"] = "gzip"
        headers["etag"] = etag
        if has_current(request.headers.get("if-none-match"), etag):
            headers.pop("content-encoding", None)
            return Response(content=b"", status_code=304, headers=headers)
        return Response(content=body, media_type=self.media_type, headers=headers)


def _takes_gzip(request: Request[Any, Any, Any]) -> bool:
    """Tell whether Accept-Encoding takes gzip (RFC 9110, section 12.5.3)."""
    sent = request.headers.get("accept-encoding", "").lower()
    codings: dict[str, bool] = {}
    for one in sent.split(","):
        name, _, parameters = one.partition(";")
        # a weight of 0 means: not this one
        is_refused = re.fullmatch(r"\s*q=0(\.0*)?\s*", parameters)
        codings[name.strip()] = not is_refused
    any_other = codings.get("*", False)
    return codings.get("gzip", any_other)
