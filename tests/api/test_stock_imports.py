"""A spreadsheet of stock over HTTP: sent, looked at, mapped otherwise, imported, sent
again, undone.
"""

from datetime import timedelta

import pytest

from api.asking import Caller, Service, faults, refusal
from api.sheets import CSV, LIST, counted, imported, previewed, rows, vehicles


def test_a_list_is_looked_at_and_nothing_is_recorded_before_it_is_imported(
    steward: Caller,
) -> None:
    preview = previewed(steward, LIST)
    assert counted(preview) == {"create": 2, "fault": 1}
    assert vehicles(steward) == {}
    ore, tank, nameless = rows(steward, preview)
    assert (ore["row"], ore["outcome"], ore["key"]) == (2, "create", "47")
    assert (tank["row"], tank["outcome"]) == (3, "create")
    assert (nameless["row"], nameless["outcome"]) == (4, "fault")
    (fault,) = nameless["faults"]
    assert (fault["code"], fault["column"], fault["letters"], fault["header"]) == (
        "missing",
        1,
        "A",
        "Name",
    )
    assert fault["message"]
    assert fault["mend"]


def test_the_good_rows_are_imported_with_their_units(steward: Caller) -> None:
    preview = previewed(steward, LIST)
    refused = imported(steward, preview)
    assert faults(refused) == {"/rows": "rows_at_fault"}
    assert vehicles(steward) == {}
    done = imported(steward, preview, "good")
    assert done.status_code == 200, done.text
    taken = done.json()["taken"]
    action = taken.pop("action_id")
    assert taken == {
        "rows": "good",
        "created": 2,
        "updated": 0,
        "unchanged": 0,
        "rejected": 1,
    }
    told = steward.read(f"/v1/history?action_id={action}")["items"]
    assert sorted(one["record_name"] for one in told) == ["Harbour tank", "Ore wagon"]
    ore, tank = vehicles(steward)["Ore wagon"], vehicles(steward)["Harbour tank"]
    # 3.5 in of 25.4 mm; 1.5 oz of 28.349523125 g; 57 ft of 304.8 mm at 1:76.2.
    assert (ore["length_mm"], ore["length_over"], ore["minimum_radius_mm"]) == (
        88.9,
        "buffers",
        438.0,
    )
    assert ore["mass_g"] == pytest.approx(42.524, abs=0.001)
    assert (tank["kind"], tank["length_mm"]) == ("engine", 228.0)
    assert ore["owner_id"] == steward.member_id


def test_the_same_file_again_changes_nothing(steward: Caller) -> None:
    imported(steward, previewed(steward, LIST), "good")
    before = vehicles(steward)
    again = previewed(steward, LIST)
    assert counted(again) == {"unchanged": 2, "fault": 1}
    assert imported(steward, again, "good").json()["taken"]["unchanged"] == 2
    assert vehicles(steward) == before


def test_a_changed_row_changes_its_vehicle_and_nothing_else_of_it(
    steward: Caller,
) -> None:
    imported(steward, previewed(steward, LIST), "good")
    ore = vehicles(steward)["Ore wagon"]
    path = f"/v1/vehicles/{ore['id']}"
    assert (
        steward.ask("PATCH", path, {"notes": "Loose wheel."}, if_match="*").status_code
        == 200
    )
    preview = previewed(steward, "Number,Name,Length (mm)\n47,Ore wagon,90\n")
    assert counted(preview) == {"update": 1}
    (row,) = rows(steward, preview)
    assert row["vehicle_id"] == ore["id"]
    assert row["changes"] == [{"field": "length_mm", "before": "88.9", "after": "90"}]
    assert imported(steward, preview).status_code == 200
    after = vehicles(steward)["Ore wagon"]
    assert (after["id"], after["length_mm"], after["notes"]) == (
        ore["id"],
        90.0,
        "Loose wheel.",
    )


def test_an_empty_cell_takes_nothing_away(steward: Caller) -> None:
    imported(steward, previewed(steward, LIST), "good")
    assert counted(previewed(steward, "Number,Name,Weight (g)\n47,Ore wagon,\n")) == {
        "unchanged": 1
    }


