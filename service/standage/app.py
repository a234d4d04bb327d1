"""The only place that joins the rooms: settings, database, operations, routes."""

import asyncio
import gc
import json
import logging
import os
import signal
import sys
import time
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager, suppress
from datetime import datetime
from functools import partial
from importlib.metadata import version
from importlib.resources import files
from pathlib import Path
from threading import current_thread, main_thread
from types import FrameType
from typing import Any

import msgspec
from anyio import CancelScope, Event, create_task_group, move_on_after, sleep, to_thread
from litestar import Litestar, Request, Response
from litestar.types import ASGIApp

from standage.api.asking.ask import Asker
from standage.api.asking.hash_queue import HashQueue
from standage.api.asking.pool import Pool
from standage.api.asking.readiness_gate import Gate
from standage.api.asking.routes import ways
from standage.api.asking.write_turns import Turns
from standage.api.document.openapi import document
from standage.api.operations.club_documents import club_document_operations
from standage.api.operations.deleted import deleted_operations
from standage.api.operations.drafts import draft_operations
from standage.api.operations.erasure import erasure_operations
from standage.api.operations.health import health_operations
from standage.api.operations.history import history_operations
from standage.api.operations.passphrases import passphrase_operations
from standage.api.operations.plan_sheets import plan_sheet_operations
from standage.api.operations.plan_sheets_on_record import (
    plan_sheet_on_record_operations,
)
from standage.api.operations.questions import question_operations
from standage.api.operations.records import record_operations
from standage.api.operations.refused_changes import refused_change_operations
from standage.api.operations.sign_in import sign_in_operations
from standage.api.operations.stock_imports import stock_import_operations
from standage.api.operations.stock_lists import stock_list_operations
from standage.api.operations.taking_out import taking_out_operations
from standage.api.operations.yard_drawings import yard_drawing_operations
from standage.api.web import journal
from standage.api.web.limits import Limits
from standage.api.web.metrics import Metrics, folder_of
from standage.api.web.operation import Operation
from standage.api.web.outermost_layer import Addresses, CrossOrigin, Outer, Way
from standage.api.web.pages_for_people import PATHS, document_bytes, pages_for_people
from standage.api.web.receiving import LONGEST_WHEN_STOPPING_S, Intake
from standage.registry.database.engine import Database, open_database
from standage.registry.database.moments import SteadyClock, utc_now
from standage.registry.people.hashing import Hasher
from standage.registry.records.kind import RECORD_BYTES
from standage.settings import Settings, settings_from
from standage.shapes.refusals import Refusal

log = logging.getLogger(__name__)

_POSTGRESQL_WRITES = 10
_TIDY_EVERY_S = 3600
_LOOK_FIRST_S = 1.0
_ENDING = (signal.SIGINT, signal.SIGTERM)


def know_every_shape() -> None:
    """Let every struct be looked at by msgspec, in one thread, before several decode
    into one for the first time.

    It puts down what it knows of a struct before it knows all of it (0.22), so that the
    second of two threads may meet what is not there, and end the process.
    """
    waiting: list[type[msgspec.Struct]] = [msgspec.Struct]
    while waiting:
        for shape in waiting.pop().__subclasses__():
            waiting.append(shape)
            with suppress(TypeError):  # one that is only ever written
                msgspec.json.Decoder(shape)


def operations() -> list[Operation]:
    """Return everything that the service can be asked."""
    looking_back = [
        *history_operations(),
        *refused_change_operations(),
        *deleted_operations(),
        *erasure_operations(),
    ]
    questions = [*question_operations(), *yard_drawing_operations()]
    files = [
        *stock_import_operations(),
        *plan_sheet_operations(),
        *plan_sheet_on_record_operations(),
        *stock_list_operations(),
        *club_document_operations(),
    ]
    records = [
        *record_operations(),
        *draft_operations(),
        *taking_out_operations(),
    ]
    people = [*sign_in_operations(), *passphrase_operations()]
    return [*questions, *records, *people, *looking_back, *files, *health_operations()]


def openapi_document() -> dict[str, Any]:
    """Return the OpenAPI document of this version, with the examples that the tests
    send.
    """
    examples = json.loads(
        files("standage.api.document").joinpath("examples.json").read_text("utf-8")
    )
    return document(operations(), examples)


def create_app(
    settings: Settings,
    *,
    database: Database | None = None,
    clock: Callable[[], datetime] = utc_now,
    pool: Pool | None = None,
    metrics: Metrics | None = None,
    hasher: Hasher | None = None,
) -> ASGIApp:
    """Return the whole service as an ASGI application. The database is opened, and
    closed at the end, unless given.

    The pools are closed at the end in any case.
    """
    know_every_shape()
    counted = metrics or Metrics()
    kept = (
        open_database(settings.database_url, erasures_file=settings.erasures_file)
        if database is None
        else database
    )
    kept.on_trouble = counted.trouble
    asker = Asker(
        database=kept,
        gate=Gate(kept),
        clock=SteadyClock(clock, kept),
        limits=(
            Limits(time.monotonic, processes=settings.workers)
            if settings.rate_limits == "on"
            else None
        ),
        open_checks=settings.open_checks == "on",
        trusted_proxy=settings.trusted_proxy,
        writers=Turns(1 if kept.dialect == "sqlite" else _POSTGRESQL_WRITES),
        pool=Pool(counted=counted.long_questions) if pool is None else pool,
        files=Pool(counted=counted.long_questions),
        hashing=HashQueue(Hasher() if hasher is None else hasher),
    )

    intake = Intake()
    inner = Litestar(
        pages_for_people(lambda: document_bytes(openapi_document())),
        openapi_config=None,
        logging_config=None,
        lifespan=[
            partial(_heeding_signals, intake),
            partial(_lifespan, asker, counted, closes_database=database is None),
        ],
        exception_handlers={Exception: _hand_on},
    )
    page = {"GET": Way("page", RECORD_BYTES)}
    known = ways(operations(), asker) | dict.fromkeys(PATHS, page)
    outer = Outer(
        inner,
        Addresses(known),
        counted,
        metrics_token=settings.metrics_token,
        intake=intake,
    )
    outer.cross_origin = CrossOrigin(settings.cors_origins)
    return outer


