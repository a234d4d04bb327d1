"""What the club of the examples asks about what was done, and takes back."""

from api.asking import NOBODY
from api.example_recorder import Recorder


def play(recorder: Recorder) -> None:
    """Ask for the history of a vehicle whose name is mended."""
    vehicle = recorder.steward.made("/v1/vehicles", {"name": "Churn van", "mass_g": 52})
    mended = recorder.steward.ask(
        "PATCH", f"/v1/vehicles/{vehicle['id']}", {"mass_g": 58}, if_match="*"
    )
    assert mended.status_code == 200, mended.text
    late = recorder.steward.ask(
        "PATCH", f"/v1/vehicles/{vehicle['id']}", {"mass_g": 55}, if_match='"v1-late"'
    )
    assert late.status_code == 412, late.text
    recorder.ask("listRefusedChanges", query=f"record_id={vehicle['id']}")
    recorder.ask("listRefusedChanges", query="kind=boats")
    listed = recorder.ask("listChanges", query=f"record_id={vehicle['id']}")
    recorder.ask("listChanges", query="limit=500")
    recorder.ask("getChange", at={"change_id": listed.json()["items"][0]["id"]})
    recorder.ask("getChange", at={"change_id": NOBODY})
    change_id = listed.json()["items"][0]["id"]
    undone = recorder.ask("undoChange", at={"change_id": change_id})
    assert undone.status_code == 200, undone.text
    recorder.ask("undoChange", at={"change_id": change_id})
    layout = recorder.steward.made("/v1/layouts", {"name": "Layout for the jubilee"})
    recorder.steward.made(
        f"/v1/layouts/{layout['id']}/places", {"name": "Bay", "kind": "platform"}
    )
    gone = recorder.steward.ask("DELETE", f"/v1/layouts/{layout['id']}", if_match="*")
    assert gone.status_code == 204, gone.text
    deletion = recorder.steward.read(f"/v1/history?record_id={layout['id']}")["items"][
        0
    ]
    undone = recorder.ask("undoAction", at={"action_id": deletion["action_id"]})
    assert undone.status_code == 200, undone.text
    recorder.ask("undoAction", at={"action_id": deletion["action_id"]})
    _deleted(recorder, layout["id"])
    _taken_out(recorder, vehicle["id"])
    member = recorder.steward.made(
        "/v1/members", {"name": "Yarrow", "contact": "the signal box"}
    )
    erased = recorder.ask("eraseMember", at={"member_id": member["id"]})
    assert erased.status_code == 200, erased.text
    recorder.ask("eraseMember", at={"member_id": NOBODY})
    recorder.ask("eraseMember", at={"member_id": recorder.steward.member_id})


def _taken_out(recorder: Recorder, vehicle_id: str) -> None:
    other = recorder.steward.made("/v1/vehicles", {"name": "Fish van"})
    entries = [{"vehicle_id": one} for one in (vehicle_id, other["id"])]
    recorder.steward.made("/v1/trains", {"name": "Morning milk", "vehicles": entries})
    at = {"vehicle_id": vehicle_id}
    taken = recorder.ask("takeVehicleOut", at=at)
    assert taken.status_code == 200, taken.text
    recorder.ask("takeVehicleOut", at={"vehicle_id": NOBODY})


def _deleted(recorder: Recorder, layout_id: str) -> None:
    gone = recorder.steward.ask("DELETE", f"/v1/layouts/{layout_id}", if_match="*")
    assert gone.status_code == 204, gone.text
    at = {"deleted_record_id": layout_id}
    recorder.ask("listDeletedRecords", query="kind=layouts&limit=1")
    recorder.ask("listDeletedRecords", query="kind=boats")
    recorder.ask("getDeletedRecord", at=at)
    recorder.ask("getDeletedRecord", at={"deleted_record_id": NOBODY})
    recorder.steward.made("/v1/layouts", {"name": "Layout for the jubilee"})
    recorder.ask("restoreDeletedRecord", at=at)
    instead = recorder.steward.read("/v1/layouts?name_begins=Layout%20for")["items"][0]
    mended = recorder.steward.ask(
        "PATCH",
        f"/v1/layouts/{instead['id']}",
        {"name": "Layout, second"},
        if_match="*",
    )
    assert mended.status_code == 200, mended.text
    back = recorder.ask("restoreDeletedRecord", at=at)
    assert back.status_code == 200, back.text
