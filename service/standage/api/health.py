"""Whether the service is alive, and whether it is ready to be asked."""

import time
from collections.abc import Callable
from typing import Annotated, Literal

import msgspec

from standage.api.operations import Operation, Reply, Speaks
from standage.railway.terms.figures import says
from standage.registry.engine import Database
from standage.registry.migrate import State, state_of
from standage.registry.records import Unready

LOOK_AGAIN_S = 10.0


class Health(msgspec.Struct, frozen=True, kw_only=True):
    """How the service is."""

    status: Annotated[Literal["alive", "ready"], says("What was asked about, where it is so.")]


class Readiness:
    """Looks thoroughly at the database, at most once in ten seconds: a thorough look reads the whole file."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._looked_at: float | None = None
        self._state: State | None = None

    def say(self, database: Database) -> Reply:
        """Answer that all is well; raises ``Unready`` with the reason where it is not."""
        now = self._clock()
        if self._state is None or self._looked_at is None or now - self._looked_at >= LOOK_AGAIN_S:
            self._state, self._looked_at = state_of(database, thoroughly=True), now
        if not self._state.ready:
            raise Unready(self._state.message)
        return Reply(content=Health(status="ready"))


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
            "problem says why.",
            act=Speaks(Readiness().say),
            answer=Health,
            problems=("unready",),
        ),
    ]


def _live(_database: Database) -> Reply:
    return Reply(content=Health(status="alive"))
