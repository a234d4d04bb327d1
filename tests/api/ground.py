"""Sound records and sound requests of every sort: what tests bend out of shape, or send
as another.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import count
from typing import Any

import httpx

from api.asking import NOBODY, PASSPHRASE, Caller
from api.declared import BODIES, PARAMETERS
from standage.api.operations.record_words import WORDS
from standage.api.web.operation import Operation
from standage.app import operations
from standage.questions.plan import MALT_HOUSE
from standage.registry.records.kinds import GONE_FOR_GOOD, KINDS

OPERATIONS = {
    operation.id: operation for operation in operations() if not operation.act.is_open
}
"""Every operation that asks for a token."""
WITH_BODY = [
    operation.id
    for operation in OPERATIONS.values()
    if operation.takes.media_types and not operation.takes.files
]
"""Every operation that takes JSON."""
CREATIONS = [
    operation.id
    for operation in OPERATIONS.values()
    if operation.answers.creates and not operation.takes.files
]
CONDITIONAL = [
    operation.id for operation in OPERATIONS.values() if operation.guard.conditional
]
GETS = [operation.id for operation in OPERATIONS.values() if operation.method == "GET"]

NOUNS = (
    *(
        "Club",
        "Member",
        "Token",
        "CouplingType",
        "Vehicle",
        "Rake",
        "Train",
        "Module",
        "Standard",
        "Layout",
    ),
    *(
        "Place",
        "Yard",
        "Change",
        "Action",
        "DeletedRecord",
        "StockImport",
        "Invitation",
        "ShareLink",
        "Session",
        "LayoutPlan",
        "ModulePlan",
    ),
)
PATHS = {
    "Member": "/v1/members",
    "Token": "/v1/tokens",
    "CouplingType": "/v1/coupling-types",
    "Vehicle": "/v1/vehicles",
    "Rake": "/v1/rakes",
    "Train": "/v1/trains",
    "Module": "/v1/modules",
    "Standard": "/v1/standards",
    "Layout": "/v1/layouts",
    "Change": "/v1/history",
    "DeletedRecord": "/v1/deleted-records",
    "StockImport": "/v1/stock-imports",
    "Invitation": "/v1/invitations",
    "Session": "/v1/sessions",
}
BENEATH = {"Place": "places", "Yard": "yards", "ShareLink": "share-links"}
"""What lies beneath a layout, by the last part of its list's path."""
OWN_REVISIONS = ("LayoutPlanRevision", "ModulePlanRevision")
PLANS = {"LayoutPlan": "Layout", "ModulePlan": "Module"}
"""What there is one of beneath something else, at its address with ``plan`` behind."""
PLAN = {"pieces": {"T1": {"kind": "straight", "length_mm": 400}}}
SECRET = {"Token": "token", "Invitation": "invitation", "ShareLink": "link"}
"""What is made with a secret that is shown once, and the field that shows it; once
deleted it stays so.
"""
FIXED = ("Invitation", "ShareLink", "Session")
"""What cannot be changed, only made and deleted."""
BY_SESSION = ("signOut",)
"""What a token is no use for."""
COMING_BACK = [
    WORDS[name].noun
    for name in KINDS
    if name not in GONE_FOR_GOOD and not WORDS[name].singleton
]
"""The sorts of record that come back once they are deleted."""
OWNED = ("Vehicle", "Rake", "Train", "Module")
OWNED_BENEATH = ("ModulePlan", "ModulePlanRevision", "ModulePlanSheet")
"""What is whose the module is."""
WAGON = {
    "name": "Coal wagon",
    "length_mm": 100.0,
    "length_over": "buffers",
    "width_mm": 34.0,
    "rigid_wheelbase_mm": 40,
}
MODULE_END = {"tracks": [{"name": "up", "offset_mm": 0.0}], "rail_height_mm": 1000.0}
LOOP = {"kind": "loop", "usable_length_mm": 900.0}
YARD: dict[str, Any] = {
    "headshunt_usable_length_mm": 300.0,
    "sidings": [
        {"name": "Long", "usable_length_mm": 300.0},
        {"name": "Short", "usable_length_mm": 200.0},
    ],
}
SHUNTING: dict[str, Any] = {
    "engine_length_mm": 100.0,
    "yard": YARD,
    "wagons": [{"name": name, "length_mm": 80.0} for name in "ABC"],
    "start": {"sidings": [["A", "B", "C"], []]},
}
DEAL: dict[str, Any] = {
    "engine_length_mm": 100.0,
    "yard": YARD,
    "wagons": SHUNTING["wagons"],
    "siding": "Long",
    "train_wagons": 3,
    "seed": 1,
}
CHECKS: dict[str, dict[str, Any]] = BODIES | {
    "checkShuntingPlan": (
        SHUNTING | {"goal": {"siding": "Long", "train": ["C", "B", "A"]}}
    ),
    "drawShuntingPlan": (
        SHUNTING | {"goal": {"siding": "Long", "train": ["C", "B", "A"]}}
    ),
    "dealShuntingPuzzle": DEAL,
    "drawShuntingPuzzle": DEAL,
    "checkEveryTrain": SHUNTING | {"siding": "Long", "train_wagons": 2},
}
"""A sound body for every inline question: its own example, or a yard that tests bend."""
TRACK = ("text/csv", b"Piece,Kind,Length\nS1,straight,610\n")
FILES = {
    "createStockImport": ("text/csv", b"Name,Number\nOre wagon,47\n"),
    "checkPlanSheet": TRACK,
    **{f"{verb}{noun}Sheet": TRACK for verb in ("check", "replace") for noun in PLANS},
}
"""The files that operations take instead of JSON, each with its media type."""
SENT = CHECKS | {
    "writePlanSheetCsv": {"plan": MALT_HOUSE},
    "writePlanSheetXlsx": {"plan": MALT_HOUSE},
    "replaceStockImportMapping": {"columns": [{"column": 1, "field": "name"}]},
    "commitStockImport": {"rows": "good"},
}
"""What is sent where it does not hang on what is on record."""
QUERIES = PARAMETERS | {"getLayoutFits": "limit=1", "getStockImportRows": "limit=5"}
"""What stands beside an address; ids are still to be filled in."""


