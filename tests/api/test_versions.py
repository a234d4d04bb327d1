"""Entity tags: what was read, what it is changed from, and what a reader has already
(RFC 9110, section 13).
"""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from typing import Any

import pytest

from api.asking import NOBODY, Service, faults, refusal
from api.ground import (
    CONDITIONAL,
    CREATIONS,
    GETS,
    OWN_REVISIONS,
    SECRET,
    Ground,
    one_of,
)
from support.walks import at_each

OF_REVISIONS = [f"create{noun}" for noun in OWN_REVISIONS]
"""What is new is called by its number, not by an id."""


@at_each("operation_id", CREATIONS)
def test_what_is_new_has_an_address_and_the_tag_that_a_reader_finds(
    ground: Ground, operation_id: str
) -> None:
    request = ground.request(operation_id)
    made = request.by(ground.steward)
    assert made.status_code == 201
    told = made.json()
    called = told["number"] if operation_id in OF_REVISIONS else told["id"]
    assert made.headers["location"] == f"{request.path}/{called}"
    read = ground.steward.ask("GET", made.headers["location"])
    assert read.headers["etag"] == made.headers["etag"]
    secret = set(SECRET.values())
    assert read.json() == {name: told[name] for name in told.keys() - secret}


@at_each("operation_id", GETS, halved=True)
def test_every_read_has_a_strong_tag_and_may_be_kept_by_its_reader_only(
    ground: Ground, operation_id: str
) -> None:
    response = ground.request(operation_id).by(ground.steward)
    assert response.status_code == 200
    assert response.headers["cache-control"] == "private, no-cache"
    tag = response.headers["etag"]
    assert (tag[0], tag[-1], "W/" in tag) == ('"', '"', False)


@at_each("operation_id", GETS, halved=True)
def test_a_reader_who_has_it_already_is_sent_nothing(
    ground: Ground, operation_id: str
) -> None:
    request = ground.request(operation_id)
    tag = request.by(ground.steward).headers["etag"]
    for held in (tag, f"W/{tag}", f'"other", {tag}', "*"):
        again = ground.steward.ask("GET", request.path, if_none_match=held)
        assert (again.status_code, again.content) == (304, b""), held
        assert (again.headers["etag"], again.headers["cache-control"]) == (
            tag,
            "private, no-cache",
        )
        assert "content-type" not in again.headers
    for held in ('"other"', "nonsense", tag.strip('"'), ""):
        assert (
            ground.steward.ask("GET", request.path, if_none_match=held).status_code
            == 200
        ), held


def test_a_reader_is_sent_what_has_changed(ground: Ground) -> None:
    path = one_of("Vehicle", ground.make("Vehicle"))
    tags = {
        one: ground.steward.ask("GET", one).headers["etag"]
        for one in (path, "/v1/vehicles")
    }
    assert (
        ground.steward.ask("PATCH", path, {"mass_g": 40}, if_match="*").status_code
        == 200
    )
    for one, tag in tags.items():
        response = ground.steward.ask("GET", one, if_none_match=tag)
        assert response.status_code == 200
        assert response.headers["etag"] != tag


def test_the_tag_of_an_answer_changes_with_what_it_rests_on(ground: Ground) -> None:
    vehicle = ground.make("Vehicle", width_mm=34.0)
    path = f"{one_of('Vehicle', vehicle)}/curve?radius_mm=600"
    before = ground.steward.ask("GET", path)
    assert (
        ground.steward.ask(
            "PATCH", one_of("Vehicle", vehicle), {"width_mm": 35.0}, if_match="*"
        ).status_code
        == 200
    )
    after = ground.steward.ask("GET", path, if_none_match=before.headers["etag"])
    assert after.status_code == 200
    assert after.headers["etag"] != before.headers["etag"]


def test_a_change_gives_the_tag_that_the_next_change_needs(ground: Ground) -> None:
    vehicle = ground.make("Vehicle")
    path, tag = (
        one_of("Vehicle", vehicle),
        ground.steward.ask("GET", one_of("Vehicle", vehicle)).headers["etag"],
    )
    for mass_g in (40, 41, 42):
        changed = ground.steward.ask("PATCH", path, {"mass_g": mass_g}, if_match=tag)
        assert changed.status_code == 200
        refusal(
            ground.steward.ask("PATCH", path, {"mass_g": 1}, if_match=tag), 412, "stale"
        )
        tag = changed.headers["etag"]
    assert ground.steward.read(path)["mass_g"] == 42
    assert ground.steward.ask("DELETE", path, if_match=tag).status_code == 204
    refusal(ground.steward.ask("GET", path), 404, "not_found")


@pytest.mark.parametrize(
    "held",
    [
        *(
            '"TAG"',
            '"other", "TAG"',
            '"TAG","other"',
            ' "TAG" ',
            "*",
            'W/"other", "TAG"',
            '"with,comma", "TAG"',
        ),
        *("TAG", " TAG ", "v2, TAG", '"other", TAG', ',"TAG",', ", TAG"),
    ],
)
def test_a_change_goes_through_where_the_present_version_is_named(
    ground: Ground, held: str
) -> None:
    path = one_of("Vehicle", ground.make("Vehicle"))
    named = held.replace("TAG", ground.steward.tag(path).strip('"'))
    assert (
        ground.steward.ask("PATCH", path, {"mass_g": 40}, if_match=named).status_code
        == 200
    )


