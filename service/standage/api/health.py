"""Whether the service is alive, and whether it is ready to be asked."""

import math
import time
from collections.abc import Callable
from threading import Lock
from typing import Annotated, Literal

import msgspec

from standage.api.operations import Operation, Reply, Speaks
from standage.railway.terms.figures import says
from standage.registry.engine import Database
from standage.registry.migrate import READY, state_of
from standage.registry.records import Unready

LOOK_AGAIN_S = 10.0
SHARE_OF_TIME = 20


class Health(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """How the service is."""

    status: Annotated[Literal["alive", "ready"], says("What was asked about, where it is so.")]
    writable: Annotated[bool | None, says("Whether records can be changed too; told of readiness only.")] = None


class Readiness:
    """Looks thoroughly at the database, which reads the whole file: seldom, and one at a time.

    A look holds for ten seconds, and for twenty times as long as it took.
    """

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._lock = Lock()
        self._look_again_at = -math.inf
        self._state = READY

    def say(self, database: Database) -> Reply:
        """Answer that all is well; raises ``Unready`` with the reason where it is not."""
        with self._lock:
            began = self._clock()
            if began >= self._look_again_at:
                self._state = state_of(database, thoroughly=True)
                ended = self._clock()
                self._look_again_at = ended + max(LOOK_AGAIN_S, SHARE_OF_TIME * (ended - began))
            state = self._state
        if state.code == "not_writable":
            raise Unready(f"records can be read, but nothing can be written: {state.message}", writable=False)
        if not state.ready:
            raise Unready(state.message)
        return Reply(content=Health(status="ready", writable=True))


def health_operations() -> list[Operation]:
    """Return the two operations that anybody may ask."""
    return [
        Operation(
            id="getLive",
            method="GET",
            path="/health/live",
            tag="Service",
            summary="Is the service alive?",
            description="Answers as long as the process can answer at all.",
            act=Speaks(_live),
            answer=Health,
        ),
        Operation(
            id="getReady",
            method="GET",
            path="/health/ready",
            tag="Service",
            summary="Is the service ready to be asked?",
            description="Looks at the database: reachable, at the right version, sound and writable. If it is not, the "
            "problem says why; `writable` false in it says that records can be read all the same.",
            act=Speaks(Readiness().say),
            answer=Health,
            problems=("unready",),
        ),
    ]


def _live(_database: Database) -> Reply:
    return Reply(content=Health(status="alive"))
