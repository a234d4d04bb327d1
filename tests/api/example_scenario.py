"""What the club of the examples asks: every operation once with success, and once or
more where it is refused.
"""

from collections.abc import Mapping

from api import example_club as club
from api import example_history as history
from api import example_sign_in as sign_in
from api.asking import NOBODY, Service
from api.example_files import play_files
from api.example_questions import play_questions
from api.example_recorder import BY_ID, Json, Recorder, record


def play(service: Service) -> dict[str, Json]:
    """Play the whole scenario; return the examples it leaves."""
    recorder = Recorder(service, service.club(club.CLUB))
    _people(recorder)
    stock = _stock(recorder)
    roads = _layouts(recorder)
    kept = _modules(recorder)
    play_questions(recorder, {**stock, **roads, **kept})
    sign_in.play(recorder, roads["layout_id"])
    history.play(recorder)
    play_files(recorder)
    for operation_id in ("getLive", "getReady"):
        recorder.ask(operation_id)
        recorder.ask(operation_id, query="verbose=1")
    return recorder.examples()


def _people(recorder: Recorder) -> None:
    recorder.ask("getClub")
    recorder.ask("getClub", by=recorder.service.stranger())
    _changes(
        recorder,
        "Club",
        {},
        body={"name": club.CLUB, "scale": "00"},
        patch={"notes": "Meets on Thursdays."},
    )
    member = recorder.made(
        "createMember",
        {"name": "Tansy", "role": "layout_keeper", "contact": "the hut by the weir"},
    )
    _refusals(recorder, "Member", wrong={"name": "Tansy", "role": "driver"})
    _reads(recorder, "Member", {"member_id": member["id"]})
    _changes(
        recorder,
        "Member",
        {"member_id": member["id"]},
        body={"name": "Tansy", "role": "layout_keeper"},
        patch={"contact": "the hut by the weir"},
    )
    token = {
        "label": "hall laptop",
        "member_id": member["id"],
        "scopes": ["read"],
        "expires_at": "2026-06-01T18:00:00Z",
    }
    issued = recorder.made("createToken", token, idempotency_key="hall-laptop-2026")
    recorder.ask("createToken", token, idempotency_key="hall-laptop-2026")
    _refusals(
        recorder,
        "Token",
        wrong={"label": "hall laptop", "member_id": NOBODY, "scopes": ["read"]},
    )
    _reads(recorder, "Token", {"token_id": issued["id"]})
    at = {"token_id": issued["id"]}
    _changes(
        recorder,
        "Token",
        at,
        body=token | {"label": "old hall laptop"},
        patch={"expires_at": "2026-05-02T18:00:00Z"},
    )
    _removal(recorder, "Token", at)
    spare = recorder.steward.made("/v1/members", {"name": "Fennel"})
    _removal(recorder, "Member", {"member_id": spare["id"]})


