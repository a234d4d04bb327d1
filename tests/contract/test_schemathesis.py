"""Schemathesis, all its phases and checks, against the running service on each
database.

``STANDAGE_SCHEMATHESIS_EXAMPLES`` (for each operation) makes a run long,
``STANDAGE_SCHEMATHESIS_SEED`` another one.
"""

import json
import os
import subprocess
import sysconfig
from collections.abc import Callable, Mapping
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import httpx
import pytest

from contract.serving import ROOT, Service, environment, serving
from contract.wrong_once import (
    spared,
    with_long_unions_once,
    with_one_media_type,
)
from standage.registry.database.engine import Database
from support.tally import TOLD

IS_LONG = "STANDAGE_SCHEMATHESIS_EXAMPLES" in os.environ
EXAMPLES = os.environ.get("STANDAGE_SCHEMATHESIS_EXAMPLES", "2")
SEED = os.environ.get("STANDAGE_SCHEMATHESIS_SEED", "1435")
PROGRAM = Path(sysconfig.get_path("scripts")) / "schemathesis"
CONFIG = Path(__file__).with_name("schemathesis.toml")
HOOKS = Path(__file__).with_name("sensible.py")
PHASES = os.environ.get(
    "STANDAGE_SCHEMATHESIS_PHASES", "examples,coverage,fuzzing,stateful"
).split(",")
NOT_AT: Mapping[str, frozenset[str]] = {
    "sqlite": frozenset({"examples", "fuzzing"}),
    "postgresql": frozenset({"coverage", "examples"}),
}
"""What a short run leaves out at each database: whether a body is right or wrong is
found out before any is asked, so that one of them meets each sort of body. Every
example is sent to both by tests/api/test_examples.py.
"""
QUICKLY = {
    "HYPOTHESIS_STORAGE_DIRECTORY": str(ROOT / ".hypothesis"),
    "no_proxy": "127.0.0.1",
}
"""What Hypothesis knows of characters is found out once for all runs, and a proxy is not
looked for at each request.
"""
MOST_NEVER_ACCEPTED = 0.1
"""Of all operations, where each is sent every allowed body: which records are there at
a moment is left to chance, and a few examples may all miss them.
"""


