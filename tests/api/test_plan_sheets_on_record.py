"""The plan on record as a sheet, and a sheet in the plan's place: what it would do is
told first, it goes in whole or not at all, and history takes it back.
"""

import csv
import io
from typing import Any

import pytest

from api.asking import NOBODY, Caller, Service, refusal
from api.ground import Ground
from standage.exchange.plans import templates
from standage.exchange.sheets_out import csv_bytes, xlsx_bytes
from support.workbooks import ods

BOTH = ["layout", "module"]
MEDIA = {
    "csv": "text/csv",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "ods": "application/vnd.oasis.opendocument.spreadsheet",
}
TOLD_OF_A_RECORD = {"version", "updated_at"}
BESIDE: dict[str, Any] = {
    "name": "Malt house",
    "scale": "00",
    "heights": [{"piece": "H", "at_mm": 0, "height_mm": 20}],
}
"""What no sheet of track can hold."""
Rows = list[list[Any]]


@pytest.fixture
def ground(steward: Caller) -> Ground:
    return Ground(steward)


def above(ground: Ground, of: str, **about: Any) -> str:
    """Return the address of a new layout or module."""
    return f"/v1/{of}s/{ground.make(of.title(), **about)['id']}"


def packed(rows: Rows, form: str = "csv") -> bytes:
    if form == "ods":
        return ods(rows)
    return csv_bytes(rows) if form == "csv" else xlsx_bytes(rows, sheet="Track")


def put(
    caller: Caller, address: str, rows: Rows, form: str = "csv", **headers: str
) -> Any:
    """Send rows as the sheet of the plan there."""
    raw = packed(rows, form)
    path = f"{address}/plan/sheet"
    return caller.send("PUT", path, raw, content_type=MEDIA[form], **headers)


def preview(caller: Caller, address: str, rows: Rows, form: str = "csv") -> Any:
    path = f"{address}/plan/sheet-preview"
    return caller.send("POST", path, packed(rows, form), content_type=MEDIA[form])


def laid(ground: Ground, of: str, **about: Any) -> str:
    """Return the address of what has the measured plan, and more than a sheet holds."""
    address = above(ground, of, **about)
    made = put(ground.steward, address, templates.measured())
    assert made.status_code == 201, made.text
    changed = ground.steward.ask("PATCH", f"{address}/plan", BESIDE, if_match="*")
    assert changed.status_code == 200, changed.text
    return address


def exported(caller: Caller, address: str, query: str = "") -> Rows:
    raw = caller.ask("GET", f"{address}/plan/sheet.csv{query}").content
    return list(csv.reader(io.StringIO(raw.decode("utf-8-sig"))))


def with_cell(rows: Rows, piece: str, head: str, value: Any) -> Rows:
    """Return rows with another value in one cell, found by its piece and its head."""
    (column,) = [at for at, title in enumerate(rows[0]) if title.startswith(head)]
    changed = [list(row) for row in rows]
    (row,) = [one for one in changed if one[0] == piece]
    row[column] = value
    return changed


def content(caller: Caller, address: str) -> dict[str, Any]:
    """Return the plan without what every change moves on."""
    plan = caller.read(f"{address}/plan")
    return {name: plan[name] for name in plan if name not in TOLD_OF_A_RECORD}


def headshunt_mm(caller: Caller, address: str) -> float:
    answer = caller.read(f"{address}/plan/check")
    (road,) = [one for one in answer["places"] if one["name"] == "Headshunt"]
    return float(road["usable_length_mm"])


@pytest.mark.parametrize("form", MEDIA)
@pytest.mark.parametrize("of", BOTH)
def test_a_length_changed_in_the_sheet_is_the_roads_until_it_is_undone(
    ground: Ground, of: str, form: str
) -> None:
    steward, address = ground.steward, laid(ground, of)
    before = content(steward, address)
    # the stop's face to the tips: 780 of track and 35 from the joint to the tips
    assert headshunt_mm(steward, address) == 815
    longer = with_cell(exported(steward, address), "H", "Length", 830)
    told = preview(steward, address, longer, form)
    assert told.status_code == 200, told.text
    assert told.json()["changes"]["pieces_changed"] == ["H"]
    assert content(steward, address) == before
    seen = steward.tag(f"{address}/plan")
    sent = put(steward, address, longer, form, if_match=seen)
    assert sent.status_code == 200, sent.text
    assert sent.headers["etag"] == steward.tag(f"{address}/plan")
    assert sent.json() == steward.read(f"{address}/plan")
    assert headshunt_mm(steward, address) == 865
    assert content(steward, address)["heights"] == before["heights"]
    change = steward.read(f"/v1/history?record_id={before['id']}")["items"][0]
    undone = steward.ask("POST", f"/v1/history/{change['id']}/undo")
    assert undone.status_code == 200, undone.text
    assert list(content(steward, address).items()) == list(before.items())


