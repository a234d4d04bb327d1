"""What the club of the examples asks about what was done, and takes back."""

from api.asking import NOBODY
from api.example_recorder import Recorder


def play(recorder: Recorder) -> None:
    """Ask for the history of a vehicle whose name is mended."""
    vehicle = recorder.steward.made("/v1/vehicles", {"name": "Churn van", "mass_g": 52})
    mended = recorder.steward.ask("PATCH", f"/v1/vehicles/{vehicle['id']}", {"mass_g": 58}, if_match="*")
    assert mended.status_code == 200, mended.text
    listed = recorder.ask("listChanges", query=f"record_id={vehicle['id']}")
    recorder.ask("listChanges", query="limit=500")
    recorder.ask("getChange", at={"change_id": listed.json()["items"][0]["id"]})
    recorder.ask("getChange", at={"change_id": NOBODY})