def test_an_import_is_undone_as_one_action(steward: Caller) -> None:
    old = steward.made(
        "/v1/vehicles", {"name": "Old van", "number": "9", "kind": "wagon"}
    )
    preview = previewed(steward, LIST + "Old van,9,wagon,00,70,,\n")
    assert imported(steward, preview, "good").json()["taken"]["updated"] == 1
    before = {one["id"] for one in steward.read("/v1/history")["items"]}
    undone = steward.ask("POST", f"/v1/stock-imports/{preview['id']}/undo")
    assert (undone.status_code, undone.json()["state"]) == (200, "undone")
    left = vehicles(steward)
    apart = {"version", "updated_at"}
    assert set(left) == {"Old van"}
    told = [
        one for one in steward.read("/v1/history")["items"] if one["id"] not in before
    ]
    assert len({one["action_id"] for one in told}) == 1
    assert {one["undoes"] for one in told} < before
    assert {k: v for k, v in left["Old van"].items() if k not in apart} == {
        k: v for k, v in old.items() if k not in apart
    }
    refusal(
        steward.ask("POST", f"/v1/stock-imports/{preview['id']}/undo"),
        409,
        "out_of_turn",
    )


def test_an_import_that_history_took_back_is_undone_as_well(steward: Caller) -> None:
    preview = previewed(steward, LIST)
    action = imported(steward, preview, "good").json()["taken"]["action_id"]
    other = previewed(steward, "Name\nOld van\n")
    assert imported(steward, other).status_code == 200
    path = f"/v1/stock-imports/{preview['id']}"
    assert steward.ask("POST", f"/v1/actions/{action}/undo").status_code == 200
    assert set(vehicles(steward)) == {"Old van"}
    assert steward.read(path)["state"] == "undone"
    assert steward.read(path)["version"] == 3
    assert steward.read(f"/v1/stock-imports/{other['id']}")["state"] == "committed"
    assert (
        "undone already"
        in refusal(steward.ask("POST", f"{path}/undo"), 409, "out_of_turn")["detail"]
    )


def test_an_import_of_which_one_row_was_taken_back_stays_carried_out(
    steward: Caller,
) -> None:
    preview = previewed(steward, LIST)
    action = imported(steward, preview, "good").json()["taken"]["action_id"]
    one = steward.read(f"/v1/history?action_id={action}")["items"][0]
    assert steward.ask("POST", f"/v1/history/{one['id']}/undo").status_code == 200
    assert steward.read(f"/v1/stock-imports/{preview['id']}")["state"] == "committed"


def test_an_import_is_not_undone_over_a_later_change_nor_under_a_train(
    steward: Caller,
) -> None:
    preview = previewed(steward, LIST)
    imported(steward, preview, "good")
    ore, tank = vehicles(steward)["Ore wagon"], vehicles(steward)["Harbour tank"]
    steward.made("/v1/trains", {"name": "Ore", "vehicles": [{"vehicle_id": ore["id"]}]})
    undo = f"/v1/stock-imports/{preview['id']}/undo"
    refusal(steward.ask("POST", undo), 409, "in_use")
    steward.ask("PATCH", f"/v1/vehicles/{tank['id']}", {"notes": "x"}, if_match="*")
    assert (
        "Harbour tank" in refusal(steward.ask("POST", undo), 409, "outdated")["detail"]
    )
    assert set(vehicles(steward)) == {"Ore wagon", "Harbour tank"}


def test_rejected_rows_come_back_with_a_column_that_says_why_and_can_be_sent_again(
    steward: Caller,
) -> None:
    preview = previewed(steward, LIST)
    response = steward.ask("GET", f"/v1/stock-imports/{preview['id']}/rejected-rows")
    assert response.status_code == 200
    assert response.headers["content-type"] == f"{CSV}; charset=utf-8"
    heading, row = response.content.decode("utf-8-sig").splitlines()
    assert (
        heading
        == "Name,Number,Type,Scale,Length over buffers,Weight (oz),Min. radius,Why it"
        " was not taken"
    )
    assert row.startswith(",13,wagon,00,80,,,")
    assert "Name: " in row
    mended = response.content.replace(b",13,wagon", b"Tar wagon,13,wagon")
    assert counted(previewed(steward, mended)) == {"create": 1}


