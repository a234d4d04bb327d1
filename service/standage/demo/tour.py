"""The tour: serve, register the club over HTTP, ask the main questions, print the answers, go on serving."""

import json
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Mapping
from contextlib import ExitStack
from typing import Any, Self

import httpx

from standage.demo import telling
from standage.demo.club import CLUB, COUPLING_TYPES, LAYOUT, MEMBERS, PLACES, STEWARD, TRAINS, VEHICLES

DATABASE = "sqlite:///standage-demo.sqlite3"
_START_S = 60.0
Ids = dict[str, str]


def run_demo(*, host: str, port: int, leave: bool, environment: Mapping[str, str]) -> None:
    """Show the demo club; then serve on until interrupted, unless ``leave``.

    A port that is taken is left alone and the next free one is used. The club is kept in a SQLite file beside the
    caller, unless the environment names a database.
    """
    surroundings = {"STANDAGE_DATABASE_URL": DATABASE, **environment}
    free = _free_port(host, port)
    with ExitStack() as stack:
        token = _found(surroundings)
        server = stack.enter_context(_Served(host, free, surroundings))
        client = stack.enter_context(
            httpx.Client(base_url=server.address, headers={"authorization": f"Bearer {token}"})
        )
        _await_ready(client, server)
        _show(Club(client))
        print(
            _farewell(server.address, token, database=surroundings["STANDAGE_DATABASE_URL"], leaving=leave), flush=True
        )
        if not leave:
            server.wait()


class _Served:
    """The service in a process of its own, ended with the tour."""

    def __init__(self, host: str, port: int, environment: Mapping[str, str]) -> None:
        self.address = f"http://{host}:{port}"
        self._command = [sys.executable, "-m", "standage", "serve", "--host", host, "--port", str(port)]
        self._environment = dict(environment)

    def __enter__(self) -> Self:
        signal.signal(signal.SIGTERM, signal.default_int_handler)
        self._process = subprocess.Popen(self._command, env=self._environment, stdout=subprocess.DEVNULL)  # noqa: S603 - our own command
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


class Club:
    """The demo club as a caller sees it: records things and asks questions over HTTP."""

    def __init__(self, client: httpx.Client) -> None:
        self._client = client
        self.vehicles: Ids = {}
        self.trains: Ids = {}
        self.places: Ids = {}
        self.layout = ""

    def record(self, path: str, body: Mapping[str, Any]) -> str:
        """Record one thing; return its id."""
        return str(self._answer(self._client.post(path, json=body))["id"])

    def ask(self, path: str, **query: str | float) -> Any:
        """Ask about what is on record."""
        return self._answer(self._client.get(path, params=query))

    def check(self, name: str, body: Mapping[str, Any]) -> Any:
        """Ask with figures inline."""
        return self._answer(self._client.post(f"/v1/checks/{name}", json=body))

    def fit(self, train: str, place: str) -> Any:
        """Ask whether a train on record fits a place on record."""
        return self.ask(f"/v1/layouts/{self.layout}/places/{self.places[place]}/train-fit", train_id=self.trains[train])

    def register(self) -> None:
        """Record all that the demo club owns."""
        for member in MEMBERS:
            self.record("/v1/members", member)
        for coupling_type in COUPLING_TYPES:
            self.record("/v1/coupling-types", coupling_type)
        self.vehicles = {key: self.record("/v1/vehicles", body) for key, body in VEHICLES.items()}
        self.trains = {key: self.record("/v1/trains", self._train(body)) for key, body in TRAINS.items()}
        self.layout = self.record("/v1/layouts", LAYOUT)
        self.places = {key: self.record(f"/v1/layouts/{self.layout}/places", body) for key, body in PLACES.items()}

    def _train(self, body: Mapping[str, Any]) -> dict[str, Any]:
        items = [(item, 1) if isinstance(item, str) else item for item in body["made_of"]]
        standing = [{"vehicle_id": self.vehicles[key], "count": count} for key, count in items]
        return {"name": body["name"], "vehicles": standing}

    def _answer(self, response: httpx.Response) -> Any:
        if response.is_error:
            sys.exit(f"standage: the service refused {response.request.url.path}: {response.text}")
        return response.json()


