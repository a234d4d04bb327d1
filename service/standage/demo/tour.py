"""The tour: serve, register the club over HTTP, ask the main questions, print the
answers, go on serving.
"""

import json
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import ExitStack
from pathlib import Path
from typing import Self

import httpx

from standage.demo import spreadsheet, telling
from standage.demo.caller import Club
from standage.demo.headlines import headline
from standage.demo.layouts import CLUB, LAYOUTS, MODULES, PLACES, STEWARD, TRAINS
from standage.demo.pictures import picture
from standage.demo.plan_pictures import plan_picture
from standage.demo.questions import Asked, questions
from standage.demo.remedies import advice
from standage.demo.stock import VEHICLES
from standage.demo.track_plans import MORE_HEADSHUNT_MM, QUAY, QUAY_MODULES

DATABASE = "sqlite:///standage-demo.sqlite3"
PICTURE = "standage-demo.svg"
PLAN_PICTURE = "standage-demo-plan.svg"
_START_S = 60.0


def run_demo(
    *, host: str, port: int, leave: bool, environment: Mapping[str, str]
) -> None:
    """Show the demo club; then serve on until interrupted, unless ``leave``.

    A port that is taken is left alone and the next free one is used. The club is kept
    in a SQLite file beside the caller, unless the environment names a database; a
    picture is saved beside it.
    """
    usual = {
        "STANDAGE_DATABASE_URL": DATABASE,
        "STANDAGE_RATE_LIMITS": "off",
        "STANDAGE_LOG": "quiet",
    }
    surroundings = {**usual, **environment}
    free = _free_port(host, port)
    with ExitStack() as stack:
        founded = _found(surroundings)
        server = stack.enter_context(_Served(host, free, surroundings))
        headers = {"authorization": f"Bearer {founded['token']}"}
        client = stack.enter_context(
            httpx.Client(base_url=server.address, headers=headers, timeout=60)
        )
        _await_ready(client, server)
        club = Club(client, steward=STEWARD, member_id=founded["member_id"])
        show(club)
        kept = (
            f"   The quay's plan drawn, for a browser:   {save_plan(club)}",
            f"   Question 1 drawn:                       {save_picture(club)}",
            (
                "   The club is kept in:                   "
                f" {surroundings['STANDAGE_DATABASE_URL']}"
            ),
        )
        print(
            _farewell(server.address, founded["token"], kept=kept, leaving=leave),
            flush=True,
        )
        if not leave:
            server.wait()


class _Served:
    """The service in a process of its own, ended with the tour."""

    def __init__(self, host: str, port: int, environment: Mapping[str, str]) -> None:
        self.address = f"http://{host}:{port}"
        self._command = [
            sys.executable,
            "-m",
            "standage",
            "serve",
            "--host",
            host,
            "--port",
            str(port),
        ]
        self._environment = dict(environment)

    def __enter__(self) -> Self:
        signal.signal(signal.SIGTERM, signal.default_int_handler)
        self._process = subprocess.Popen(  # noqa: S603 - our own command
            self._command, env=self._environment, stdout=subprocess.DEVNULL
        )
        return self

    def __exit__(self, *_: object) -> None:
        self._process.terminate()
        try:
            self._process.wait(timeout=10)
        except subprocess.TimeoutExpired:
            self._process.kill()

    @property
    def ended(self) -> bool:
        """Whether it ended by itself."""
        return self._process.poll() is not None

    def wait(self) -> None:
        """Wait until somebody interrupts."""
        try:
            self._process.wait()
        except KeyboardInterrupt:
            print("\nStopping. The club stays in its file.")


def show(club: Club) -> None:
    """Put the club on record, and print its questions with the answers."""
    club.register()
    print(telling.heading(f"{CLUB}: will it work?"))
    introduction = (
        f"The club has put on record {len(VEHICLES)} sorts of vehicle in three scales,"
        f" {len(TRAINS)} trains, {len(MODULES)} modules of four owners, and"
        f" {len(LAYOUTS)} layouts with {len(PLACES)} places where trains stand."
    )
    print(telling.paragraph(introduction))
    print("\n".join(_plan(club)), flush=True)
    for number, asked in enumerate(questions(club), start=1):
        print("\n".join(_told(number, asked)), flush=True)
    print("\n".join(spreadsheet.told(club)), flush=True)