@pytest.mark.parametrize("form", ["csv", "xlsx"])
@pytest.mark.parametrize("of", BOTH)
def test_what_goes_out_and_comes_in_again_changes_nothing(
    ground: Ground, of: str, form: str
) -> None:
    steward, address = ground.steward, laid(ground, of)
    before = content(steward, address)
    out = steward.ask("GET", f"{address}/plan/sheet.{form}")
    assert out.headers["content-type"].startswith(MEDIA[form])
    assert out.headers["etag"] == steward.tag(f"{address}/plan")
    sent = steward.send(
        "PUT",
        f"{address}/plan/sheet",
        out.content,
        content_type=MEDIA[form],
        if_match=out.headers["etag"],
    )
    assert sent.status_code == 200, sent.text
    assert content(steward, address) == before


@pytest.mark.parametrize("of", BOTH)
def test_a_revision_goes_out_as_it_was_saved(ground: Ground, of: str) -> None:
    steward, address = ground.steward, laid(ground, of)
    saved = exported(steward, address)
    steward.made(f"{address}/plan/revisions", {})
    longer = with_cell(saved, "H", "Length", 830)
    assert put(steward, address, longer, if_match="*").status_code == 200
    assert exported(steward, address, "?revision=1") == saved
    assert exported(steward, address) != saved
    missing = steward.ask("GET", f"{address}/plan/sheet.csv?revision=2")
    refusal(missing, 404, "not_found")


@pytest.mark.parametrize("of", BOTH)
def test_a_preview_names_what_comes_and_goes(ground: Ground, of: str) -> None:
    steward, address = ground.steward, laid(ground, of)
    rows = exported(steward, address)
    ends = [at for at, head in enumerate(rows[0]) if head.startswith("End")]
    siding = ["N", "track", *[None] * (len(rows[0]) - 2)]
    siding[rows[0].index("Length (mm)")] = "300"
    siding[ends[0]] = "E.b"
    fewer = [row for row in rows if row[0] != "B3"]
    told = preview(steward, address, with_cell([*fewer, siding], "T", "End 2", ""))
    found = told.json()["changes"]
    assert found["pieces_added"] == ["N"]
    assert found["pieces_left_out"] == ["B3"]
    assert found["pieces_changed"] == []
    assert [set(join) for join in found["joins_added"]] == [{"E.b", "N.a"}]
    assert [set(join) for join in found["joins_left_out"]] == [{"T.b", "B3.a"}]
    assert (told.json()["rows_at_fault"], told.json()["rows"]) == (0, [])


@pytest.mark.parametrize("of", BOTH)
def test_a_preview_shows_the_places_that_it_finds(ground: Ground, of: str) -> None:
    steward, address = ground.steward, laid(ground, of)
    rows = with_cell(exported(steward, address), "H", "Place kind", "siding")
    (siding,) = [row for row in rows if row[0] == "S"]
    siding[rows[0].index("Place")] = "Wharf"
    told = preview(steward, address, rows).json()
    found = {one["name"]: one for one in told["places"]}
    assert found["Wharf"]["pieces"] == ["S"]
    assert found["Wharf"]["row"] == 1 + rows.index(siding)
    assert found["Headshunt"]["kind"] == "siding"
    changes = told["changes"]
    assert changes["places_added"] == ["Wharf"]
    assert changes["places_changed"] == ["Headshunt"]
    assert changes["places_left_out"] == ["Coal siding"]


def test_a_sheet_that_tells_of_no_place_leaves_the_plans_own(ground: Ground) -> None:
    steward, address = ground.steward, laid(ground, "module")
    rows = exported(steward, address)
    kept = [at for at, head in enumerate(rows[0]) if not head.startswith("Place")]
    told = preview(steward, address, [[row[at] for at in kept] for row in rows]).json()
    assert told["places"] == []
    names = ("added", "changed", "left_out")
    assert [told["changes"][f"places_{name}"] for name in names] == [[], [], []]


@pytest.mark.parametrize("of", BOTH)
def test_a_sheet_before_there_is_a_plan_makes_the_first(
    ground: Ground, of: str
) -> None:
    steward, address = ground.steward, above(ground, of)
    told = preview(steward, address, templates.measured()).json()
    assert len(told["changes"]["pieces_added"]) == 10
    refusal(steward.ask("GET", f"{address}/plan"), 404, "not_found")
    refusal(steward.ask("GET", f"{address}/plan/sheet.csv"), 404, "not_found")
    made = put(steward, address, templates.measured())
    assert made.status_code == 201
    assert made.headers["location"] == f"{address}/plan"
    assert made.json()["version"] == 1


@pytest.mark.parametrize("of", BOTH)
def test_nobody_puts_a_sheet_over_a_plan_that_they_have_not_seen(
    ground: Ground, of: str
) -> None:
    steward, address = ground.steward, laid(ground, of)
    before = steward.ask("GET", f"{address}/plan")
    longer = with_cell(exported(steward, address), "H", "Length", 830)
    refusal(put(steward, address, longer), 428, "precondition_required")
    for tag in ('"v1"', '"v999"'):
        refusal(put(steward, address, longer, if_match=tag), 412, "stale")
    assert steward.ask("GET", f"{address}/plan").content == before.content
    gone = steward.ask("DELETE", f"{address}/plan", if_match="*")
    assert gone.status_code == 204
    refusal(put(steward, address, longer, if_match="*"), 412, "stale")
    refusal(steward.ask("GET", f"{address}/plan"), 404, "not_found")