def _show(club: Club) -> None:
    club.register()
    print(telling.heading(f"{CLUB}: will it work on {LAYOUT['name']}?"))
    introduction = (
        f"The club has {len(VEHICLES)} sorts of vehicle on record, {len(TRAINS)} trains, and a harbour terminus with "
        f"{len(PLACES)} places where trains stand. Lengths are in millimetres. Before the van is loaded it asks:"
    )
    print(telling.paragraph(introduction))
    for number, (text, answer) in enumerate(_questions(club), start=1):
        print("\n".join(_told(number, text, answer)), flush=True)


def _questions(club: Club) -> list[tuple[str, Any]]:
    return [
        ("Does the morning fish train stand clear in the quay loop?", club.fit("fish", "loop")),
        ("And is it short enough for the fish dock?", club.fit("fish", "fish dock")),
        ("Ten coal empties with the tender engine: may they wait in the loop?", club.fit("coal", "loop")),
        ("Does the regatta excursion fit the platform, doors and all?", club.fit("excursion", "platform")),
        ("Two fish vans, a salt wagon with three-link couplings, a brake van: in the loop?", club.fit("mixed", "loop")),
        ("The committee wants to ride in the visiting saloon. Does that fit?", club.fit("special", "loop")),
        (
            "May the tender engine go down to the fish dock, round its curve of 450 mm?",
            club.ask(f"/v1/vehicles/{club.vehicles['branch engine']}/curve", radius_mm=450),
        ),
        (
            "On the double curve behind the fish market, inner radius 610 mm, tracks 48 mm apart: what passes what?",
            club.check(
                "passing",
                {
                    "inner_radius_mm": 610,
                    "spacing_mm": 48,
                    "scale": "00",
                    "vehicles": [
                        {"vehicle_id": club.vehicles[key]} for key in ("long coach", "brake coach", "harbour tank")
                    ],
                },
            ),
        ),
        (
            "How many coal wagons does a coal drop of 640 mm hold, worked at two spots?",
            club.check(
                "capacity",
                {"usable_length_mm": 640, "fixed_spots": 2, "vehicle": {"vehicle_id": club.vehicles["coal wagon"]}},
            ),
        ),
    ]


def _told(number: int, text: str, answer: Mapping[str, Any]) -> list[str]:
    picture = telling.road(answer)
    return [
        telling.question(number, text),
        *([picture] if picture else []),
        telling.verdict(answer),
        *telling.reasons(answer),
        *telling.guesses(answer),
        *telling.advice(answer),
    ]


def _found(environment: Mapping[str, str]) -> str:
    command = [sys.executable, "-m", "standage", "new-club", CLUB, "--steward", STEWARD]
    made = subprocess.run(command, env=dict(environment), check=False, capture_output=True, text=True)  # noqa: S603 - our own command
    if made.returncode != 0:
        sys.exit(made.stderr.strip())
    return str(json.loads(made.stdout)["token"])


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
    sys.exit(f"standage: no free port from {first} to {first + 49}; choose one with --port")


def _await_ready(client: httpx.Client, server: _Served) -> None:
    until = time.monotonic() + _START_S
    while time.monotonic() < until and not server.ended:
        try:
            if client.get("/health/ready").is_success:
                return
        except httpx.TransportError:
            time.sleep(0.1)
    sys.exit("standage: the service did not start; what it said stands above")


def _farewell(address: str, token: str, *, database: str, leaving: bool) -> str:
    lines = [
        telling.heading("Now you"),
        f"   Documentation, to try everything out:  {address}/docs",
        f"   The steward's token (Authorize, paste): {token}",
        f"   The club is kept in:                    {database}",
    ]
    ending = "" if leaving else f"\n   The service goes on until you press Ctrl-C (process {os.getpid()})."
    return "\n".join(lines) + ending
