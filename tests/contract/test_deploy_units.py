"""The units of systemd that are shipped: what they may do, that they agree, and that
systemd takes them.
"""

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from contract.shipped import DEPLOY, unit
from contract.test_deploy import PROGRAM
from contract.test_settings import in_the_table
from standage.cli import LONGEST_STOP_S
from support.patience import PATIENCE_S

UNITS = ["standage.service", "standage-backup.service", "standage-backup.timer"]

SHUT = {
    *(
        "DynamicUser",
        "NoNewPrivileges",
        "ProtectHome",
        "PrivateTmp",
        "PrivateDevices",
        "PrivateUsers",
        "ProtectClock",
    ),
    *(
        "ProtectHostname",
        "ProtectKernelLogs",
        "ProtectKernelModules",
        "ProtectKernelTunables",
        "ProtectControlGroups",
    ),
    *(
        "RestrictNamespaces",
        "RestrictRealtime",
        "RestrictSUIDSGID",
        "LockPersonality",
        "MemoryDenyWriteExecute",
    ),
}


@pytest.mark.parametrize("name", ["standage.service", "standage-backup.service"])
def test_a_unit_may_do_nothing_that_it_need_not(name: str) -> None:
    one = unit(name)
    assert {key for key in SHUT if one.all(key) != ["yes"]} == set()
    assert (one.one("ProtectSystem"), one.one("CapabilityBoundingSet")) == (
        "strict",
        "",
    )
    assert one.all("SystemCallFilter") == ["@system-service", "~@privileged"]
    assert one.one("User") == "standage"
    assert one.one("StateDirectoryMode") == "0700"
    assert one.one("WorkingDirectory") == "/var/lib/standage"
    assert set(one.environment()) - {"LISTEN_ON"} <= in_the_table()


def test_the_service_reaches_the_hall_and_not_the_world() -> None:
    one = unit("standage.service")
    assert one.one("IPAddressDeny") == "any"
    private = {
        "localhost",
        "link-local",
        "10.0.0.0/8",
        "172.16.0.0/12",
        "192.168.0.0/16",
        "fc00::/7",
    }
    assert set(one.one("IPAddressAllow").split()) == private
    assert one.environment()["LISTEN_ON"] == "127.0.0.1"
    assert int(one.one("TimeoutStopSec")) > LONGEST_STOP_S


def test_both_units_and_the_tool_work_on_the_same_database() -> None:
    url = "sqlite:////var/lib/standage/standage.sqlite3"
    assert {
        unit(name).environment()["STANDAGE_DATABASE_URL"] for name in UNITS[:2]
    } == {url}
    tool = (DEPLOY / "standage-as-service").read_text()
    assert f"--setenv=STANDAGE_DATABASE_URL={url}" in tool
    for key in (
        "DynamicUser",
        "User",
        "StateDirectoryMode",
        "WorkingDirectory",
        "EnvironmentFile",
    ):
        assert f"--property={key}={unit('standage.service').one(key)}" in tool, key


def rerooted(folder: Path) -> list[str]:
    """Put copies of the units into a folder, with a program that can be run; return
    their paths.
    """
    for name in UNITS:
        (folder / name).write_text(
            (DEPLOY / name).read_text().replace(PROGRAM, "/bin/true")
        )
    return [str(folder / name) for name in UNITS]


def test_systemd_takes_the_units_where_it_is_on_this_machine(tmp_path: Path) -> None:
    """Where it is not, what it would look at first is looked at here: sections and keys
    that it knows.
    """
    program = shutil.which("systemd-analyze")
    if program is None:
        for name in UNITS:
            sections = {section for section, _ in unit(name).values}
            assert sections <= {"Unit", "Service", "Timer", "Install"}
            assert all(
                re.fullmatch(r"[A-Z][A-Za-z]+", key) for _, key in unit(name).values
            )
        return
    units = rerooted(tmp_path)
    seen = subprocess.run(
        [program, "verify", *units],
        capture_output=True,
        text=True,
        check=False,
        timeout=PATIENCE_S,
    )
    assert (seen.returncode, seen.stderr) == (0, "")
    for one in units[:2]:
        judged = subprocess.run(
            [program, "security", "--offline=yes", "--threshold=20", one],
            capture_output=True,
            text=True,
            check=False,
            timeout=PATIENCE_S,
        )
        assert judged.returncode == 0, judged.stdout[-300:]