@dataclass(frozen=True, kw_only=True)
class Request:
    """One request, ready for whoever is to send it."""

    method: str
    path: str
    body: Any = None
    file: tuple[str, bytes] | None = None
    headers: dict[str, str] = field(default_factory=dict)

    def by(self, caller: Caller, **instead: str) -> httpx.Response:
        """Send it as a caller, with headers in place of its own."""
        headers = self.headers | instead
        if self.file is None:
            return caller.ask(self.method, self.path, self.body, **headers)
        kind, raw = self.file
        return caller.send(self.method, self.path, raw, content_type=kind, **headers)


class Ground:
    """Makes records as the steward, each by a name of its own."""

    def __init__(self, steward: Caller, *, ends: str = "2026-05-03T10:00:00Z") -> None:
        self.steward = steward
        self._ends = ends
        self._numbers = count(1)
        self._names: dict[str, str] = {}

    def make(
        self, noun: str, *, owner_id: str | None = None, **about: Any
    ) -> dict[str, Any]:
        """Return a new record of that noun as it came back; a change or a deletion is
        that of a new vehicle.
        """
        if noun == "Change":
            vehicle = self.make("Vehicle", owner_id=owner_id)
            return dict(
                self.steward.read(f"/v1/history?record_id={vehicle['id']}")["items"][0]
            )
        if noun == "DeletedRecord":
            vehicle = self.make("Vehicle", owner_id=owner_id)
            assert self.steward.ask(
                "DELETE", one_of("Vehicle", vehicle), if_match="*"
            ).is_success
            return self.steward.read(f"/v1/deleted-records/{vehicle['id']}")
        if noun == "Action":
            return {"id": self.make("Change", owner_id=owner_id)["action_id"]}
        if noun == "Session":
            return self.session_of(owner_id or self.steward.member_id)[1]
        if noun in {"StockImport", *PLANS}:
            return self._made_otherwise(noun, owner_id, about)
        if noun in BENEATH:
            layout_id = about.pop("layout_id", None) or self.make("Layout")["id"]
            path = f"/v1/layouts/{layout_id}/{BENEATH[noun]}"
        else:
            path = PATHS[noun]
        return self.steward.made(path, self.body(noun, owner_id=owner_id) | about)

    def _made_otherwise(
        self, noun: str, owner_id: str | None, about: dict[str, Any]
    ) -> dict[str, Any]:
        """Return what is not made as other records are: a file's preview, or a plan."""
        if noun == "StockImport":
            return self.stock_import(owner_id)
        above = PLANS[noun]
        parent_id = about.pop(id_of(above), None)
        if parent_id is None:
            parent_id = self.make(above, owner_id=owner_id)["id"]
        path = f"{PATHS[above]}/{parent_id}/plan"
        made = self.steward.ask("PUT", path, self.body(noun) | about)
        assert made.status_code == 201, made.text
        return dict(made.json())

    def stock_import(self, owner_id: str | None = None) -> dict[str, Any]:
        """Return a preview that a member asked for, of a file of their own."""
        sender = (
            self.steward
            if owner_id is None
            else self.steward.with_token(member_id=owner_id)
        )
        answer: dict[str, Any] = (
            Request(method="POST", path="/v1/stock-imports", file=self._file())
            .by(sender)
            .json()
        )
        return answer

    def _file(self) -> tuple[str, bytes]:
        """Return a list of one vehicle that no other test has."""
        return "text/csv", f"Name\nWagon {next(self._numbers)}\n".encode()

    def session_of(self, member_id: str) -> tuple[Caller, dict[str, Any]]:
        """Sign a member in, who is invited first where they have no passphrase yet;
        return them and the session.
        """
        if member_id not in self._names:
            self._names[member_id] = f"name {next(self._numbers)}"
            self.steward.invited(
                member_id, self._names[member_id], expires_at=self._ends
            )
        caller = self.steward.signed_in(self._names[member_id])
        return caller, dict(caller.read("/v1/sessions")["items"][-1])

    def body(self, noun: str, *, owner_id: str | None = None) -> dict[str, Any]:
        """Return a sound body; what it names is made first."""
        name = f"{noun} {next(self._numbers)}"
        owner = {"owner_id": owner_id} if owner_id is not None and noun in OWNED else {}
        if noun in {"Rake", "Train"}:
            return {
                "name": name,
                "vehicles": [{"vehicle_id": self.make("Vehicle")["id"]}],
            } | owner
        if noun == "Invitation":
            member_id = self.make("Member")["id"]
            return {"label": name, "member_id": member_id, "expires_at": self._ends}
        if noun == "Passphrase":
            self.session_of(owner_id or self.steward.member_id)
            return {"passphrase": PASSPHRASE, "present_passphrase": PASSPHRASE}
        alone: dict[str, dict[str, Any]] = {
            "Club": {"name": name},
            "Member": {"name": name, "role": "member"},
            "Token": {
                "label": name,
                "member_id": self.steward.member_id,
                "scopes": ["read"],
            },
            "ShareLink": {"label": name, "expires_at": self._ends},
            "CouplingType": {"name": name, "reach_mm": 3.0},
            "Vehicle": WAGON | {"name": name, "kind": "wagon"} | owner,
            "Module": {"name": name, "ends": [MODULE_END | {"name": "east"}]} | owner,
            "Standard": {
                "name": name,
                "rules": [{"rule": "board_mass", "mass_g": 25000}],
            },
            "Layout": {"name": name},
            "Place": LOOP | {"name": name},
            "Yard": YARD | {"name": name},
            **dict.fromkeys(PLANS, PLAN | {"name": name}),
            "LayoutPlanRevision": {"remark": name},
            "ModulePlanRevision": {"remark": name},
        }
        return alone[noun]

    def request(self, operation_id: str, *, owner_id: str | None = None) -> Request:
        """Return a sound request for an operation, about records made for it alone,
        whatever their version.
        """
        operation = OPERATIONS[operation_id]
        ids = self._ids(operation, owner_id)
        if operation_id == "undoStockImport":
            sender = (
                self.steward
                if owner_id is None
                else self.steward.with_token(member_id=owner_id)
            )
            done = sender.ask(
                "POST",
                f"/v1/stock-imports/{ids['stock_import_id']}/commit",
                {"rows": "good"},
            )
            assert done.status_code == 200, done.text
        if operation_id == "takeVehicleOut":
            stands_with = self.make("Vehicle")["id"]
            self.make(
                "Train",
                vehicles=[
                    {"vehicle_id": one} for one in (ids["vehicle_id"], stands_with)
                ],
            )
        query = self.query(operation_id)
        return Request(
            method=operation.method,
            path=operation.path.format(**ids) + (f"?{query}" if query else ""),
            body=self._sent(operation, owner_id),
            file=FILES.get(operation_id),
            headers={"if_match": "*"} if operation.guard.conditional else {},
        )

    def query(self, operation_id: str) -> str:
        """Return what stands beside an address, about records made for it alone."""
        query = QUERIES.get(operation_id, "")
        made = {name: self.make(noun_of(name))["id"] for name in placeholders(query)}
        return query.format(**made)

    def _ids(self, operation: Operation, owner_id: str | None) -> dict[str, str]:
        if operation.id == "getMemberData" and owner_id is not None:
            return {"member_id": owner_id}
        names = placeholders(operation.path)
        if operation.id == "eraseMember" and owner_id is not None:
            return {"member_id": owner_id}
        for noun, above in PLANS.items():
            if noun in operation.id:
                record = self.make(noun, owner_id=owner_id)
                path = one_of(noun, record)
                self.steward.made(f"{path}/revisions", {})
                return {id_of(above): record[id_of(above)], "revision": "1"}
        for noun in BENEATH:
            if id_of(noun) in names:
                record = self.make(noun)
                return {"layout_id": record["layout_id"], id_of(noun): record["id"]}
        return {
            name: self.make(noun_of(name), owner_id=owner_id)["id"] for name in names
        }

    def _sent(self, operation: Operation, owner_id: str | None) -> Any:
        if operation.id in SENT:
            return SENT[operation.id]
        if not operation.takes.media_types or operation.takes.files:
            return None
        return self.body(noun_in(operation.id), owner_id=owner_id) | self.above(
            operation
        )

    def another(self, operation_id: str) -> Any:
        """Return another sound body for an operation."""
        return self._sent(OPERATIONS[operation_id], None)

    def above(self, operation: Operation) -> dict[str, str]:
        """Return what a new record's body says beside its fields: the layout, where the
        path does not name it.
        """
        beneath = (
            noun_in(operation.id) in BENEATH
            and operation.answers.creates
            and not placeholders(operation.path)
        )
        return {"layout_id": self.make("Layout")["id"]} if beneath else {}