def test_a_mapping_can_be_put_otherwise(steward: Caller) -> None:
    text = "A;B;C\nCoal wagon;3,5;x\nTar wagon;4,25;y\n"
    preview = previewed(steward, text)
    assert counted(preview) == {"fault": 2}
    assert preview["assumed"][0]["field"] == "columns"
    mapping = {
        "header_row": 1,
        "decimal": "comma",
        "scale": "00",
        "columns": [
            {"column": 1, "field": "name"},
            {"column": 2, "field": "length_over_couplings_mm", "unit": "in"},
        ],
    }
    path = f"/v1/stock-imports/{preview['id']}/mapping"
    refusal(steward.ask("PUT", path, mapping), 428, "precondition_required")
    refusal(steward.ask("PUT", path, mapping, if_match='"v9"'), 412, "stale")
    seen = steward.tag(path.removesuffix("/mapping"))
    put = steward.ask("PUT", path, mapping, if_match=seen)
    assert (put.status_code, put.headers["etag"][:4]) == (200, '"v2-'), put.text
    refusal(steward.ask("PUT", path, mapping, if_match=seen), 412, "stale")
    assert counted(put.json()) == {"create": 2}
    assert imported(steward, preview).status_code == 200
    tar = vehicles(steward)["Tar wagon"]
    assert (tar["length_mm"], tar["length_over"], tar["scale"]) == (
        107.95,
        "couplings",
        "00",
    )
    refusal(
        steward.ask(
            "PUT", path, mapping, if_match=steward.tag(path.removesuffix("/mapping"))
        ),
        409,
        "out_of_turn",
    )


def test_a_mapping_that_is_not_of_this_sheet_is_refused_with_every_fault(
    steward: Caller,
) -> None:
    preview = previewed(steward, "Name,Weight\nVan,30\n")
    path = f"/v1/stock-imports/{preview['id']}/mapping"
    wrong = {
        "columns": [
            {"column": 1, "field": "name"},
            {"column": 1, "field": "mass_g"},
            {"column": 2, "field": "name", "unit": "kg"},
        ]
    }
    assert faults(steward.ask("PUT", path, wrong, if_match="*")) == {
        "/columns/2/unit": "not_a_choice",
        "/columns/1/column": "repeated",
        "/columns/2/field": "repeated",
    }
    beyond = {"header_row": 9, "columns": [{"column": 3, "field": "name"}]}
    assert faults(steward.ask("PUT", path, beyond, if_match="*")) == {
        "/columns/0/column": "too_large",
        "/header_row": "too_large",
    }


def test_two_rows_that_mean_one_vehicle_are_both_held_back(steward: Caller) -> None:
    preview = previewed(
        steward, "Name,No.\nOre wagon,47\nTar wagon,47\nSalt wagon,48\n"
    )
    assert counted(preview) == {"create": 1, "fault": 2}
    first, second, _ = rows(steward, preview)
    assert [fault["code"] for fault in first["faults"]] == ["twice_in_the_file"]
    assert "row 2" in second["faults"][0]["message"]


def test_a_likely_slip_is_flagged_and_stops_nothing(steward: Caller) -> None:
    preview = previewed(
        steward, "Name,Kind,Scale,Length over buffers (mm)\nOre wagon,wagon,00,9.5\n"
    )
    (row,) = rows(steward, preview)
    assert row["outcome"] == "create"
    assert [note["code"] for note in row["notes"]] == ["unit"]


def test_what_has_changed_since_the_preview_is_looked_at_anew(steward: Caller) -> None:
    preview = previewed(steward, LIST)
    steward.made("/v1/vehicles", {"name": "Another", "number": "12"})
    refusal(imported(steward, preview, "good"), 409, "outdated")
    path = f"/v1/stock-imports/{preview['id']}"
    put = steward.ask(
        "PUT", f"{path}/mapping", preview["mapping"], if_match=steward.tag(path)
    )
    assert put.status_code == 200, put.text
    assert imported(steward, preview, "good").status_code == 200


def test_importing_twice_does_it_once(steward: Caller) -> None:
    preview = previewed(steward, LIST)
    first = imported(steward, preview, "good")
    assert imported(steward, preview, "good").json() == first.json()
    refusal(imported(steward, preview, "all"), 409, "out_of_turn")
    assert len(vehicles(steward)) == 2