def _plan(club: Club) -> Iterator[str]:
    """Yield the quay's track plan, as it lies on the modules of three members."""
    answer = club.ask(f"{club.plan_of('quay')}/check", revision=1)
    yield ""
    yield telling.paragraph(
        f"{QUAY['name']}, on three members' modules. So much of each road can be used:"
    )
    names = {
        called: f"{MODULES[key]['name']} ({MODULES[key]['owner']})"
        for called, key in QUAY_MODULES.items()
    }
    yield from plan_picture(answer, names)
    yield ""
    yield telling.paragraph(f"{_drawn_out(club)} {_bent(club)}")


def _drawn_out(club: Club) -> str:
    """Return whether the coal train can be worked, before and after the headshunt is
    lengthened.
    """
    before, after = (club.move("coal", revision=number) for number in (1, 2))
    return (
        "Can the coal train on the platform line be drawn out into the headshunt? As"
        f" laid, {before['verdict'].upper()}: {before['because'][0]['message']}."
        f" With {MORE_HEADSHUNT_MM} mm more of headshunt, in the plan's second"
        f" revision, {after['verdict'].upper()}: {after['spare_mm']:g} mm to spare."
    )


def _bent(club: Club) -> str:
    """Return what a third revision changes, in which the headshunt is longer still and
    bends away.
    """
    changes = club.changed(2, 3)
    worse = [one for one in changes["verdicts"] if one["turns"] == "worse"]
    others = len(worse) - 1
    return f"Bent as well, in a third, {worse[0]['message']}, nor do {others} others."


def _told(number: int, asked: Asked) -> list[str]:
    answer = asked.answer
    lines = [telling.question(number, asked.text)]
    if asked.picture is not None:
        lines += picture(asked.picture, answer)
    lines.append(f"   {headline(answer)}")
    lines += telling.reasons(answer)
    lines += advice(answer)
    if number == 1:
        # the same is assumed in every answer
        lines += telling.guesses(answer)
    return lines


def save_picture(club: Club) -> str:
    """Save the train of the first question in its road, for a browser; return where, or
    why it could not be saved.
    """
    return _saved(PICTURE, club.drawing("coal", "quay headshunt"))


def save_plan(club: Club) -> str:
    """Save the quay's track plan, for a browser; return where, or why it could not be
    saved.
    """
    return _saved(PLAN_PICTURE, club.plan_drawing("quay"))


def _saved(name: str, drawing: str) -> str:
    file = Path(name).resolve()
    try:
        file.write_text(drawing, encoding="utf-8")
    except OSError as error:
        return f"not saved ({error.strerror})"
    return str(file)


def _found(environment: Mapping[str, str]) -> dict[str, str]:
    command = [sys.executable, "-m", "standage", "new-club", CLUB, "--steward", STEWARD]
    made = subprocess.run(  # noqa: S603 - our own command
        command, env=dict(environment), check=False, capture_output=True, text=True
    )
    if made.returncode != 0:
        sys.exit(made.stderr.strip())
    founded: dict[str, str] = json.loads(made.stdout)
    return founded


def _free_port(host: str, first: int) -> int:
    for port in range(first, first + 50):
        with socket.socket() as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            if probe.connect_ex((host, port)) == 0:
                continue
            try:
                probe.bind((host, port))
            except OSError:
                continue
            return port
    sys.exit(
        f"standage: no free port from {first} to {first + 49}; choose one with --port"
    )


def _await_ready(client: httpx.Client, server: _Served) -> None:
    until = time.monotonic() + _START_S
    while time.monotonic() < until and not server.ended:
        try:
            if client.get("/health/ready").is_success:
                return
        except httpx.TransportError:
            time.sleep(0.1)
    sys.exit("standage: the service did not start; what it said stands above")


def _farewell(address: str, token: str, *, kept: Sequence[str], leaving: bool) -> str:
    lines = [
        telling.heading("Now you"),
        f"   Documentation, to try everything out:   {address}/docs",
        f"   The steward's token (Authorize, paste): {token}",
        *kept,
    ]
    ending = (
        ""
        if leaving
        else f"\n   The service goes on until you press Ctrl-C (process {os.getpid()})."
    )
    return "\n".join(lines) + ending
