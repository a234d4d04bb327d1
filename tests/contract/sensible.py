"""Hooks for schemathesis: what a document cannot say, so that more than refusals is
tried.

An id in a body must be on record, figures do not stand beside an id, and some fields
ask for others: made-up bodies rarely keep to that. And the run must not lock itself
out: its own token and member are left as they are.
"""

import json
import os
from collections.abc import Mapping
from typing import Any

import schemathesis

from contract.breakage import statuses
from contract.sent_once import Once, Told

KNOWN: dict[str, str] = json.loads(os.environ["STANDAGE_KNOWN_IDS"])
"""Ids that are on record, and a moment that lies ahead by a little, by the field that
names them.
"""

INSTEAD: dict[str, str] = json.loads(os.environ["STANDAGE_IDS_INSTEAD"])
"""Ids of the run's own way in, and of what made it, each with another that may be
changed, deleted and undone.
"""

SPARE_VEHICLE = os.environ["STANDAGE_SPARE_VEHICLE_ID"]
"""A vehicle that stands in no train: taken out of its trains, the known one would leave
none of them.
"""

ALONE = ("vehicle_id", "train_id", "place_id", "yard_id")
IN_A_WORD = {
    "train": "train_id",
    "trains": "train_id",
    "place": "place_id",
    "places": "place_id",
}
IN_A_WORD |= {"roads": "place_id", "road": "place_id", "yard": "yard_id"}
IN_A_WORD |= dict.fromkeys(
    ("vehicle", "vehicles", "wagons", "engines", "pool"), "vehicle_id"
)
"""The fields in which a mere text stands for a record, with what it is then."""

WORKBOOKS = (
    "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "application/vnd.oasis.opendocument.spreadsheet",
)
schemathesis.serializer.alias(list(WORKBOOKS), "application/octet-stream")
"""A file goes as its bytes."""


SENT = Once()
IS_LONG = "STANDAGE_SCHEMATHESIS_EXAMPLES" in os.environ


@schemathesis.hook
def filter_case(_context: Any, case: Any) -> bool:
    """Leave out of the coverage phase of a short run what was sent elsewhere."""
    if IS_LONG or case.meta.phase.name.value != "coverage":
        return True
    about = case.meta.phase.data
    part = about.parameter_location
    told = Told(
        mode=case.meta.generation.mode.value,
        part="" if part is None else part.value,
        parameter=about.parameter or "",
        scenario=about.scenario.value,
        description=about.description,
        location=about.location or "",
    )
    return SENT.is_new(case.operation.label, told)


@schemathesis.hook
def before_call(_context: Any, case: Any, _options: Any) -> None:
    """Keep the run's own token and member out of changes; make allowed data of the free
    phases agree with the rules.
    """
    if case.method in {"PUT", "PATCH", "DELETE"} or case.path.endswith(
        ("/erase", "/undo")
    ):
        case.path_parameters = {
            name: INSTEAD.get(value, value)
            for name, value in case.path_parameters.items()
        }
    if case.path.endswith("/take-out"):
        known = KNOWN["vehicle_id"]
        case.path_parameters = {
            name: SPARE_VEHICLE if value == known else value
            for name, value in case.path_parameters.items()
        }
    if case.meta.generation.mode.is_positive and case.meta.phase.name.value in {
        "fuzzing",
        "stateful",
    }:
        case.body = agreeing(case.body)
        case.query = {
            name: KNOWN.get(name, value) for name, value in (case.query or {}).items()
        }


@schemathesis.check
def the_status_is_told(_context: Any, response: Any, case: Any) -> None:
    """Refuse a status that an operation neither lists nor shows under ``default``: for
    schemathesis itself ``default`` covers every one.
    """
    if response.request.method != case.operation.method.upper():
        return  # a trial of a method that is no operation
    document = case.operation.schema.raw_schema
    operation = document["paths"][case.operation.path][case.operation.method]
    assert str(response.status_code) in statuses(operation, document), (
        f"{case.operation.label} does not tell of {response.status_code}"
    )


def agreeing(value: Any, field: str = "") -> Any:
    """Return what stands at ``field`` with ids that are on record, and with what its
    other fields ask for.
    """
    if isinstance(value, list):
        return [agreeing(item, field) for item in value]
    if not isinstance(value, dict):
        return (
            KNOWN.get(IN_A_WORD.get(field, field), value)
            if isinstance(value, str)
            else value
        )
    for name in ALONE:
        if isinstance(value.get(name), str):
            return {name: KNOWN[name]}
    return {
        name: agreeing(inner, name)
        for name, inner in {**value, **asked_for(value, field)}.items()
    }


def asked_for(value: Mapping[str, Any], field: str) -> dict[str, Any]:
    """Return the fields that ``value`` lacks for what it is."""
    lacking: dict[str, Any] = {}
    if (
        field in {"vehicle", "vehicles", "wagons", "engines", "pool"}
        and value.get("name") is None
    ):
        lacking["name"] = "Wagon"
    is_place = field in {"place", "places", "road"} or (
        field == "roads" and "road" not in value
    )
    if is_place and value.get("kind") is None:
        lacking["kind"] = "loop"
    if field in {"train", "trains"} and value.get("vehicles") is None:
        lacking["train_id"] = KNOWN["train_id"]
    if (
        value.get("length_mm") is not None
        and value.get("length_over") is None
        and field != "bodies"
    ):
        lacking["length_over"] = "couplings"
    return lacking