@asynccontextmanager
async def _heeding_signals(intake: Intake, _app: Litestar) -> AsyncIterator[None]:
    """Give bodies that are still coming a few seconds once the process is told to end.

    The server's own handler goes on being called: it waits for every request that has
    begun, and a body that never comes to its end would hold it for ever. Only the main
    thread may set handlers; tests serve in another.
    """
    if current_thread() is main_thread():
        loop = asyncio.get_running_loop()
        for number in _ENDING:
            signal.signal(
                number, partial(_told_to_end, intake, loop, signal.getsignal(number))
            )
            signal.siginterrupt(number, False)  # noqa: FBT003 - the standard library's signature
    yield


def _told_to_end(
    intake: Intake,
    loop: asyncio.AbstractEventLoop,
    before: object,
    number: int,
    frame: FrameType | None,
) -> None:
    loop.call_soon_threadsafe(loop.call_later, LONGEST_WHEN_STOPPING_S, intake.cut_off)
    if callable(before):
        before(number, frame)


@asynccontextmanager
async def _lifespan(
    asker: Asker, counted: Metrics, _app: Litestar, *, closes_database: bool
) -> AsyncIterator[None]:
    counted.started()
    log.info(
        "started",
        extra={
            "told": {"version": version("standage"), "database": asker.database.dialect}
        },
    )
    try:
        await to_thread.run_sync(asker.gate.require)
        await to_thread.run_sync(asker.clock.look)
    except Refusal as refusal:
        log.warning("not ready yet: %s", refusal)
    async with create_task_group() as tasks:
        looked_through = Event()
        tasks.start_soon(_look_through, asker.gate, looked_through)
        with move_on_after(_LOOK_FIRST_S):
            await looked_through.wait()
        tasks.start_soon(_tidy_up, asker)
        try:
            yield
        finally:
            tasks.cancel_scope.cancel()
            with CancelScope(shield=True):
                await to_thread.run_sync(asker.pool.close)
                await to_thread.run_sync(asker.files.close)
                await to_thread.run_sync(asker.writers.close)
    if closes_database:
        asker.database.dispose()
    log.info("stopped")


async def _look_through(gate: Gate, done: Event) -> None:
    """Look for damage: before anything is answered, where that is quickly done, else
    beside it.
    """
    try:
        await to_thread.run_sync(gate.look_through, abandon_on_cancel=True)
    except Refusal as refusal:
        log.error("nothing is served from the database: %s", refusal)  # noqa: TRY400 - the reason is all there is
    except Exception:
        log.exception("the database could not be looked through")
    done.set()


async def _tidy_up(asker: Asker) -> None:
    """Forget, every hour, what is kept no longer."""
    while True:
        try:
            await to_thread.run_sync(asker.tidy_up)
        except Refusal as refusal:
            log.warning("could not tidy up: %s", refusal)
        except Exception:
            log.exception(
                "could not tidy up"
            )  # and goes on serving: what runs beside the service may not end it
        await sleep(_TIDY_EVERY_S)


def _hand_on(_request: Request[Any, Any, Any], error: Exception) -> Response[bytes]:
    """Hand every error on to the outer layer, which makes a problem of it."""
    raise error


def _end_at_once(_number: int, _frame: object) -> None:
    """End: whoever stops the service while it is starting must not wait for it until
    the end of time.

    The server's own handler, which lets requests be answered first, comes only once it
    can be asked.
    """
    sys.exit(0)


def _may_be_ended() -> None:
    for number in _ENDING:
        signal.signal(number, _end_at_once)


def let_whoever_begins_be_ended() -> None:
    """Let every process that this one forks from now on end at once where it is told
    to, from its first moment on.

    Until then it has the signal handlers of this process, which would only take down
    that a signal came; so the signals are kept back while it is forked.
    """
    if sys.platform != "win32":

        def begin() -> None:
            _may_be_ended()
            let_through()

        keep_back = partial(signal.pthread_sigmask, signal.SIG_BLOCK, _ENDING)
        let_through = partial(signal.pthread_sigmask, signal.SIG_UNBLOCK, _ENDING)
        os.register_at_fork(
            before=keep_back, after_in_parent=let_through, after_in_child=begin
        )


def served() -> ASGIApp:
    """Return the service as the environment sets it up: what a server is told to
    load.
    """
    _may_be_ended()
    journal.take_in_the_rest()
    settings = settings_from()
    backups = None if settings.backups_folder is None else Path(settings.backups_folder)
    app = create_app(settings, metrics=Metrics(folder_of(os.environ), backups=backups))
    gc.collect()
    # all that is there by now stays, so it need not be gone through with every
    # collection
    gc.freeze()
    return app