def _stock(recorder: Recorder) -> Mapping[str, str]:
    kind = recorder.made("createCouplingType", club.COUPLING_TYPE)
    _refusals(recorder, "CouplingType", wrong=club.COUPLING_TYPE)
    at = {"coupling_type_id": kind["id"]}
    _reads(recorder, "CouplingType", at)
    _changes(
        recorder, "CouplingType", at, body=club.COUPLING_TYPE, patch={"reach_mm": 4.3}
    )
    vans = recorder.made("createVehicle", club.MILK_VAN)
    engine, brake_van = (
        recorder.steward.made("/v1/vehicles", one)
        for one in (club.ENGINE, club.BRAKE_VAN)
    )
    _refusals(recorder, "Vehicle", wrong=club.STRANGE)
    _reads(recorder, "Vehicle", {"vehicle_id": vans["id"]})
    _changes(
        recorder,
        "Vehicle",
        {"vehicle_id": vans["id"]},
        body=club.MILK_VAN,
        patch={"mass_g": 58, "height_mm": None},
    )
    rake = recorder.made(
        "createRake",
        _made_up("Milk vans", (vans["id"], 2))
        | {
            "measured_length_mm": 200.5,
            "measured_over": "buffers",
        },
    )
    _refusals(recorder, "Rake", wrong=_made_up("Milk vans", (vans["id"], 99)))
    _reads(recorder, "Rake", {"rake_id": rake["id"]})
    _changes(
        recorder,
        "Rake",
        {"rake_id": rake["id"]},
        body=_made_up("Milk vans", (vans["id"], 2)),
        patch={"measured_length_mm": 201.0, "measured_over": "buffers"},
    )
    milk = _made_up(
        "Evening milk", (engine["id"], 1), (vans["id"], 4), (brake_van["id"], 1)
    )
    train = recorder.made("createTrain", milk)
    _refusals(
        recorder, "Train", wrong=_made_up("Evening milk", (NOBODY, 1), (vans["id"], 7))
    )
    _reads(recorder, "Train", {"train_id": train["id"]})
    _changes(
        recorder,
        "Train",
        {"train_id": train["id"]},
        body=milk,
        patch={"notes": "Runs after the interval."},
    )
    leaning = {"CouplingType": at, "Vehicle": {"vehicle_id": vans["id"]}}
    for noun, ids in leaning.items():
        recorder.ask(f"delete{noun}", at=ids, if_match="*")
    _spare_removals(recorder, vans["id"])
    return {"train_id": train["id"], "vehicle_id": vans["id"]}


def _spare_removals(recorder: Recorder, vehicle_id: str) -> None:
    """Delete what nothing leans on."""
    steward = recorder.steward
    kind = steward.made("/v1/coupling-types", {"name": "three-link, old"})
    _removal(recorder, "CouplingType", {"coupling_type_id": kind["id"]})
    vehicle = steward.made("/v1/vehicles", {"name": "Crane, broken up"})
    _removal(recorder, "Vehicle", {"vehicle_id": vehicle["id"]})
    rake = steward.made("/v1/rakes", _made_up("Old rake", (vehicle_id, 1)))
    _removal(recorder, "Rake", {"rake_id": rake["id"]})
    train = steward.made("/v1/trains", _made_up("Old train", (vehicle_id, 1)))
    _removal(recorder, "Train", {"train_id": train["id"]})


def _made_up(name: str, *vehicles: tuple[str, int]) -> Json:
    made_up = [
        {"vehicle_id": id_, "count": count} if count > 1 else {"vehicle_id": id_}
        for id_, count in vehicles
    ]
    return {"name": name, "vehicles": made_up}


def _layouts(recorder: Recorder) -> Mapping[str, str]:
    layout = recorder.made("createLayout", club.LAYOUT)
    _refusals(recorder, "Layout", wrong=club.LAYOUT)
    above = {"layout_id": layout["id"]}
    _reads(recorder, "Layout", above)
    _changes(recorder, "Layout", above, body=club.LAYOUT, patch={"wheels": "RP-25"})
    road = recorder.made("createPlace", club.CREAMERY_ROAD, at=above)
    recorder.steward.made(f"/v1/layouts/{layout['id']}/places", club.LOOP)
    recorder.ask(
        "createPlace",
        {
            "name": "Bay",
            "kind": "bay",
            "usable_length_mm": 520,
            "blades_to_blades_mm": 400,
        },
        at=above,
    )
    at = {**above, "place_id": road["id"]}
    recorder.ask("listPlaces", at=above, query="limit=1")
    recorder.ask("listPlaces", at={"layout_id": NOBODY})
    _reads(recorder, "Place", at, listed=False)
    _changes(
        recorder, "Place", at, body=club.CREAMERY_ROAD, patch={"plus_minus_mm": 1.5}
    )
    spare = recorder.steward.made(
        f"/v1/layouts/{layout['id']}/places", {"name": "Old bay", "kind": "platform"}
    )
    _removal(recorder, "Place", {**above, "place_id": spare["id"]})
    _plan(recorder, "Layout", above)
    other = recorder.steward.made("/v1/layouts", {"name": "Layout sold last year"})
    _removal(recorder, "Layout", {"layout_id": other["id"]})
    _yards(recorder, above)
    return at