def recorded(service: Service) -> dict[str, str]:
    """Put a little on record; return it as the hooks (sensible.py) and
    schemathesis.toml want it, as variables.
    """

    def created(path: str, body: dict[str, Any]) -> str:
        made = service.ask("POST", f"/v1/{path}", body)
        assert made.status_code == httpx.codes.CREATED, made.text
        return str(made.json()["id"])

    own = service.ask("GET", "/v1/tokens").json()["items"][0]
    vehicle = created(
        "vehicles",
        {
            "name": "Mineral wagon",
            "count": 200,
            "length_mm": 80,
            "length_over": "buffers",
        },
    )
    train = created(
        "trains",
        {"name": "Minerals", "vehicles": [{"vehicle_id": vehicle, "count": 5}]},
    )
    layout = created("layouts", {"name": "Quarry Sidings"})
    ends = [{"name": "east", "tracks": [{"name": "up", "offset_mm": 0}]}]
    module = created("modules", {"name": "Quarry Bridge", "ends": ends})
    planned(service, f"/v1/layouts/{layout}/plan")
    planned(service, f"/v1/modules/{module}/plan")
    place = created(
        f"layouts/{layout}/places",
        {"name": "Loop", "kind": "loop", "usable_length_mm": 700},
    )
    sidings = [{"name": "Dock", "usable_length_mm": 400}]
    yard = created(
        f"layouts/{layout}/yards",
        {"name": "Goods", "headshunt_usable_length_mm": 300, "sidings": sidings},
    )
    member = created("members", {"name": "Kit Marsh"})
    token = created(
        "tokens", {"label": "Spare", "member_id": own["member_id"], "scopes": ["read"]}
    )
    known = {
        "vehicle_id": vehicle,
        "train_id": train,
        "place_id": place,
        "yard_id": yard,
    }
    known |= {
        "member_id": own["member_id"],
        "owner_id": own["member_id"],
        "layout_id": layout,
    }
    known |= dict.fromkeys(
        ("engine_id", "second_engine_id", "third_engine_id"), vehicle
    )
    known["expires_at"] = (datetime.now(UTC) + timedelta(days=2)).isoformat()
    to_undo = undoable(service, created)
    ours = {own["id"]: token, own["member_id"]: member}
    instead = {
        **ours,
        layout: created("layouts", {"name": "Spare layout"}),
        module: created("modules", {"name": "Spare module", "ends": ends}),
    }
    for record_id in (*ours, service.club_id):
        for change in service.ask("GET", f"/v1/history?record_id={record_id}").json()[
            "items"
        ]:
            instead |= {
                change["id"]: to_undo["STANDAGE_CHANGE_ID"],
                change["action_id"]: to_undo["STANDAGE_ACTION_ID"],
            }
    hooks = {
        "STANDAGE_KNOWN_IDS": json.dumps(known),
        "STANDAGE_IDS_INSTEAD": json.dumps(instead),
    }
    hooks |= {"STANDAGE_LAYOUT_ID": layout, "STANDAGE_MODULE_ID": module}
    hooks["STANDAGE_SPARE_VEHICLE_ID"] = created("vehicles", {"name": "Spare van"})
    invited = {"member_id": member, "expires_at": known["expires_at"]}
    ways_in = {
        "STANDAGE_SESSION_ID": signed_in(service),
        "STANDAGE_INVITATION_ID": created("invitations", invited),
    }
    return hooks | {"STANDAGE_SPARE_TOKEN_ID": token} | ways_in | to_undo


def planned(service: Service, path: str) -> None:
    """Put a track plan on record at its address, and save it once."""
    track = {"pieces": {"S1": {"kind": "straight", "length_mm": 600}}}
    kept = service.ask("PUT", path, track).status_code
    saved = service.ask("POST", f"{path}/revisions", {}).status_code
    assert kept == saved == httpx.codes.CREATED


def signed_in(service: Service) -> str:
    """Invite the steward, sign in by the invitation, and return the session's id."""
    own = service.ask("GET", "/v1/tokens").json()["items"][0]
    invited = service.ask("POST", "/v1/invitations", {"member_id": own["member_id"]})
    assert invited.status_code == httpx.codes.CREATED, invited.text
    known = {"sign_in_name": "Robin", "passphrase": "nine gulls over the breakwater"}
    session = service.ask(
        "POST",
        "/v1/invitations/accept",
        {"invitation": invited.json()["invitation"], **known},
    )
    assert session.status_code == httpx.codes.OK, session.text
    return str(session.json()["id"])


def undoable(
    service: Service, created: Callable[[str, dict[str, Any]], str]
) -> dict[str, str]:
    """Record what can be undone and what can be brought back; return their ids as
    schemathesis.toml wants them.
    """
    undone, undone_whole, gone = (
        created("vehicles", {"name": name})
        for name in ("Ore wagon", "Ash wagon", "Crane")
    )
    deleted = service.ask("DELETE", f"/v1/vehicles/{gone}", if_match="*").status_code
    assert deleted == httpx.codes.NO_CONTENT

    def change(record_id: str) -> dict[str, str]:
        return dict(
            service.ask("GET", f"/v1/history?record_id={record_id}").json()["items"][0]
        )

    return {
        "STANDAGE_CHANGE_ID": change(undone)["id"],
        "STANDAGE_ACTION_ID": change(undone_whole)["action_id"],
        "STANDAGE_DELETED_ID": gone,
    }


def phases_for(database: Database) -> list[str]:
    """Return the phases of a run against the service on a database."""
    if IS_LONG:
        return PHASES
    return [phase for phase in PHASES if phase not in NOT_AT[database.dialect]]