def placeholders(path: str) -> list[str]:
    """Return the names of a path's parameters."""
    return re.findall(r"\{(\w+)\}", path)


def noun_of(parameter: str) -> str:
    """Return the noun of an id's name: vehicle_id is a Vehicle's."""
    return "".join(
        part.capitalize() for part in parameter.removesuffix("_id").split("_")
    )


def id_of(noun: str) -> str:
    """Return the name of the id of a noun: a ShareLink's is share_link_id."""
    return f"{re.sub(r'(?<!^)(?=[A-Z])', '_', noun).lower()}_id"


def noun_in(operation_id: str) -> str:
    """Return the noun that an operation on records is about; nothing where it is on
    none.
    """
    spoken = re.sub(
        r"^(get|list|create|replace|update|delete|undo|restore|erase|set)(Club(?=.))?",
        "",
        operation_id,
    )
    return next(
        (
            noun
            for noun in (*NOUNS, "Passphrase", *OWN_REVISIONS)
            if spoken in {noun, f"{noun}s"}
        ),
        "",
    )


def one_of(noun: str, record: dict[str, Any]) -> str:
    """Return the address of a record."""
    if noun == "Club":
        return "/v1/club"
    if noun in PLANS:
        above = PLANS[noun]
        return f"{PATHS[above]}/{record[id_of(above)]}/plan"
    if noun in BENEATH:
        return f"/v1/layouts/{record['layout_id']}/{BENEATH[noun]}/{record['id']}"
    return f"{PATHS[noun]}/{record['id']}"


def absent(operation_ids: Iterable[str]) -> dict[str, str]:
    """Return, for each operation whose path has parameters, that path with ids that no
    record has.
    """
    paths = {one: OPERATIONS[one].path for one in operation_ids}
    return {
        one: re.sub(r"\{\w+\}", NOBODY, path)
        for one, path in paths.items()
        if "{" in path
    }
