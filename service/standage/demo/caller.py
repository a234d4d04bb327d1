"""The demo club as a caller of the service sees it: it records what it owns and asks
questions, all over HTTP.
"""

import sys
from collections.abc import Mapping
from typing import Any

import httpx

from standage.demo.layouts import (
    LAYOUTS,
    MEMBERS,
    MODULES,
    PLACES,
    STANDARD,
    TRAINS,
    Made,
    items,
)
from standage.demo.stock import COUPLING_TYPES, OWNERS, VEHICLES
from standage.demo.track_plans import (
    BENT_QUAY,
    LENGTHENED_QUAY,
    MODULE_PLANS,
    QUAY,
    QUAY_MODULES,
    TARN,
)

Ids = dict[str, str]


class Club:
    """One club, by one token; ids are kept under the demo's own keys."""

    def __init__(self, client: httpx.Client, *, steward: str, member_id: str) -> None:
        self._client = client
        self._members: Ids = {steward: member_id}
        self.vehicles: Ids = {}
        self.trains: Ids = {}
        self.layouts: Ids = {}
        self.places: Ids = {}
        self.modules: Ids = {}
        self.standard = ""

    def register(self) -> None:
        """Record all that the demo club owns."""
        for member in MEMBERS:
            self._members[member["name"]] = self.record("/v1/members", member)
        for coupling_type in COUPLING_TYPES:
            self.record("/v1/coupling-types", coupling_type)
        self._register_stock()
        self._register_places()
        for key, body in MODULES.items():
            figures = {name: value for name, value in body.items() if name != "owner"}
            owned = _owned(self._members[body["owner"]])
            self.modules[key] = self.record("/v1/modules", figures | owned)
        self._register_plans()
        self.standard = self.record("/v1/standards", STANDARD)

    def _register_stock(self) -> None:
        owner_of: dict[str, str] = {}
        for owner, keys in OWNERS.items():
            owner_of |= dict.fromkeys(keys, self._members[owner])
        for key, body in VEHICLES.items():
            owned = _owned(owner_of.get(key))
            self.vehicles[key] = self.record("/v1/vehicles", body | owned)
        for key, (name, made) in TRAINS.items():
            train = {"name": name, "vehicles": self._standing(made)}
            self.trains[key] = self.record("/v1/trains", train)

    def _register_places(self) -> None:
        for key, body in LAYOUTS.items():
            self.layouts[key] = self.record("/v1/layouts", body)
        for key, (layout, body) in PLACES.items():
            path = f"/v1/layouts/{self.layouts[layout]}/places"
            self.places[key] = self.record(path, body)

    def _register_plans(self) -> None:
        """Keep the track plans, and save a first revision of each; of the quay's and its
        module's a second one, with a longer headshunt, and a third, with a bent one.
        """
        laid = "As it is laid"
        for key, plan in MODULE_PLANS.items():
            self._keep_plan(self._module_plan(key), plan, laid)
        modules: dict[str, dict[str, Any]] = {
            name: {"module_id": self.modules[key], "revision": 1}
            for name, key in QUAY_MODULES.items()
        }
        self._keep_plan(self.plan_of("quay"), QUAY | {"modules": modules}, laid)
        self._keep_plan(self.plan_of("tarn"), TARN, laid)
        longer = "A longer headshunt"
        self._keep_plan(self._module_plan("quay"), LENGTHENED_QUAY, longer)
        modules["quay"]["revision"] = 2
        self._keep_plan(self.plan_of("quay"), QUAY | {"modules": modules}, longer)
        bent = "Longer still, round a curve"
        self._keep_plan(self._module_plan("quay"), BENT_QUAY, bent)
        modules["quay"]["revision"] = 3
        self._keep_plan(self.plan_of("quay"), QUAY | {"modules": modules}, bent)

    def _module_plan(self, key: str) -> str:
        """Return the address of a module's track plan."""
        return f"/v1/modules/{self.modules[key]}/plan"

    def _keep_plan(self, path: str, plan: Mapping[str, Any], remark: str) -> None:
        kept = self._client.get(path, params={})
        headers = {"if-match": kept.headers["etag"]} if kept.is_success else {}
        self._sound(
            self._client.put(
                path,
                json=plan,
                headers=headers,
            )
        )
        self._sound(self._client.post(f"{path}/revisions", json={"remark": remark}))

    def plan_of(self, layout: str) -> str:
        """Return the address of a layout's track plan."""
        return f"/v1/layouts/{self.layouts[layout]}/plan"

    def record(self, path: str, body: Mapping[str, Any]) -> str:
        """Record one thing; return its id."""
        response = self._client.post(path, json=body)
        return str(self._answer(response)["id"])

    def member(self, name: str) -> str:
        """Return a member's id."""
        return self._members[name]

    def send(self, path: str, raw: bytes, *, media_type: str) -> Any:
        """Send a file."""
        return self._answer(
            self._client.post(path, content=raw, headers={"content-type": media_type})
        )

    def put_mapping(self, import_id: str, mapping: Mapping[str, Any]) -> Any:
        """Say what the columns of a file hold."""
        path = f"/v1/stock-imports/{import_id}"
        seen = self._client.get(path, params={}).headers["etag"]
        response = self._client.put(
            f"{path}/mapping", json=mapping, headers={"if-match": seen}
        )
        return self._answer(response)

    def commit(self, import_id: str, *, rows: str) -> Any:
        """Import the rows of a file."""
        return self._answer(
            self._client.post(
                f"/v1/stock-imports/{import_id}/commit", json={"rows": rows}
            )
        )

    def ask(self, path: str, **query: str | float) -> Any:
        """Ask about what is on record."""
        response = self._client.get(path, params=query)
        return self._answer(response)

    def check(self, name: str, **body: Any) -> Any:
        """Ask with figures inline, or with ids inside them."""
        response = self._client.post(f"/v1/checks/{name}", json=body)
        return self._answer(response)

    def fit(self, train: str, place: str) -> Any:
        """Ask whether a train on record fits a place on record."""
        layout, _ = PLACES[place]
        in_layout = f"/v1/layouts/{self.layouts[layout]}"
        path = f"{in_layout}/places/{self.places[place]}/train-fit"
        return self.ask(path, train_id=self.trains[train])

    def move(self, train: str, *, revision: int) -> Any:
        """Ask whether a train on record gets from the quay's platform line right into
        its headshunt, on a revision of the layout's plan, stopped by eye.
        """
        return self.check(
            "move",
            layout_id=self.layouts["quay"],
            revision=revision,
            margin_mm=25,
            train={"train_id": self.trains[train]},
            to={"place": "Quay headshunt"},
            **{"from": {"place": "Platform line", "engine_towards": "points marsh/P2"}},
        )

    def changed(self, before: int, after: int) -> Any:
        """Ask what changes from one revision of the quay's plan to another."""
        query: dict[str, str | float] = {"from": before, "to": after}
        return self.ask(f"{self.plan_of('quay')}/compare", **query)

    def by_id(self, *keys: str) -> list[dict[str, str]]:
        """Return vehicles on record as a question names them."""
        ids = [self.vehicles[key] for key in keys]
        return [{"vehicle_id": vehicle_id} for vehicle_id in ids]

    def end(self, module: str, name: str) -> dict[str, str]:
        """Return an end of a module on record as a question names it."""
        module_id = self.modules[module]
        return {"module_id": module_id, "end": name}

    def drawing(self, train: str, place: str) -> str:
        """Return a train on record drawn in a place on record, as SVG."""
        asked = {
            "train": {"train_id": self.trains[train]},
            "place": {"place_id": self.places[place]},
        }
        response = self._client.post("/v1/checks/train-fit/drawing", json=asked)
        return self._sound(response).text

    def plan_drawing(self, layout: str) -> str:
        """Return a layout's track plan drawn, as SVG."""
        path = f"{self.plan_of(layout)}/drawing"
        return self._sound(self._client.get(path, params={"revision": 1})).text

    def _standing(self, made: Made) -> list[dict[str, Any]]:
        return [
            {"vehicle_id": self.vehicles[key], "count": count}
            for key, count in items(made)
        ]

    def _answer(self, response: httpx.Response) -> Any:
        return self._sound(response).json()

    def _sound(self, response: httpx.Response) -> httpx.Response:
        if response.is_error:
            sys.exit(
                f"standage: the service refused {response.request.url.path}:"
                f" {response.text}"
            )
        return response


def _owned(owner_id: str | None) -> dict[str, str]:
    if owner_id is None:
        return {}
    return {"owner_id": owner_id}
