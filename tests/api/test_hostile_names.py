"""Names that look like others, or turn round what stands beside them, are refused; what
is on record stays readable.
"""

from typing import Any
from xml.etree import ElementTree as ET

import msgspec
import pytest

from api.asking import PASSPHRASE, Caller, Service, faults, refusal
from api.ground import MODULE_END, YARD, Ground, one_of
from api.sheets import previewed, rows
from standage.registry.people.credentials import principal_for
from standage.registry.records.bodies import LayoutBody, VehicleBody, YardBody
from standage.registry.records.kinds import LAYOUTS, VEHICLES, YARDS
from standage.registry.records.record import Permit
from standage.registry.writing.store import Writing
from support.clubs import NOW

HOSTILE = (
    "Up\u202e loop",
    "Up\u2066 loop",
    "Up\x85 loop",
    "Up\u2028 loop",
    "Up\ufdd0 loop",
    "Up\u200b loop",
)
NAMED = (
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
    "Place",
)


@pytest.mark.parametrize("noun", NAMED)
@pytest.mark.parametrize("name", HOSTILE)
def test_no_record_takes_such_a_name(ground: Ground, noun: str, name: str) -> None:
    field = "label" if noun == "Token" else "name"
    record = ground.steward.read("/v1/club") if noun == "Club" else ground.make(noun)
    path = one_of(noun, record)
    assert faults(ground.steward.ask("PATCH", path, {field: name}, if_match="*")) == {
        f"/{field}": "unseen_character"
    }
    assert ground.steward.read(path)[field] == record[field]
    if noun == "Club":
        return
    body = ground.body(noun) | {field: name}
    assert faults(ground.steward.ask("POST", path.rpartition("/")[0], body)) == {
        f"/{field}": "unseen_character"
    }


def test_every_name_in_a_record_is_looked_at_and_told_of_with_all_else_that_is_wrong(
    ground: Ground,
) -> None:
    bad = "E\u202e47"
    vehicle = {
        "name": bad,
        "number": bad,
        "external_key": bad,
        "front_coupling": {"type": bad},
    }
    places = dict.fromkeys(
        ("/name", "/number", "/external_key", "/front_coupling/type"),
        "unseen_character",
    )
    assert faults(ground.steward.ask("POST", "/v1/vehicles", vehicle)) == places
    told = faults(ground.steward.ask("POST", "/v1/vehicles", vehicle | {"mass_g": -1}))
    assert told == places | {"/mass_g": "too_small"}
    end = MODULE_END | {"name": bad, "tracks": [{"name": bad, "offset_mm": 0}]}
    module = faults(
        ground.steward.ask("POST", "/v1/modules", {"name": "Bay", "ends": [end]})
    )
    assert module == dict.fromkeys(
        ("/ends/0/name", "/ends/0/tracks/0/name"), "unseen_character"
    )
    types = faults(
        ground.steward.ask(
            "POST", "/v1/coupling-types", {"name": "Hook", "mates_with": ["Bar", bad]}
        )
    )
    assert types == {"/mates_with/1": "unseen_character"}
    siding = {"name": bad, "usable_length_mm": 300.0}
    asked = {"sidings": [siding, *YARD["sidings"][1:]]}
    path = f"/v1/layouts/{ground.make('Layout')['id']}/yards"
    assert faults(
        ground.steward.ask("POST", path, YARD | asked | {"name": "Goods"})
    ) == {"/sidings/0/name": "unseen_character"}


def test_remarks_take_what_names_do_not(ground: Ground) -> None:
    notes = (
        "first line\nsecond line \u2067\u05e8\u05db\u05d1\u05ea\u2069, soft\xadhyphen"
    )
    assert ground.make("Vehicle", notes=notes)["notes"] == notes


def test_a_message_says_which_character_it_is(ground: Ground) -> None:
    problem = refusal(
        ground.steward.ask("POST", "/v1/layouts", {"name": "Up\u202eloop"}),
        422,
        "invalid",
    )
    assert "(U+202E)" in problem["faults"][0]["message"]
    assert "\u202e" not in problem["faults"][0]["message"]


def test_an_invitation_sets_no_such_name(service: Service, ground: Ground) -> None:
    issued = ground.steward.made("/v1/invitations", ground.body("Invitation"))
    wanted = {
        "invitation": issued["invitation"],
        "sign_in_name": "Sor\u200brel",
        "passphrase": PASSPHRASE,
    }
    refused = service.stranger().ask("POST", "/v1/invitations/accept", wanted)
    assert faults(refused) == {"/sign_in_name": "unseen_character"}


def test_a_row_of_a_spreadsheet_with_such_a_name_is_refused_and_says_why(
    steward: Caller,
) -> None:
    preview = previewed(
        steward, "Name,Number\nOre\u202ewagon,1\nAsh wagon,2\n".encode()
    )
    bad, good = rows(steward, preview)
    assert [fault["code"] for fault in bad["faults"]] == ["unseen_character"]
    assert good["outcome"] == "create"


def _whole(writing: Writing, steward: Caller) -> Permit:
    principal = principal_for(writing, steward.token or "", NOW)
    assert principal is not None
    return Permit(principal=principal, whose="club")


@pytest.fixture
def kept(service: Service, steward: Caller) -> dict[str, Any]:
    """Give a vehicle and a layout that were put on record before names were looked at
    so closely.
    """
    with service.database.write() as connection:
        writing = Writing(connection, NOW)
        permit = _whole(writing, steward)
        vehicle = writing.create(
            VEHICLES, permit, VehicleBody(name="Up\u202e wagon", number="4\u200b7")
        )
        layout = writing.create(LAYOUTS, permit, LayoutBody(name="Up\u200b loop"))
    return {"Vehicle": vehicle.id, "Layout": layout.id}


def test_what_is_on_record_is_read_and_mended(
    steward: Caller, kept: dict[str, Any]
) -> None:
    path = f"/v1/vehicles/{kept['Vehicle']}"
    assert steward.read(path)["name"] == "Up\u202e wagon"
    assert [one["name"] for one in steward.read("/v1/layouts")["items"]] == [
        "Up\u200b loop"
    ]
    told = faults(steward.ask("PATCH", path, {"mass_g": 5}, if_match="*"))
    assert told == {"/name": "unseen_character", "/number": "unseen_character"}
    mended = steward.ask(
        "PATCH", path, {"name": "Up wagon", "number": "47"}, if_match="*"
    )
    assert mended.status_code == 200, mended.text
    change = steward.read(f"/v1/history?record_id={kept['Vehicle']}")["items"][0]["id"]
    assert steward.ask("POST", f"/v1/history/{change}/undo").status_code == 200
    assert steward.ask("DELETE", path, if_match="*").status_code == 204
    assert (
        steward.ask(
            "POST", f"/v1/deleted-records/{kept['Vehicle']}/restore"
        ).status_code
        == 200
    )
    assert steward.read(path)["number"] == "4\u200b7"


def test_what_is_on_record_is_drawn_as_text(
    service: Service, steward: Caller, kept: dict[str, Any]
) -> None:
    name = "\uffff\ufffe\u202edrows"
    body = msgspec.convert(YARD | {"name": name}, YardBody)
    with service.database.write() as connection:
        writing = Writing(connection, NOW)
        yard = writing.create(
            YARDS, _whole(writing, steward), body, parent_id=kept["Layout"]
        )
    drawing = steward.ask("GET", f"/v1/yards/{yard.id}/drawing")
    assert drawing.status_code == 200, drawing.text
    told = "".join(ET.fromstring(drawing.text).itertext())  # noqa: S314 - our own text
    assert "\ufffd\ufffd\u202edrows" in told
