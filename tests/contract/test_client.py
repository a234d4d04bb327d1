"""A client that a public generator makes of the document, driving the running service
without a hand edit.
"""

import importlib
import subprocess
import sys
import sysconfig
from collections.abc import Iterator, Mapping
from io import BytesIO
from math import sqrt
from pathlib import Path
from typing import Any

import httpx
import pytest

from contract.serving import Service
from support.patience import PATIENCE_S

PACKAGE = "generated_client"
CONFIG = f"""\
package_name_override: {PACKAGE}
post_hooks: []
content_type_overrides:
  "image/svg+xml": "text/plain"  # the generator knows no drawings: they come as text
  "text/csv": "application/octet-stream"  # nor files: they go and come as their bytes
  "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet": "application/octet-stream"
  "application/vnd.oasis.opendocument.spreadsheet": "application/octet-stream"
"""
GENERATOR = Path(sysconfig.get_path("scripts")) / "openapi-python-client"

BUFFERS = {
    "length_over": "buffers",
    "front_coupling": {"reach_mm": 2, "projection_mm": 0, "play_mm": 0},
}
ENGINE = {
    "name": "Heron",
    "kind": "engine",
    "length_mm": 250,
    "rear_coupling": BUFFERS["front_coupling"],
    **BUFFERS,
}
WAGON = {
    "name": "Coal wagon",
    "kind": "wagon",
    "count": 2,
    "length_mm": 100,
    "width_mm": 34,
    "rigid_wheelbase_mm": 40,
    "rear_coupling": BUFFERS["front_coupling"],
    **BUFFERS,
}


def part(name: str) -> Any:
    """Return a module of the generated package."""
    return importlib.import_module(f"{PACKAGE}.{name}")


class Client:
    """The generated package, called by module and model name."""

    def __init__(self, caller: Any) -> None:
        self._caller = caller

    def call(
        self,
        operation: str,
        *path: str,
        body: tuple[str, Mapping[str, Any]] | None = None,
        **rest: Any,
    ) -> Any:
        """Call ``tag.operation`` and return what it parsed; a body is a model's name
        and its figures.
        """
        if body is not None:
            rest["body"] = getattr(part("models"), body[0]).from_dict(body[1])
        response = self.respond(operation, *path, **rest)
        assert response.status_code < 300, response.content
        return response.parsed

    def respond(self, operation: str, *path: str, **rest: Any) -> Any:
        """Call ``tag.operation`` and return the whole response, whatever its status."""
        return part(f"api.{operation}").sync_detailed(
            *path, client=self._caller, **rest
        )


@pytest.fixture(scope="module")
def client(
    service: Service, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Client]:
    folder = (
        tmp_path_factory.mktemp("client") / "tests"
    )  # by this name Hypothesis takes no figures from it
    folder.mkdir()
    (folder / "config.yml").write_text(CONFIG)
    generate = [
        "generate",
        "--url",
        f"{service.url}/openapi.json",
        "--config",
        str(folder / "config.yml"),
    ]
    made = subprocess.run(
        [
            GENERATOR,
            *generate,
            "--output-path",
            str(folder / PACKAGE),
            "--meta",
            "none",
            "--fail-on-warning",
        ],
        cwd=folder,
        capture_output=True,
        text=True,
        check=False,
        timeout=PATIENCE_S,
    )
    assert made.returncode == 0, made.stdout + made.stderr
    with pytest.MonkeyPatch.context() as patched:
        patched.syspath_prepend(str(folder))
        with part("client").AuthenticatedClient(
            base_url=service.url, token=service.token, timeout=httpx.Timeout(PATIENCE_S)
        ) as caller:
            yield Client(caller)
    for name in [name for name in sys.modules if name.split(".")[0] == PACKAGE]:
        del sys.modules[name]