@pytest.mark.parametrize("of", BOTH)
def test_a_sheet_with_faults_is_refused_whole_and_each_is_told_by_row(
    ground: Ground, of: str
) -> None:
    steward, address = ground.steward, laid(ground, of)
    before = steward.ask("GET", f"{address}/plan")
    rows = exported(steward, address)
    rows = with_cell(rows, "H", "Length", "long")
    rows = with_cell(rows, "S", "Kind", "sprung mattress")
    column = rows[0].index("Length (mm)")
    letter = "ABCDEFGH"[column]
    told = preview(steward, address, rows).json()
    assert told["rows_at_fault"] == 2
    (first, second) = [one["row"] for one in told["rows"]]
    assert told["changes"]["pieces_left_out"] == []
    assert told["changes"]["joins_left_out"] == []
    fault = told["rows"][0]["faults"][0]
    assert (fault["letters"], fault["value"]) == (letter, "long")
    refused = refusal(put(steward, address, rows, if_match="*"), 422, "invalid")[
        "faults"
    ]
    assert [one["pointer"] for one in refused] == [f"/{first}/{letter}", f"/{second}/B"]
    message = refused[0]["message"]
    assert message.startswith(f"row {first}, column {letter}")
    assert "'long'" in message
    assert fault["mend"] in message
    assert all(len(one["message"]) <= 200 for one in refused)
    assert steward.ask("GET", f"{address}/plan").content == before.content


def test_a_plan_that_would_be_too_long_is_refused_in_words(ground: Ground) -> None:
    steward, address = ground.steward, above(ground, "layout")
    head: list[Any] = ["Piece", "Kind", "Length"]
    names = [f"{number:05}" + "x" * 70 for number in range(9_900)]
    rows = [head, *[[name, "straight", 123.456789] for name in names]]
    told = refusal(put(steward, address, rows), 422, "invalid")
    assert [one["code"] for one in told["faults"]] == ["too_large"]
    refusal(steward.ask("GET", f"{address}/plan"), 404, "not_found")


def test_a_module_takes_a_sheet_from_its_owner_and_a_layout_from_planners(
    ground: Ground,
) -> None:
    owner = ground.steward.with_member("member", "Owner")
    keeper = ground.steward.with_member("layout_keeper", "Keeper")
    other = ground.steward.with_member("member", "Other")
    module = laid(ground, "module", owner_id=owner.member_id)
    layout = laid(ground, "layout")
    may = {module: [owner, ground.steward], layout: [keeper, ground.steward]}
    for address, allowed in may.items():
        rows = exported(other, address)
        for caller in (owner, keeper, other, ground.steward):
            asked = [
                put(caller, address, rows, if_match="*"),
                preview(caller, address, rows),
            ]
            for answer in asked:
                if caller in allowed:
                    assert answer.status_code == 200, answer.text
                else:
                    refusal(answer, 403, "forbidden")


def test_a_share_link_shows_the_sheet_of_its_layout_and_takes_none(
    ground: Ground,
) -> None:
    layout, other = laid(ground, "layout"), laid(ground, "layout")
    ground.steward.made(f"{layout}/plan/revisions", {})
    visitor = ground.steward.visiting(layout.rpartition("/")[2])
    rows = exported(visitor, layout)
    assert rows == exported(ground.steward, layout)
    refusal(visitor.ask("GET", f"{other}/plan/sheet.csv"), 404, "not_found")
    saved = visitor.ask("GET", f"{layout}/plan/sheet.csv?revision=1")
    refusal(saved, 404, "not_found")
    refusal(put(visitor, layout, rows, if_match="*"), 403, "forbidden")
    refusal(preview(visitor, layout, rows), 403, "forbidden")


@pytest.mark.parametrize("of", BOTH)
def test_another_clubs_sheet_is_as_one_that_never_was(
    service: Service, ground: Ground, of: str
) -> None:
    stranger = service.club("Another club")
    theirs, never = laid(ground, of), f"/v1/{of}s/{NOBODY}"
    rows = templates.measured()
    told = []
    for address in (theirs, never):
        answers = [
            stranger.ask("GET", f"{address}/plan/sheet.csv"),
            stranger.ask("GET", f"{address}/plan/sheet.xlsx"),
            preview(stranger, address, rows),
            put(stranger, address, rows, if_match="*"),
            put(stranger, address, [["Piece"], ["?"]]),
        ]
        told.append([refusal(one, 404, "not_found")["detail"] for one in answers])
    assert told[0] == told[1]


def test_a_sheet_is_put_once_for_its_key(ground: Ground) -> None:
    steward, address = ground.steward, above(ground, "layout")
    answers = [
        put(steward, address, templates.measured(), idempotency_key="laid-once")
        for _ in range(2)
    ]
    assert [one.status_code for one in answers] == [201, 201]
    assert steward.read(f"{address}/plan")["version"] == 1
