"""The wheel, built, installed and run from a folder that is not the project's."""

import os
import subprocess
import sys
import sysconfig
import venv
import zipfile
from pathlib import Path

import httpx
import pytest

from contract.serving import ROOT, serving
from support.patience import PATIENCE_S


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    offline = [
        "--no-deps",
        "--no-index",
        "--no-build-isolation",
        "--disable-pip-version-check",
    ]
    subprocess.run(
        [
            sys.executable,
            "-m",
            "pip",
            "wheel",
            "--quiet",
            *offline,
            "--wheel-dir",
            str(folder),
            str(ROOT),
        ],
        check=True,
        cwd=folder,
        timeout=PATIENCE_S,
    )
    return next(folder.glob("standage-*.whl"))


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the scripts of a new environment that holds the wheel and borrows its
    dependencies from this one.
    """
    folder = tmp_path_factory.mktemp("installed")
    venv.create(folder, with_pip=False, symlinks=True)
    python = folder / "bin" / "python"
    subprocess.run(
        [
            sys.executable,
            "-m",
            "pip",
            "--python",
            str(python),
            "install",
            "--quiet",
            "--no-deps",
            "--no-index",
            str(wheel),
        ],
        check=True,
        cwd=folder,
        timeout=PATIENCE_S,
    )
    # only now: pip would take a project that is installed in the environment that is
    # borrowed from for its own
    packages = (
        folder
        / "lib"
        / f"python{sys.version_info.major}.{sys.version_info.minor}"
        / "site-packages"
    )
    (packages / "borrowed.pth").write_text(sysconfig.get_path("purelib") + "\n")
    return python.parent


def environment_without_the_tree() -> dict[str, str]:
    kept = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("PYTHON", "STANDAGE_"))
    }
    return kept | {"STANDAGE_RATE_LIMITS": "off"}


def test_the_wheel_holds_the_service_its_migrations_and_its_licence_and_no_test(
    wheel: Path,
) -> None:
    names = zipfile.ZipFile(wheel).namelist()
    roots = {name.split("/")[0] for name in names}
    assert {root.split("-")[0] for root in roots} == {"standage"}
    assert "standage/migrations/env.py" in names
    assert any(
        name.startswith("standage/migrations/versions/") and name.endswith(".py")
        for name in names
    )
    assert any(name.endswith("licenses/LICENSE") for name in names)


def test_the_installed_program_is_the_wheel_s_own(
    installed: Path, tmp_path: Path
) -> None:
    made = subprocess.run(
        [installed / "python", "-c", "import standage; print(standage.__file__)"],
        cwd=tmp_path,
        env=environment_without_the_tree(),
        check=True,
        capture_output=True,
        text=True,
        timeout=PATIENCE_S,
    )
    assert Path(made.stdout.strip()).is_relative_to(installed.parent)


def test_the_installed_service_runs_from_another_folder_and_makes_its_database_there(
    installed: Path, tmp_path: Path
) -> None:
    command = [str(installed / "standage")]
    with serving(
        folder=tmp_path, command=command, env=environment_without_the_tree()
    ) as service:
        assert service.ask("GET", "/v1/club").json()["id"] == service.club_id
        assert (
            service.ask("GET", "/v1/club", Authorization="").status_code
            == httpx.codes.UNAUTHORIZED
        )
        assert service.ask("GET", "/docs").status_code == httpx.codes.OK
        assert service.ask("GET", "/openapi.json").json()["info"]["title"] == "Standage"
    assert (tmp_path / "standage.sqlite3").exists()