@pytest.mark.parametrize(
    "held",
    [
        *(
            '"v1"',
            "v1",
            "v2",
            '"v1-0000000000000000"',
            "v1-0000000000000000",
            '""',
            '"*"',
            "0" * 32,
        ),
        *('W/"TAG"', 'W/"TAG", "v2"', '"TAG0"', '"xTAG"'),
    ],
)
def test_a_change_is_refused_where_the_present_version_is_not_named(
    ground: Ground, held: str
) -> None:
    path = one_of("Vehicle", ground.make("Vehicle"))
    named = held.replace("TAG", ground.steward.tag(path).strip('"'))
    refusal(
        ground.steward.ask("PATCH", path, {"mass_g": 40}, if_match=named), 412, "stale"
    )
    assert "mass_g" not in ground.steward.read(path)


@pytest.mark.parametrize(
    "held",
    [
        "",
        " ",
        ",",
        '"v1',
        'v1"',
        "nonsense",
        "'v1'",
        "v1 v1",
        '"a" "v1"',
        "V1",
        "W/v1",
        "1",
        "*, *",
        '"v1";',
        "v",
    ],
)
@pytest.mark.parametrize("method", ["PUT", "PATCH", "DELETE"])
def test_what_is_no_entity_tag_is_said_to_be_none(
    ground: Ground, method: str, held: str
) -> None:
    vehicle = ground.make("Vehicle")
    body = None if method == "DELETE" else {"name": "Ore wagon"}
    for path in (one_of("Vehicle", vehicle), f"/v1/vehicles/{NOBODY}"):
        problem = refusal(
            ground.steward.ask(method, path, body, if_match=held), 400, "malformed"
        )
        assert "If-Match" in problem["detail"]
        assert "changed" not in problem["detail"] + problem["title"]
    assert ground.steward.read(one_of("Vehicle", vehicle)) == vehicle


@at_each("operation_id", CONDITIONAL, halved=True)
def test_who_names_no_version_or_another_is_told_the_present_one(
    ground: Ground, operation_id: str
) -> None:
    request = replace(ground.request(operation_id), headers={})
    nothing = request.by(ground.steward)
    other = request.by(ground.steward, if_match='"x"')
    needed = refusal(nothing, 428, "precondition_required")["detail"]
    stale = refusal(other, 412, "stale")["detail"]
    (tag,) = {detail.rpartition("If-Match: ")[2][:-1] for detail in (needed, stale)}
    assert request.by(ground.steward, if_match=tag).is_success
    unquoted = replace(ground.request(operation_id), headers={})
    said = unquoted.by(ground.steward).json()["detail"]
    held = said.rpartition("If-Match: ")[2].removesuffix(".").strip('"')
    assert unquoted.by(ground.steward, if_match=held).is_success


def test_tags_may_come_in_several_header_lines(ground: Ground) -> None:
    path = one_of("Vehicle", ground.make("Vehicle"))
    token = ("authorization", f"Bearer {ground.steward.token}")
    for tags, status in (
        (['"a"', ground.steward.tag(path), '"b"'], 200),
        (['"a"', '"b"'], 412),
    ):
        lines = [token, *(("if-match", tag) for tag in tags)]
        assert (
            ground.steward.http.request(
                "PATCH", path, json={}, headers=lines
            ).status_code
            == status
        )


def test_what_lies_beneath_leaves_the_tag_of_what_is_above(ground: Ground) -> None:
    layout = ground.make("Layout")
    path = one_of("Layout", layout)
    before = ground.steward.ask("GET", path)
    place = ground.make("Place", layout_id=layout["id"])
    assert (
        ground.steward.ask(
            "PATCH", one_of("Place", place), {"spacing_mm": 50}, if_match="*"
        ).status_code
        == 200
    )
    assert (
        ground.steward.ask("DELETE", one_of("Place", place), if_match="*").status_code
        == 204
    )
    after = ground.steward.ask("GET", path)
    assert (after.content, after.headers["etag"]) == (
        before.content,
        before.headers["etag"],
    )


def test_a_creation_asks_for_no_version(ground: Ground) -> None:
    response = ground.steward.ask(
        "POST", "/v1/vehicles", ground.body("Vehicle"), if_match='"v999"'
    )
    assert response.status_code == 201


def test_of_several_changes_of_one_version_at_once_one_goes_through(
    service: Service, ground: Ground
) -> None:
    path = one_of("Vehicle", ground.make("Vehicle"))
    seen = ground.steward.tag(path)

    def change(mass_g: int) -> int:
        return ground.steward.ask(
            "PATCH", path, {"mass_g": mass_g}, if_match=seen
        ).status_code

    with ThreadPoolExecutor(8) as pool:
        statuses = sorted(pool.map(change, range(1, 9)))
    assert statuses == [200] + [412] * 7


def test_no_change_is_lost_where_everybody_changes_what_they_read(
    ground: Ground,
) -> None:
    path = one_of("Layout", ground.make("Layout", notes="0"))

    def count_up(_: Any) -> int:
        read = ground.steward.ask("GET", path)
        notes = {"notes": str(int(read.json()["notes"]) + 1)}
        return ground.steward.ask(
            "PATCH", path, notes, if_match=read.headers["etag"]
        ).status_code

    with ThreadPoolExecutor(4) as pool:
        statuses = list(pool.map(count_up, range(20)))
    assert set(statuses) <= {200, 412}
    assert int(ground.steward.read(path)["notes"]) == statuses.count(200) > 0


def test_what_a_caller_holds_has_its_bound(ground: Ground) -> None:
    path = one_of("Vehicle", ground.make("Vehicle"))
    tag = ground.steward.tag(path)
    fits, longer = tag.ljust(1000), tag.ljust(1000, ",") + ","
    assert ground.steward.ask("GET", path, if_none_match=fits).status_code == 304
    assert faults(ground.steward.ask("GET", path, if_none_match=longer)) == {
        "If-None-Match": "too_long"
    }
    assert faults(ground.steward.ask("PATCH", path, {}, if_match=longer)) == {
        "If-Match": "too_long"
    }
    assert ground.steward.read(path)["version"] == 1
