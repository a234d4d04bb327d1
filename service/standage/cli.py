"""The command line: found a club, serve, show the demo, migrate, back up, restore,
wipe, print the OpenAPI document.
"""

import argparse
import errno
import json
import os
import socket
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from importlib.metadata import version
from pathlib import Path

from granian.constants import HTTPModes, Interfaces
from granian.log import LogLevels
from granian.server import Server

from standage.api.web import journal
from standage.api.web.metrics import FOLDER_VARIABLE, shared_folder
from standage.api.web.pages_for_people import document_to_read
from standage.app import let_whoever_begins_be_ended, openapi_document
from standage.club_commands import take_club, tell_of_erased, write_club
from standage.demo.tour import run_demo
from standage.registry.database.engine import Database, open_database
from standage.registry.database.migrate import migrate, prepare
from standage.registry.database.moments import clock_is_right, now_of, utc_now
from standage.registry.database.wiping import wipe
from standage.registry.moving.backup import back_up
from standage.registry.moving.restore import restore
from standage.registry.people.clubs import found_club
from standage.settings import WORKERS, settings_from, workers_of
from standage.shapes.faults import Faulty
from standage.shapes.refusals import Refusal

DEFAULT_PORT = 8620
MOST_PORT = 65_535
LONGEST_STOP_S = 15
_TYPED = {"/name": "NAME", "/steward": "--steward"}


class CannotListen(Refusal):
    """The service cannot listen at the address it was told to; the message says why."""

    code = "cannot_listen"


def main(arguments: Sequence[str] | None = None) -> None:
    """Run one command; what a caller can mend is said in one line on stderr, with exit
    status 2.
    """
    options = _parser().parse_args(arguments)
    command: Callable[[argparse.Namespace], None] = options.command
    try:
        command(options)
    except Refusal as refusal:
        sys.exit(_refused(str(refusal)))


def _refused(message: str) -> int:
    print(f"standage: {message}", file=sys.stderr)
    return 2


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="standage",
        description=(
            "Knows beforehand whether a model railway's trains fit its roads and take"
            " its curves."
        ),
    )
    parser.add_argument("--version", action="version", version=version("standage"))
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    founding = commands.add_parser(
        "new-club",
        help="found a club with its first steward, and print the steward's token",
    )
    founding.add_argument("name", metavar="NAME")
    founding.add_argument("--steward", required=True, metavar="NAME")
    founding.set_defaults(command=_new_club)
    serving = commands.add_parser("serve", help="serve until interrupted")
    _add_address(serving)
    serving.add_argument(
        "--workers",
        type=_workers,
        help="how many processes answer (STANDAGE_WORKERS, else 1)",
    )
    serving.set_defaults(command=_serve)
    showing = commands.add_parser(
        "demo", help="show a small club and its answers, then go on serving it"
    )
    _add_address(showing)
    showing.add_argument(
        "--leave", action="store_true", help="end after the tour instead of serving on"
    )
    showing.set_defaults(command=_demo)
    commands.add_parser(
        "migrate", help="bring the database's tables up to date"
    ).set_defaults(command=_migrate)
    _add_keeping(commands)
    commands.add_parser("openapi", help="print the OpenAPI document").set_defaults(
        command=_openapi
    )
    return parser


def _add_keeping(
    commands: "argparse._SubParsersAction[argparse.ArgumentParser]",
) -> None:
    _add_club_documents(commands)
    backing_up = commands.add_parser(
        "backup", help="write everything into one new file, also while the service runs"
    )
    backing_up.add_argument("file", metavar="FILE", type=Path)
    backing_up.set_defaults(command=_backup)
    restoring = commands.add_parser(
        "restore",
        help=(
            "make the database what a backup holds, and print one new steward's token;"
            " stop the service first"
        ),
    )
    restoring.add_argument("file", metavar="FILE", type=Path)
    restoring.add_argument(
        "--replace",
        metavar="OLD",
        type=Path,
        help=(
            "replace a database that holds a club already, having backed that up into"
            " the new file OLD"
        ),
    )
    restoring.set_defaults(command=_restore)
    wiping = commands.add_parser(
        "wipe",
        help=(
            "rewrite the database's files, so that they hold no trace of members who"
            " were erased"
        ),
    )
    wiping.set_defaults(command=_wipe)
    confirming = commands.add_parser(
        "clock-is-right",
        help=(
            "say that the clock is right after it went far ahead, so that what is too"
            " old is thrown away again"
        ),
    )
    confirming.set_defaults(command=_clock_is_right)


def _add_club_documents(
    commands: "argparse._SubParsersAction[argparse.ArgumentParser]",
) -> None:
    exporting = commands.add_parser(
        "export-club", help="write a whole club as one JSON document into a new file"
    )
    exporting.add_argument("club_id", metavar="CLUB_ID")
    exporting.add_argument("file", metavar="FILE", type=Path)
    exporting.set_defaults(command=_export_club)
    importing = commands.add_parser(
        "import-club",
        help=(
            "take a club's document into a database that has none of it; print one"
            " steward's new token"
        ),
    )
    importing.add_argument("file", metavar="FILE", type=Path)
    importing.set_defaults(command=_import_club)


def _add_address(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--host",
        default="127.0.0.1",
        help="the address to listen on (this machine only by default)",
    )
    parser.add_argument(
        "--port",
        type=_port,
        default=DEFAULT_PORT,
        help=f"the port to listen on ({DEFAULT_PORT})",
    )


def _port(text: str) -> int:
    if not text.isascii() or not text.isdigit() or not 1 <= int(text) <= MOST_PORT:
        message = f"a port is a whole number from 1 to {MOST_PORT}, not {text!r}"
        raise argparse.ArgumentTypeError(message)
    return int(text)


