"""Schemathesis, all its phases and checks, against the running service on each database.

``STANDAGE_SCHEMATHESIS_EXAMPLES`` (for each operation) makes a run long, ``STANDAGE_SCHEMATHESIS_SEED`` another one.
"""

import json
import os
import subprocess
import sysconfig
from pathlib import Path
from typing import Any

import httpx
import pytest

from contract.serving import Service, environment, serving
from standage.registry.engine import Database

EXAMPLES = os.environ.get("STANDAGE_SCHEMATHESIS_EXAMPLES", "6")
SEED = os.environ.get("STANDAGE_SCHEMATHESIS_SEED", "1435")
PROGRAM = Path(sysconfig.get_path("scripts")) / "schemathesis"
CONFIG = Path(__file__).with_name("schemathesis.toml")
PHASES = ["examples", "coverage", "fuzzing", "stateful"]


def asked(service: Service, folder: Path) -> tuple[dict[str, Any], str]:
    """Run schemathesis against ``service``; return its report, and what it printed."""
    report = folder / "report.json"
    amount = ["--max-examples", EXAMPLES, "--seed", SEED, "--phases", ",".join(PHASES)]
    output = ["--report", "json", "--report-json-path", str(report), "--warnings", "off"]
    made = subprocess.run(
        [PROGRAM, "--config-file", CONFIG, "run", f"{service.url}/openapi.json", *amount, *output],
        cwd=folder,
        env=os.environ | {"STANDAGE_TOKEN": service.token, "NO_COLOR": "1", "COLUMNS": "120"},
        capture_output=True,
        text=True,
        check=False,
    )
    return json.loads(report.read_text()), made.stdout + made.stderr


def test_schemathesis_finds_nothing(database: Database, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with serving(folder=tmp_path, env=environment(database.url)) as service:
        report, printed = asked(service, tmp_path)
        still_in = httpx.get(f"{service.url}/v1/club", headers=service.authorization)
    with capsys.disabled():
        print(
            f"\nschemathesis on {database.dialect}: {report['test_cases']['generated']} cases"
            f" in {report['running_time']:.0f} s, seed {report['seed']}"
        )
    assert report["failures"] == report["errors"] == [], printed
    assert {phase: report["phases"][phase]["status"] for phase in PHASES} == dict.fromkeys(PHASES, "success"), printed
    assert report["operations"]["tested"] == report["operations"]["total"], printed
    assert still_in.status_code == httpx.codes.OK, "the token was lost on the way, so most of the run asked nothing"
    assert never_accepted(report) == set()


def never_accepted(report: dict[str, Any]) -> set[str]:
    """Return the operations that did nothing in the whole run but refuse."""
    return {
        operation
        for operation, phases in report["valid_rates"].items()
        if sum(counted["accepted"] for counted in phases.values()) == 0
    }
