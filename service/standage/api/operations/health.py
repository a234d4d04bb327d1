"""Whether the service is alive, and whether it is ready to be asked."""

import math
import time
from collections.abc import Callable
from datetime import timedelta
from threading import Lock
from typing import Annotated, Literal

import msgspec

from standage.api.web.call import Reply
from standage.api.web.operation import About, Answers, Operation, Speaks
from standage.railway.terms.figures import says
from standage.registry.database.engine import Database
from standage.registry.database.migrate import READY, state_of
from standage.registry.database.moments import jump_of
from standage.shapes.refusals import Refusal, Unready

ClockTold = tuple[Literal["jumped_ahead", "behind"] | None, str | None]
LOOK_AGAIN_S = 10.0
SHARE_OF_TIME = 20
_TOLERABLY_BEHIND = timedelta(minutes=5)
"""Clocks of several computers, and one that is set right, differ by less."""


class Health(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """How the service is."""

    status: Annotated[
        Literal["alive", "ready"], says("What was asked about, where it is so.")
    ]
    writable: Annotated[
        bool | None, says("Whether records can be changed too; told of readiness only.")
    ] = None
    clock: Annotated[
        Literal["jumped_ahead", "behind"] | None,
        says(
            "What is odd about the computer's clock, if anything is; the service is"
            " ready all the same."
        ),
    ] = None
    clock_remark: Annotated[
        str | None, says("What that means, and what to do about it.")
    ] = None


class Readiness:
    """Looks thoroughly at the database, which reads the whole file: seldom, and one at
    a time.

    A look holds for ten seconds, and for twenty times as long as it took.
    """

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._lock = Lock()
        self._look_again_at = -math.inf
        self._state = READY

    def say(self, database: Database) -> Reply:
        """Answer that all is well; raises ``Unready`` with the reason where it is
        not.
        """
        with self._lock:
            began = self._clock()
            if began >= self._look_again_at:
                self._state = state_of(database, thoroughly=True)
                ended = self._clock()
                self._look_again_at = ended + max(
                    LOOK_AGAIN_S, SHARE_OF_TIME * (ended - began)
                )
            state = self._state
        if state.code == "not_writable":
            raise Unready(
                f"records can be read, but nothing can be written: {state.message}",
                writable=False,
            )
        if not state.ready:
            raise Unready(state.message)
        clock, remark = clock_told(database)
        return Reply(
            content=Health(
                status="ready", writable=True, clock=clock, clock_remark=remark
            )
        )


def clock_told(database: Database) -> ClockTold:
    """Return what is odd about the clock that the service goes by, and what that
    means.
    """
    if database.clock_is_behind > _TOLERABLY_BEHIND:
        return (
            "behind",
            (
                "The computer's clock is behind what is on record. Until it has caught"
                " up, or is set right, all that is put down counts as done just after"
                " the newest moment on record."
            ),
        )
    try:
        with database.read() as connection:
            jump = jump_of(connection)
    except Refusal:
        return None, None  # the next look tells
    if jump is None:
        return None, None
    return (
        "jumped_ahead",
        (
            f"The computer's clock went ahead from {jump.before:%Y-%m-%d %H:%M} to"
            f" {jump.after:%Y-%m-%d %H:%M} UTC, as it does where it was off for long."
            " Nothing is thrown away for its age until the clock has run on for 24"
            " hours, or whoever runs the service says that it is right: standage"
            " clock-is-right."
        ),
    )


def health_operations() -> list[Operation]:
    """Return the two operations that anybody may ask."""
    return [
        Operation(
            id="getLive",
            method="GET",
            path="/health/live",
            about=About(
                tag="Service",
                summary="Is the service alive?",
                description="Answers as long as the process can answer at all.",
            ),
            act=Speaks(_live),
            answers=Answers(shape=Health),
        ),
        Operation(
            id="getReady",
            method="GET",
            path="/health/ready",
            about=About(
                tag="Service",
                summary="Is the service ready to be asked?",
                description=(
                    "Looks at the database: reachable, at the right version, sound"
                    " and writable. If it is not, the problem says why; where only"
                    " `writable` is false records can be read. `clock` tells of one"
                    " more than 30 days ahead, or behind what is on record."
                ),
            ),
            act=Speaks(Readiness().say),
            answers=Answers(shape=Health, problems=("unready",)),
        ),
    ]


def _live(_database: Database) -> Reply:
    return Reply(content=Health(status="alive"))
