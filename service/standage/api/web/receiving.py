"""Receiving the body of a request: bounded in bytes, also of all of them together, and
in time.

A body that comes slowly holds memory and a connection, whoever sends it. So a large one
is taken only from somebody who may send it, what is held of all bodies at once has a
bound, and whoever takes too long is cut off.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import TracebackType
from typing import Self

from anyio import CancelScope, current_time
from litestar.types import HTTPScope, Receive

from standage.api.web.problems import Rejected
from standage.shapes.refusals import Busy

LARGE_BYTES = 256 * 1024
"""A body that may be larger than this is only taken from somebody who is known."""
MOST_BYTES_OF_THE_KNOWN = 48 * 1024 * 1024
MOST_BYTES_OF_ANYBODY = 24 * 1024 * 1024
"""What one process holds of all bodies at once: large ones of the known, and small ones
of anybody.
"""
LONGEST_SILENCE_S = 10.0
LONGEST_BODY_S = 60.0
LONGEST_WHEN_STOPPING_S = 5.0
_DRAINED_BYTES = 8 * 1024 * 1024
"""More than a proxy lets through, since that sends all it has before it reads; what is
drained is kept nowhere.
"""
_DRAINED_S = 2.0
_MOST_FIGURES = 20


@dataclass
class _Share:
    """How much of the bodies of one sort is held, and how much may be."""

    most_bytes: int
    held_bytes: int = 0

    def take(self, size: int) -> None:
        """Count ``size`` bytes in; raises ``Busy`` where that is more than may be
        held.
        """
        if self.held_bytes + size > self.most_bytes:
            raise Busy("Too much is being sent at once.")
        self.held_bytes += size


class Held:
    """What is held of one body, counted until it is let go of."""

    def __init__(self, share: _Share) -> None:
        """Hold nothing yet."""
        self._share = share
        self._size = 0

    def take(self, size: int) -> None:
        """Count ``size`` bytes more; raises ``Busy``."""
        self._share.take(size)
        self._size += size

    def __enter__(self) -> Self:
        """Begin to hold."""
        return self

    def __exit__(
        self,
        _type: type[BaseException] | None,
        _error: BaseException | None,
        _traceback: TracebackType | None,
    ) -> None:
        """Let go of all of it."""
        self._share.held_bytes -= self._size
        self._size = 0


@dataclass
class Intake:
    """Everything that one process is receiving."""

    known: _Share = field(default_factory=lambda: _Share(MOST_BYTES_OF_THE_KNOWN))
    anybody: _Share = field(default_factory=lambda: _Share(MOST_BYTES_OF_ANYBODY))
    _coming: set[CancelScope] = field(default_factory=set)
    _is_over: bool = False

    def held(self, *, is_known: bool) -> Held:
        """Return what counts one body, of somebody who is known or of anybody."""
        return Held(self.known if is_known else self.anybody)

    async def body(
        self, scope: HTTPScope, receive: Receive, held: Held, *, most_bytes: int
    ) -> bytes:
        """Return the whole body, where there is one.

        Raises ``Rejected``: ``too_large`` as soon as it is known to be longer than
        ``most_bytes``, ``too_slow`` where it does not come in time, ``malformed`` where
        it breaks off. Raises ``Busy`` where too much is held already, or the service is
        stopping.
        """
        try:
            require_size(dict(scope["headers"]), most_bytes=most_bytes)
            return await self._received(receive, held, most_bytes=most_bytes)
        except Rejected as rejected:
            if rejected.sort_code == "too_large":
                await drain(receive)
            raise

    def cut_off(self) -> None:
        """Wait for no body any longer: the service is stopping."""
        self._is_over = True
        for scope in self._coming:
            scope.cancel()

    async def _received(
        self, receive: Receive, held: Held, *, most_bytes: int
    ) -> bytes:
        parts: list[bytes] = []
        size = 0
        end = current_time() + LONGEST_BODY_S
        more = True
        while more:
            part, more = await self._next(receive, end)
            size += len(part)
            if size > most_bytes:
                raise _too_large(most_bytes)
            held.take(len(part))
            parts.append(part)
        return b"".join(parts)

    async def _next(self, receive: Receive, end: float) -> tuple[bytes, bool]:
        """Return the next part of a body, and whether more comes."""
        if self._is_over:
            raise Busy("The service is stopping.")
        deadline = min(end, current_time() + LONGEST_SILENCE_S)
        with CancelScope(deadline=deadline) as scope:
            self._coming.add(scope)
            try:
                message = await receive()
            finally:
                self._coming.discard(scope)
        if scope.cancelled_caught:
            if self._is_over:
                raise Busy("The service is stopping.")
            raise Rejected(
                "too_slow",
                f"The body did not come in time: {LONGEST_BODY_S:g} seconds at most.",
            )
        if message["type"] != "http.request":
            raise Rejected("malformed", "The request broke off before its end.")
        return message.get("body", b""), message.get("more_body", False)


def require_size(headers: Mapping[bytes, bytes], *, most_bytes: int) -> None:
    """Raise ``Rejected`` where the body is said to be longer than ``most_bytes``."""
    declared = headers.get(b"content-length", b"0")
    if declared.isdigit() and (
        len(declared) > _MOST_FIGURES or int(declared) > most_bytes
    ):
        raise _too_large(most_bytes)


def may_be_large(headers: Mapping[bytes, bytes]) -> bool:
    """Tell whether a body may be large: it is said to be, or nobody says how long it is."""
    declared = headers.get(b"content-length")
    if declared is None:
        return b"transfer-encoding" in headers
    if not declared.isdigit() or len(declared) > _MOST_FIGURES:
        return True
    return int(declared) > LARGE_BYTES


async def drain(receive: Receive) -> None:
    """Read a little of a body that is refused, and drop it.

    A connection that is shut with bytes unread is reset, and whoever sends them never
    reads why.
    """
    size = 0
    with CancelScope(deadline=current_time() + _DRAINED_S):
        while size < _DRAINED_BYTES:
            message = await receive()
            if message["type"] != "http.request":
                return
            size += len(message.get("body", b""))
            if not message.get("more_body", False):
                return


def _too_large(most_bytes: int) -> Rejected:
    return Rejected("too_large", f"At most {most_bytes // 1024} kB may be sent here.")