def _yards(recorder: Recorder, above: Mapping[str, str]) -> None:
    yard = recorder.made("createYard", club.YARD, at=above)
    recorder.ask("createYard", {"name": "Creamery yard", "sidings": []}, at=above)
    at = {**above, "yard_id": yard["id"]}
    recorder.ask("listYards", at=above)
    recorder.ask("listYards", at={"layout_id": NOBODY})
    _reads(recorder, "Yard", at, listed=False)
    _changes(
        recorder,
        "Yard",
        at,
        body=club.YARD,
        patch={"notes": "Measured from the blade tips."},
    )
    recorder.ask("getYardDrawing", at=at)
    recorder.ask("getYardDrawing", at={**at, "yard_id": NOBODY})
    spare = recorder.steward.made(
        f"/v1/layouts/{above['layout_id']}/yards", club.YARD | {"name": "Old yard"}
    )
    _removal(recorder, "Yard", {**above, "yard_id": spare["id"]})
    _yards_of_any_layout(recorder, above)


def _yards_of_any_layout(recorder: Recorder, above: Mapping[str, str]) -> None:
    body = club.YARD | {"name": "Coal yard"}
    yard = recorder.made("createClubYard", {**body, **above})
    _refusals(recorder, "ClubYard", wrong=body | {"layout_id": NOBODY})
    at = {"yard_id": yard["id"]}
    _reads(recorder, "ClubYard", at)
    _changes(
        recorder,
        "ClubYard",
        at,
        body=body,
        patch={"notes": "Measured from the blade tips."},
    )
    recorder.ask("getClubYardDrawing", at=at)
    recorder.ask("getClubYardDrawing", at={"yard_id": NOBODY})
    spare = recorder.steward.made(
        "/v1/yards", {**body, **above, "name": "Yard that was lifted"}
    )
    _removal(recorder, "ClubYard", {"yard_id": spare["id"]})


def _modules(recorder: Recorder) -> Mapping[str, str]:
    module = recorder.made("createModule", club.MODULE)
    _refusals(
        recorder,
        "Module",
        wrong={"name": "Weir cottages", "no_curves": True, "minimum_radius_mm": 610},
    )
    at = {"module_id": module["id"]}
    _reads(recorder, "Module", at)
    _changes(recorder, "Module", at, body=club.MODULE, patch={"wire_area_mm2": 1.5})
    _plan(recorder, "Module", at)
    standard = recorder.made("createStandard", club.STANDARD)
    _refusals(
        recorder,
        "Standard",
        wrong={"name": "Circle standard", "rules": [{"rule": "paint"}]},
    )
    kept = {"standard_id": standard["id"]}
    _reads(recorder, "Standard", kept)
    waiver = {"rule": "carry", "module_id": module["id"], "reason": "Two carry it."}
    _changes(
        recorder, "Standard", kept, body=club.STANDARD, patch={"waivers": [waiver]}
    )
    spare = recorder.steward.made("/v1/modules", {"name": "Module burnt in the fire"})
    _removal(recorder, "Module", {"module_id": spare["id"]})
    old = recorder.steward.made(
        "/v1/standards", club.STANDARD | {"name": "Old standard"}
    )
    _removal(recorder, "Standard", {"standard_id": old["id"]})
    return kept | at


def _plan(recorder: Recorder, of: str, above: Mapping[str, str]) -> None:
    noun = f"{of}Plan"
    absent = dict.fromkeys(above, NOBODY)
    recorder.ask(f"get{noun}", at=above)
    spare = recorder.made(f"replace{noun}", club.PLAN, at=above)
    assert spare["version"] == 1
    _sheets(recorder, noun, above)
    _removal(recorder, noun, above)
    recorder.ask(f"replace{noun}", {"pieces": {"W": {"kind": "strait"}}}, at=above)
    recorder.ask(f"replace{noun}", club.PLAN, at=above)
    recorder.ask(f"get{noun}", at=above)
    _changes(recorder, noun, above, body=club.PLAN, patch={"name": "Malt house"})
    saved = f"{noun}Revision"
    recorder.made(f"create{saved}", {"remark": "As laid in March."}, at=above)
    recorder.ask(f"create{saved}", {"remark": 7}, at=above)
    recorder.ask(f"create{saved}", {}, at=absent)
    recorder.ask(f"list{saved}s", at=above)
    recorder.ask(f"list{saved}s", at=above, query="limit=500")
    recorder.ask(f"list{saved}s", at=absent)
    recorder.ask(f"get{saved}", at={**above, "revision": "1"})
    recorder.ask(f"get{saved}", at={**above, "revision": "9"})