def settings_for(document: Mapping[str, Any]) -> str:
    """Return schemathesis' settings.

    What is wrong is refused before any database is asked. So the thousands of bodies of
    the coverage phase are sent once for each shape, unless the run is to be long; of
    methods that no address knows one is tried at each, since test_outer_layer tries
    all.
    """
    if IS_LONG:
        return CONFIG.read_text()
    covered_elsewhere = "phases.coverage.enabled = false"
    one_method = '[phases.coverage]\nunexpected-methods = ["trace"]'
    return (
        f"{CONFIG.read_text()}\n{one_method}\n[[operations]]\ninclude-operation-id ="
        f" {json.dumps(spared(document))}\n{covered_elsewhere}\n"
    )


def shortened(document: Mapping[str, Any]) -> Mapping[str, Any]:
    """Return the document for a short run: one media type of each body, and whatever is
    one of many kinds whole at one place alone.
    """
    return with_long_unions_once(with_one_media_type(document), spared(document))


def asked(
    service: Service, folder: Path, *, database: Database
) -> tuple[dict[str, Any], str]:
    """Run schemathesis against ``service``; return its report, and what it printed."""
    report, config, described = (
        folder / "report.json",
        folder / "schemathesis.toml",
        folder / "openapi.json",
    )
    document = service.ask("GET", "/openapi.json").json()
    config.write_text(settings_for(document))
    described.write_text(json.dumps(document if IS_LONG else shortened(document)))
    phases = ",".join(phases_for(database))
    amount = ["--max-examples", EXAMPLES, "--seed", SEED, "--phases", phases]
    output = [
        "--report",
        "json",
        "--report-json-path",
        str(report),
        "--warnings",
        "off",
    ]
    made = subprocess.run(
        [
            PROGRAM,
            "--config-file",
            config,
            "run",
            described,
            "--url",
            service.url,
            *amount,
            *output,
        ],
        cwd=folder,
        env=os.environ
        | recorded(service)
        | {
            "STANDAGE_TOKEN": service.token,
            "SCHEMATHESIS_HOOKS": str(HOOKS),
            "PYTHONPATH": str(HOOKS.parents[1]),
            "NO_COLOR": "1",
            "COLUMNS": "120",
        }
        | QUICKLY,
        capture_output=True,
        text=True,
        check=False,
    )
    return json.loads(report.read_text()), made.stdout + made.stderr


@pytest.mark.long
def test_schemathesis_finds_nothing(
    database: Database, tmp_path: Path, record_property: Callable[[str, object], None]
) -> None:
    with serving(folder=tmp_path, env=environment(database.url)) as service:
        report, printed = asked(service, tmp_path, database=database)
        still_in = service.ask("GET", "/v1/club")
    refused = never_accepted(report)
    phases = phases_for(database)
    record_property(
        TOLD,
        f"schemathesis on {database.dialect}: {report['test_cases']['generated']} cases"
        f" in {report['running_time']:.0f} s, seed {report['seed']}; never accepted:"
        f" {', '.join(refused) or 'none'}",
    )
    assert report["failures"] == report["errors"] == [], printed
    assert {
        phase: report["phases"][phase]["status"] for phase in phases
    } == dict.fromkeys(phases, "success"), printed
    if "fuzzing" in phases:  # which makes bodies up where there is no example
        assert report["operations"]["tested"] == report["operations"]["total"], printed
    assert still_in.status_code == httpx.codes.OK, (
        "the token was lost on the way, so most of the run asked nothing"
    )
    if phases == PHASES:
        most_refused = len(report["valid_rates"]) * MOST_NEVER_ACCEPTED
        assert len(refused) <= most_refused, refused


def never_accepted(report: dict[str, Any]) -> list[str]:
    """Return the operations that did nothing but refuse in the phases that try each by
    itself.
    """
    return [
        operation
        for operation, phases in report["valid_rates"].items()
        if sum(counted["accepted"] for counted in phases.values()) == 0
    ]