def test_a_preview_is_kept_for_a_day(service: Service, steward: Caller) -> None:
    preview = previewed(steward, LIST)
    service.clock.move(timedelta(hours=24))
    refusal(steward.ask("GET", f"/v1/stock-imports/{preview['id']}"), 404, "not_found")
    refusal(imported(steward, preview, "good"), 404, "not_found")


def test_a_member_imports_their_own_and_touches_nobody_elses(steward: Caller) -> None:
    theirs = steward.made("/v1/vehicles", {"name": "Ore wagon", "number": "47"})
    member = steward.with_member("member")
    text = (
        f"Record id,Name,Number,Owner\n{theirs['id']},Ore wagon,47,\n,Tar wagon,5,Robin"
        " Vale\n,Salt wagon,47,\n"
    )
    preview = previewed(member, text)
    assert counted(preview) == {"create": 1, "fault": 2}
    assert [
        [fault["code"] for fault in row.get("faults", ())]
        for row in rows(member, preview)
    ] == [
        ["not_yours"],
        ["not_yours"],
        [],
    ]
    other = steward.with_member("member", "Hazel Marsh")
    refusal(other.ask("GET", f"/v1/stock-imports/{preview['id']}"), 403, "forbidden")
    assert (
        steward.read(f"/v1/stock-imports/{preview['id']}")["member_id"]
        == member.member_id
    )
    assert imported(member, preview, "good").status_code == 200
    assert vehicles(steward)["Salt wagon"]["owner_id"] == member.member_id


def test_rows_come_in_pages_that_follow_each_other(steward: Caller) -> None:
    preview = previewed(
        steward, "Name\n" + "".join(f"Wagon {number}\n" for number in range(7))
    )
    path = f"/v1/stock-imports/{preview['id']}/rows"
    seen, address = [], f"{path}?limit=3"
    while address:
        response = steward.ask("GET", address)
        page = response.json()
        assert ("link" in response.headers) == ("next" in page)
        seen += [row["row"] for row in page["items"]]
        address = page.get("next", "")
    assert seen == list(range(2, 9))
    assert steward.read(f"{path}?outcome=fault")["items"] == []
    assert faults(steward.ask("GET", f"{path}?cursor=x")) == {"cursor": "bad_cursor"}


def test_imports_are_listed_the_newest_first_with_what_became_of_them(
    service: Service, steward: Caller
) -> None:
    assert steward.read("/v1/stock-imports")["items"] == []
    first, second, third = (
        previewed(steward, f"Name\nVan {number}\n") for number in range(3)
    )
    taken = imported(steward, second).json()
    listed = steward.read("/v1/stock-imports")["items"]
    assert listed == [third, taken, first]
    assert [
        one["id"] for one in steward.read("/v1/stock-imports?state=committed")["items"]
    ] == [second["id"]]
    service.clock.move(timedelta(hours=24))
    assert [one["id"] for one in steward.read("/v1/stock-imports")["items"]] == [
        second["id"]
    ]


def test_imports_come_in_pages_that_follow_each_other(steward: Caller) -> None:
    sent = [previewed(steward, f"Name\nVan {number}\n")["id"] for number in range(5)]
    seen, address = [], "/v1/stock-imports?limit=2"
    while address:
        response = steward.ask("GET", address)
        page = response.json()
        assert response.headers.get("link", "") == (
            f'<{page["next"]}>; rel="next"' if "next" in page else ""
        )
        seen += [one["id"] for one in page["items"]]
        address = page.get("next", "")
    assert seen == sent[::-1]
    cursor = steward.read("/v1/stock-imports?limit=2")["next_cursor"]
    other_list = steward.ask("GET", f"/v1/stock-imports?state=preview&cursor={cursor}")
    assert faults(other_list) == {"cursor": "bad_cursor"}


def test_a_member_is_listed_their_own_imports_and_a_steward_everybodys(
    steward: Caller,
) -> None:
    member = steward.with_member("member")
    theirs, mine = (
        previewed(member, "Name\nVan\n"),
        previewed(steward, "Name\nTar wagon\n"),
    )
    assert [one["id"] for one in member.read("/v1/stock-imports")["items"]] == [
        theirs["id"]
    ]
    assert [one["id"] for one in steward.read("/v1/stock-imports")["items"]] == [
        mine["id"],
        theirs["id"],
    ]