def _sheets(recorder: Recorder, noun: str, above: Mapping[str, str]) -> None:
    """Fetch the plan as a sheet, see what another would change, and put that."""
    absent = dict.fromkeys(above, NOBODY)
    for form in ("Csv", "Xlsx"):
        recorder.ask(f"get{noun}Sheet{form}", at=above)
        recorder.ask(f"get{noun}Sheet{form}", at=absent)
        recorder.ask(f"get{noun}Sheet{form}", at=above, query="revision=0")
    told = recorder.ask(f"check{noun}Sheet", club.TRACK_LIST, at=above)
    assert told.status_code == 200, told.text
    recorder.ask(f"check{noun}Sheet", "", at=above)
    recorder.ask(f"check{noun}Sheet", club.TRACK_LIST, at=absent)
    put = f"replace{noun}Sheet"
    seen = recorder.steward.tag(BY_ID[f"get{noun}"].path.format(**above))
    at_fault = "Piece,Kind,Length\nW,straight,long\n"
    recorder.ask(put, at_fault, at=above, if_match=seen)
    recorder.ask(put, club.TRACK_LIST, at=above)
    changed = recorder.ask(put, club.TRACK_LIST, at=above, if_match=seen)
    assert changed.status_code == 200, changed.text
    recorder.ask(put, club.TRACK_LIST, at=above, if_match=seen)
    recorder.ask(put, club.TRACK_LIST, at=absent, if_match="*")


def _refusals(recorder: Recorder, noun: str, *, wrong: Json) -> None:
    response = recorder.ask(f"create{noun}", wrong)
    assert response.status_code == 422, response.text


def _reads(
    recorder: Recorder, noun: str, at: Mapping[str, str], *, listed: bool = True
) -> None:
    last = list(at)[-1]
    recorder.ask(f"get{noun}", at=at)
    recorder.ask(f"get{noun}", at={**at, last: NOBODY})
    if listed:
        recorder.ask(f"list{noun}s")
        recorder.ask(f"list{noun}s", query="limit=500")


def _changes(
    recorder: Recorder, noun: str, at: Mapping[str, str], *, body: Json, patch: Json
) -> None:
    path = BY_ID[f"get{noun}"].path.format(**at)
    seen = recorder.steward.ask("GET", path).headers["etag"]
    replaced = recorder.ask(f"replace{noun}", body, at=at, if_match=seen)
    assert replaced.status_code == 200, replaced.text
    recorder.ask(f"replace{noun}", body, at=at, if_match=seen)
    updated = recorder.ask(
        f"update{noun}", patch, at=at, if_match=replaced.headers["etag"]
    )
    assert updated.status_code == 200, updated.text
    recorder.ask(f"update{noun}", patch, at=at)
    recorder.ask(f"update{noun}", patch, at=at, if_match=seen)
    recorder.ask(f"update{noun}", {"version": 99}, at=at, if_match="*")


def _removal(recorder: Recorder, noun: str, at: Mapping[str, str]) -> None:
    recorder.ask(f"delete{noun}", at=at)
    recorder.ask(f"delete{noun}", at=at, if_match='"v9"')
    tag = recorder.steward.tag(BY_ID[f"get{noun}"].path.format(**at))
    gone = recorder.ask(f"delete{noun}", at=at, if_match=tag)
    assert gone.status_code == 204, gone.text
    recorder.ask(f"delete{noun}", at=at, if_match=tag)


if __name__ == "__main__":
    record(play)