def test_the_generated_client_takes_a_club_from_its_stock_to_an_answer(
    client: Client,
) -> None:
    engine = client.call("stock.create_vehicle", body=("VehicleBody", ENGINE))
    wagon = client.call("stock.create_vehicle", body=("VehicleBody", WAGON))
    made_up = [{"vehicle_id": engine.id}, {"vehicle_id": wagon.id, "count": 2}]
    train = client.call(
        "stock.create_train", body=("TrainBody", {"name": "Coal", "vehicles": made_up})
    )
    layout = client.call(
        "layouts.create_layout", body=("LayoutBody", {"name": "Staithe Lane"})
    )
    road = {
        "name": "Loop",
        "kind": "loop",
        "usable_length_mm": 500,
        "plus_minus_mm": 0,
        "stopping_margin_mm": 10,
    }
    place = client.call("layouts.create_place", layout.id, body=("PlaceBody", road))

    fit = client.call(
        "questions.get_place_train_fit", layout.id, place.id, train_id=train.id
    )
    # 250 + 100 + 100 over buffers, two joints of 2 + 2, nothing beyond the free
    # buffers.
    assert (fit.train_length_mm, fit.spare_mm, fit.verdict.value) == (458, 32, "fits")

    answer = client.call("questions.get_vehicle_curve", wagon.id, radius_mm=600.0)
    # Centre throw R - sqrt(R^2 - (a/2)^2), a the rigid wheelbase; derived.
    assert answer.vehicles[0].centre_throw_mm == pytest.approx(
        600 - sqrt(600**2 - 20**2), abs=0.001
    )


def test_the_generated_client_understands_an_inline_answer(client: Client) -> None:
    asked = {
        "train": {"vehicles": [ENGINE, WAGON]},
        "place": {"kind": "loop", "usable_length_mm": 400},
        "stopping_margin_mm": 0,
    }
    answer = client.call("questions.check_train_fit", body=("TrainFitRequest", asked))
    assert (answer.verdict.value, answer.spare_mm) == ("does_not_fit", -58)
    assert [reason.code for reason in answer.because] != []


def test_the_generated_client_has_a_train_made_up_by_the_process_that_searches(
    client: Client,
) -> None:
    asked = {
        "engine_length_mm": 100,
        "yard": {
            "headshunt_usable_length_mm": 300,
            "sidings": [
                {"name": "Long", "usable_length_mm": 300},
                {"name": "Short", "usable_length_mm": 200},
            ],
        },
        "wagons": [{"name": name, "length_mm": 80} for name in "ABC"],
        "start": {"sidings": [["A", "B", "C"], []]},
        "goal": {"siding": "Short", "train": ["A"]},
    }
    answer = client.call(
        "shunting.check_shunting_plan", body=("ShuntingPlanRequest", asked)
    )
    told = [(move.siding, move.action.value, move.wagons) for move in answer.moves]
    assert told == [("Long", "pick", ["A"]), ("Short", "drop", ["A"])]


def test_the_generated_client_takes_spreadsheets_in_and_gets_the_list_back(
    client: Client,
) -> None:
    def sent(raw: bytes) -> Any:
        response = client.respond(
            "files.create_stock_import", body=part("types").File(payload=BytesIO(raw))
        )
        assert response.status_code == 201, response.content
        return response.parsed

    preview = sent(
        b"Name,Number,Length over buffers (in)\nPeat wagon,104,3.5\n,105,3\n"
    )
    assert (
        preview.counts.create,
        preview.counts.fault,
        preview.file.format_.value,
    ) == (1, 1, "csv")
    page = client.call("files.get_stock_import_rows", preview.id)
    assert [row.outcome.value for row in page.items] == ["create", "fault"]
    rejects = client.respond("files.get_stock_import_rejects", preview.id)
    assert b"Why it was not taken" in rejects.content
    done = client.call(
        "files.commit_stock_import",
        preview.id,
        body=("StockImportCommit", {"rows": "good"}),
    )
    assert (done.state.value, done.taken.created) == ("committed", 1)
    book = client.respond("files.get_stock_list_xlsx").parsed.payload.read()
    again = sent(book)
    assert (again.counts.unchanged, again.counts.fault, again.file.format_.value) == (
        again.file.rows - 1,
        0,
        "xlsx",
    )
    assert client.call("files.undo_stock_import", preview.id).state.value == "undone"
    document = client.call("files.export_club")
    assert (document.format_.value, document.version) == ("standage-club", 1)


def test_the_generated_client_understands_a_refusal(client: Client) -> None:
    response = client.respond(
        "stock.get_vehicle", "01234567-89ab-7cde-8f01-23456789abcd"
    )
    assert response.status_code == response.parsed.status == 404
    assert response.parsed.type_ == "/problems/not-found"