def _workers(text: str) -> int:
    try:
        return workers_of(text, named="the number of workers")
    except Refusal as refusal:
        raise argparse.ArgumentTypeError(str(refusal)) from refusal


@contextmanager
def _opened_database() -> Iterator[Database]:
    settings = settings_from()
    database = open_database(
        settings.database_url, erasures_file=settings.erasures_file, hurries=False
    )
    try:
        yield database
    finally:
        database.dispose()


def _new_club(options: argparse.Namespace) -> None:
    try:
        with _opened_database() as database:
            prepare(database)
            founded = found_club(
                database, options.name, options.steward, now_of(database)
            )
    except Faulty as faulty:
        faults = (
            f"{_TYPED[fault.pointer or '']}: {fault.message}" for fault in faulty.faults
        )
        sys.exit(_refused("; ".join(faults)))
    print(json.dumps(founded._asdict()))


def _serve(options: argparse.Namespace) -> None:
    settings = settings_from()
    _see_that_nobody_listens(options.host, options.port)
    workers: int = options.workers or settings.workers
    let_whoever_begins_be_ended()
    with shared_folder() as folder:
        os.environ |= {
            WORKERS: str(workers),
            FOLDER_VARIABLE: str(folder),
        }  # what every worker is told
        Server(
            "standage.app:served",
            address=options.host,
            port=options.port,
            interface=Interfaces.ASGI,
            workers=workers,
            respawn_failed_workers=True,
            workers_kill_timeout=LONGEST_STOP_S,
            factory=True,
            # whoever speaks HTTP/2 without being asked goes round what a proxy sees to
            http=HTTPModes.http1,
            websockets=False,
            log_access=False,
            log_level=LogLevels.warning if settings.log == "quiet" else LogLevels.info,
            log_dictconfig=journal.configuration(settings.log),
            backpressure=1024,
        ).serve()


def _see_that_nobody_listens(host: str, port: int) -> None:
    """Raise ``CannotListen`` where the address is not this machine's, or is in use.

    The server would share a port with another one like it, and each would get a part of
    the requests.
    """
    try:
        family, kind, _, _, address = socket.getaddrinfo(
            host, port, type=socket.SOCK_STREAM
        )[0]
        with socket.socket(family, kind) as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            probe.bind(address)
    except PermissionError as error:
        message = (
            f"port {port} is kept for the machine's own services; choose a --port from"
            " 1024 up"
        )
        raise CannotListen(message) from error
    except OSError as error:
        if error.errno == errno.EADDRINUSE:
            message = (
                f"something is serving on port {port} of {host} already; end it, or"
                " choose another --port"
            )
        else:
            message = (
                f"{host} is no address of this machine; leave --host out, or mend it"
            )
        raise CannotListen(message) from error


def _demo(options: argparse.Namespace) -> None:
    run_demo(
        host=options.host,
        port=options.port,
        leave=options.leave,
        environment=dict(os.environ),
    )


def _migrate(_options: argparse.Namespace) -> None:
    with _opened_database() as database:
        migrate(database)
    print("The database is up to date.", file=sys.stderr)


def _backup(options: argparse.Namespace) -> None:
    with _opened_database() as database:
        done = back_up(database, options.file, utc_now())
    print(
        f"{_rows(done.rows)} are in {done.path}, which was read back and is whole.",
        file=sys.stderr,
    )


def _restore(options: argparse.Namespace) -> None:
    with _opened_database() as database:
        done = restore(
            database, options.file, utc_now(), keep_present_in=options.replace
        )
    print(
        f"{_rows(done.rows)} are back as they were on {done.made_at:%Y-%m-%d at %H:%M}"
        " UTC. Nobody gets in but by the token printed here: no other token,"
        " passphrase or link works any more. Invite people again with it.",
        file=sys.stderr,
    )
    print(
        f"Stewards now: {', '.join(done.stewards)}. Is each of them still meant to be"
        " one?",
        file=sys.stderr,
    )
    if done.lowered:
        names = ", ".join(done.lowered)
        print(
            "No longer what they were in the backup, as it had been taken from them"
            f" since: {names}.",
            file=sys.stderr,
        )
    if not done.list_found:
        where = database.erasures_file or "STANDAGE_ERASURES_FILE is not set"
        print(
            f"There is no list of erasures ({where}). If members were erased since this"
            " backup was made, they are back: put the list there and restore again.",
            file=sys.stderr,
        )
    tell_of_erased(done.erased_again)
    for way_in in done.ways_in:
        print(json.dumps(way_in._asdict()))


def _export_club(options: argparse.Namespace) -> None:
    with _opened_database() as database:
        prepare(database)
        write_club(database, options.club_id, options.file)


def _import_club(options: argparse.Namespace) -> None:
    with _opened_database() as database:
        prepare(database)
        take_club(database, options.file)


def _wipe(_options: argparse.Namespace) -> None:
    with _opened_database() as database:
        prepare(database)
        wipe(database, utc_now())
    print(
        "The database's own files hold no trace of members who were erased.",
        file=sys.stderr,
    )


def _clock_is_right(_options: argparse.Namespace) -> None:
    with _opened_database() as database:
        prepare(database)
        now = now_of(database)
        with database.write() as connection:
            clock_is_right(connection, now)
    print(
        f"It is taken for {now:%Y-%m-%d %H:%M} UTC. What has been kept for as long as"
        " it is meant to be is thrown away within the hour.",
        file=sys.stderr,
    )


def _rows(rows: Mapping[str, int]) -> str:
    return f"{sum(rows.values()):,} rows of {len(rows)} tables"


def _openapi(_options: argparse.Namespace) -> None:
    sys.stdout.buffer.write(document_to_read(openapi_document()))
