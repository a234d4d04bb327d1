"""The plan of a layout and that of a module: a draft that nobody overwrites unseen, and
revisions that nobody changes.
"""

from threading import Barrier, Thread
from typing import Any

import pytest

from api.asking import NOBODY, Caller, Service, faults, refusal
from api.ground import Ground

STRAIGHT: dict[str, Any] = {"kind": "straight", "length_mm": 400}
PLAN: dict[str, Any] = {
    "name": "Malt house",
    "scale": "00",
    "pieces": {"W": STRAIGHT, "M": STRAIGHT | {"length_mm": 900}},
    "joins": [["W.b", "M.a"]],
}
BOTH = ["layout", "module"]


@pytest.fixture
def ground(steward: Caller) -> Ground:
    return Ground(steward)


def above(ground: Ground, of: str, **about: Any) -> str:
    """Return the address of a new layout or module."""
    made = ground.make(of.title(), **about)
    return f"/v1/{of}s/{made['id']}"


def sent(caller: Caller, address: str, plan: Any = PLAN, **headers: str) -> Any:
    return caller.ask("PUT", f"{address}/plan", plan, **headers)


@pytest.mark.parametrize("of", BOTH)
def test_the_first_that_is_sent_makes_the_draft_and_is_read_back(
    ground: Ground, of: str
) -> None:
    address = above(ground, of)
    made = sent(ground.steward, address)
    assert made.status_code == 201
    assert made.headers["location"] == f"{address}/plan"
    read = ground.steward.ask("GET", f"{address}/plan")
    assert read.headers["etag"] == made.headers["etag"]
    assert read.json() == made.json()
    assert PLAN.items() <= read.json().items()
    assert read.json()["version"] == 1
    assert read.json()[f"{of}_id"] == address.rpartition("/")[2]


@pytest.mark.parametrize("of", BOTH)
def test_where_there_is_none_yet_it_says_so(ground: Ground, of: str) -> None:
    address = above(ground, of)
    missing = ground.steward.ask("GET", f"{address}/plan")
    refusal(missing, 404, "not_found")
    assert "PUT" in missing.json()["detail"]
    for method, body in (("PATCH", {"name": "Mill"}), ("DELETE", None)):
        tried = ground.steward.ask(method, f"{address}/plan", body, if_match="*")
        refusal(tried, 404, "not_found")
    saved = ground.steward.ask("POST", f"{address}/plan/revisions", {"remark": "x"})
    refusal(saved, 404, "not_found")


@pytest.mark.parametrize("of", BOTH)
def test_nobody_overwrites_a_draft_that_they_have_not_seen(
    ground: Ground, of: str
) -> None:
    address = above(ground, of)
    first = sent(ground.steward, address).headers["etag"]
    refusal(sent(ground.steward, address), 428, "precondition_required")
    second = sent(ground.steward, address, PLAN | {"name": "Mill"}, if_match=first)
    assert second.status_code == 200
    refusal(sent(ground.steward, address, if_match=first), 412, "stale")
    assert ground.steward.read(f"{address}/plan")["name"] == "Mill"


def test_whoever_saw_a_draft_that_is_gone_is_told_so(ground: Ground) -> None:
    address = above(ground, "layout")
    seen = sent(ground.steward, address).headers["etag"]
    gone = ground.steward.ask("DELETE", f"{address}/plan", if_match=seen)
    assert gone.status_code == 204
    for tag in (seen, "*"):
        refusal(sent(ground.steward, address, if_match=tag), 412, "stale")
    refusal(ground.steward.ask("GET", f"{address}/plan"), 404, "not_found")
    assert sent(ground.steward, address).status_code == 201


@pytest.mark.parametrize("of", BOTH)
def test_a_merge_patch_changes_one_piece_and_takes_another_away(
    ground: Ground, of: str
) -> None:
    address = above(ground, of)
    tag = sent(ground.steward, address).headers["etag"]
    patch = {"pieces": {"W": {"length_mm": 410}, "M": None}, "joins": None}
    changed = ground.steward.ask("PATCH", f"{address}/plan", patch, if_match=tag)
    assert changed.status_code == 200, changed.text
    plan = ground.steward.read(f"{address}/plan")
    assert plan["pieces"] == {"W": STRAIGHT | {"length_mm": 410}}
    assert "joins" not in plan


def test_a_plan_with_faults_is_kept_and_what_is_no_plan_is_not(
    ground: Ground,
) -> None:
    address = above(ground, "layout")
    faulty = PLAN | {"joins": [["W.b", "nowhere.a"], ["W.b", "M.a"]]}
    assert sent(ground.steward, address, faulty).status_code == 201
    other = above(ground, "layout")
    no_plan = PLAN | {"pieces": {"W": {"kind": "strait"}}, "gauge_mm": -4}
    found = faults(sent(ground.steward, other, no_plan))
    assert set(found) == {"/pieces/W/kind", "/gauge_mm"}
    refusal(ground.steward.ask("GET", f"{other}/plan"), 404, "not_found")


def test_a_module_has_no_modules_in_it(ground: Ground) -> None:
    plan = PLAN | {"modules": {"west": {"module_id": NOBODY}}}
    found = faults(sent(ground.steward, above(ground, "module"), plan))
    assert found == {"/modules": "unknown_field"}


def test_a_plan_may_be_a_megabyte_long_and_no_more(ground: Ground) -> None:
    address = above(ground, "layout")
    pieces = {f"{number:05}" + "x" * 60: STRAIGHT for number in range(9_000)}
    assert sent(ground.steward, address, {"pieces": pieces}).status_code == 201
    obstacle = {"kind": "wall", "outline": [[0.123456789, 1.123456789]] * 200}
    many = {"pieces": pieces, "obstacles": [obstacle] * 150}
    refusal(sent(ground.steward, address, many, if_match="*"), 413, "too_large")


@pytest.mark.parametrize("of", BOTH)
def test_revisions_are_numbered_listed_and_stay_as_they_are(
    ground: Ground, of: str
) -> None:
    address = above(ground, of)
    steward = ground.steward
    tag = sent(steward, address).headers["etag"]
    path = f"{address}/plan/revisions"
    first = steward.ask("POST", path, {"remark": "as laid"})
    assert first.status_code == 201
    assert first.headers["location"] == f"{path}/1"
    assert steward.tag(f"{address}/plan") == tag
    sent(steward, address, PLAN | {"pieces": {"W": STRAIGHT}}, if_match=tag)
    steward.made(path, {})
    listed = steward.read(path)["items"]
    assert [(one["number"], one["remark"], one["piece_count"]) for one in listed] == [
        (2, "", 1),
        (1, "as laid", 2),
    ]
    assert {one["member_id"] for one in listed} == {steward.member_id}
    assert {one["member_name"] for one in listed} == {"Robin Vale"}
    read = steward.ask("GET", f"{path}/1")
    assert PLAN.items() <= read.json()["plan"].items()
    assert listed[1] == {key: read.json()[key] for key in read.json().keys() - {"plan"}}
    assert read.headers["etag"] == first.headers["etag"]
    assert read.headers["etag"].startswith('"')
    assert "private" in read.headers["cache-control"]
    assert read.headers["cache-control"] == "private, no-cache"
    again = steward.ask("GET", f"{path}/1", if_none_match=read.headers["etag"])
    assert again.status_code == 304


def test_pages_of_revisions_join_up(ground: Ground) -> None:
    address = above(ground, "layout")
    sent(ground.steward, address)
    path = f"{address}/plan/revisions"
    for number in range(5):
        ground.steward.made(path, {"remark": str(number)})
    found, page = [], f"{path}?limit=2&sort=number"
    while page:
        answer = ground.steward.read(page)
        found += [one["number"] for one in answer["items"]]
        page = answer.get("next", "")
    assert found == [1, 2, 3, 4, 5]


@pytest.mark.parametrize("number", ["0", "2", "x", "1.0", "9" * 30, "-1"])
def test_a_revision_that_is_not_there_is_not_found(ground: Ground, number: str) -> None:
    address = above(ground, "layout")
    sent(ground.steward, address)
    path = f"{address}/plan/revisions"
    ground.steward.made(path, {})
    refusal(ground.steward.ask("GET", f"{path}/{number}"), 404, "not_found")


def test_a_revision_is_saved_once_for_its_key(ground: Ground) -> None:
    address = above(ground, "layout")
    sent(ground.steward, address)
    path = f"{address}/plan/revisions"
    answers = [
        ground.steward.ask("POST", path, {"remark": "x"}, idempotency_key="saved-once")
        for _ in range(2)
    ]
    assert [one.json()["number"] for one in answers] == [1, 1]
    assert len(ground.steward.read(path)["items"]) == 1


def test_a_revision_cannot_be_changed_or_deleted(ground: Ground) -> None:
    address = above(ground, "layout")
    sent(ground.steward, address)
    path = f"{address}/plan/revisions"
    ground.steward.made(path, {})
    for method in ("PUT", "PATCH", "DELETE"):
        tried = ground.steward.ask(method, f"{path}/1", PLAN, if_match="*")
        assert tried.status_code == 405


def test_a_layouts_plan_is_its_planners_to_change(ground: Ground) -> None:
    address = above(ground, "layout")
    keeper, member = (
        ground.steward.with_member(role, role) for role in ("layout_keeper", "member")
    )
    refusal(sent(member, address), 403, "forbidden")
    assert sent(keeper, address).status_code == 201
    for method, path, body in _writes(address):
        refusal(member.ask(method, path, body, if_match="*"), 403, "forbidden")
    assert member.read(f"{address}/plan")["name"] == PLAN["name"]
    keeper.made(f"{address}/plan/revisions", {})
    assert member.read(f"{address}/plan/revisions/1")["number"] == 1


def _writes(address: str) -> list[tuple[str, str, Any]]:
    return [
        ("PUT", f"{address}/plan", PLAN),
        ("PATCH", f"{address}/plan", {"name": "Mill"}),
        ("DELETE", f"{address}/plan", None),
        ("POST", f"{address}/plan/revisions", {}),
    ]


def test_a_modules_plan_is_its_owners_to_change_and_nobody_elses(
    ground: Ground,
) -> None:
    owner = ground.steward.with_member("member", "Owner")
    others = [
        ground.steward.with_member(role, role) for role in ("layout_keeper", "member")
    ]
    address = above(ground, "module", owner_id=owner.member_id)
    for other in others:
        refusal(sent(other, address), 403, "forbidden")
    assert sent(owner, address).status_code == 201
    for method, path, body in _writes(address):
        for other in others:
            refusal(other.ask(method, path, body, if_match="*"), 403, "forbidden")
    owner.made(f"{address}/plan/revisions", {"remark": "mine"})
    assert sent(owner, address, if_match="*").status_code == 200
    assert sent(ground.steward, address, if_match="*").status_code == 200
    gone = owner.ask("DELETE", f"{address}/plan", if_match="*")
    assert gone.status_code == 204


def test_a_modules_plan_follows_it_to_its_next_owner(ground: Ground) -> None:
    old, new = (ground.steward.with_member("member", one) for one in ("Old", "New"))
    address = above(ground, "module", owner_id=old.member_id)
    sent(old, address)
    given = ground.steward.ask(
        "PATCH", address, {"owner_id": new.member_id}, if_match="*"
    )
    assert given.status_code == 200
    refusal(sent(old, address, if_match="*"), 403, "forbidden")
    assert sent(new, address, if_match="*").status_code == 200


def test_another_clubs_plan_is_as_one_that_never_was(
    service: Service, ground: Ground
) -> None:
    stranger = service.club("Another club")
    for of in BOTH:
        theirs, never = above(ground, of), f"/v1/{of}s/{NOBODY}"
        sent(ground.steward, theirs)
        ground.steward.made(f"{theirs}/plan/revisions", {})
        asked = [*_writes(""), ("GET", "/plan", None)]
        asked += [("GET", "/plan/revisions", None), ("GET", "/plan/revisions/1", None)]
        for method, path, body in asked:
            one, other = (
                stranger.ask(method, at + path, body, if_match="*")
                for at in (theirs, never)
            )
            assert one.status_code == other.status_code == 404
            assert one.json()["detail"] == other.json()["detail"]


def test_a_module_that_a_plan_names_is_in_use(ground: Ground) -> None:
    module, layout = above(ground, "module"), above(ground, "layout")
    module_id = module.rpartition("/")[2]
    named = PLAN | {"modules": {"west": {"module_id": module_id}}}
    assert sent(ground.steward, layout, named).status_code == 201
    refusal(ground.steward.ask("DELETE", module, if_match="*"), 409, "in_use")
    assert sent(ground.steward, layout, if_match="*").status_code == 200
    gone = ground.steward.ask("DELETE", module, if_match="*")
    assert gone.status_code == 204


def test_a_module_is_named_by_its_id_or_its_name_and_must_be_there(
    ground: Ground,
) -> None:
    layout = above(ground, "layout")
    ground.make("Module", name="Staithe")
    named = PLAN | {"modules": {"west": {"module_id": "staithe"}}}
    made = sent(ground.steward, layout, named)
    assert made.status_code == 201, made.text
    assert made.json()["modules"]["west"]["module_id"] != "staithe"
    absent = PLAN | {"modules": {"west": {"module_id": NOBODY}}}
    found = faults(sent(ground.steward, layout, absent, if_match="*"))
    assert found == {"/modules/west/module_id": "no_such_module"}


@pytest.mark.parametrize("of", BOTH)
def test_a_plan_goes_and_comes_back_with_what_it_lies_beneath(
    ground: Ground, of: str
) -> None:
    address = above(ground, of)
    sent(ground.steward, address)
    ground.steward.made(f"{address}/plan/revisions", {"remark": "kept"})
    gone = ground.steward.ask("DELETE", address, if_match="*")
    assert gone.status_code == 204, gone.text
    refusal(ground.steward.ask("GET", f"{address}/plan"), 404, "not_found")
    record_id = address.rpartition("/")[2]
    back = ground.steward.ask("POST", f"/v1/deleted-records/{record_id}/restore")
    assert back.status_code == 200, back.text
    assert ground.steward.read(f"{address}/plan")["name"] == PLAN["name"]
    assert ground.steward.read(f"{address}/plan/revisions/1")["remark"] == "kept"


def test_an_owner_brings_back_a_plan_of_theirs_and_undoes_its_changes(
    ground: Ground,
) -> None:
    owner = ground.steward.with_member("member", "Owner")
    other = ground.steward.with_member("member", "Other")
    address = above(ground, "module", owner_id=owner.member_id)
    plan_id = sent(owner, address).json()["id"]
    sent(owner, address, PLAN | {"name": "Mill"}, if_match="*")
    change = owner.read(f"/v1/history?record_id={plan_id}")["items"][0]
    assert change["record_name"] == "Mill"
    undo = f"/v1/history/{change['id']}/undo"
    refusal(other.ask("POST", undo), 403, "forbidden")
    undone = owner.ask("POST", undo)
    assert undone.status_code == 200, undone.text
    assert owner.read(f"{address}/plan")["name"] == PLAN["name"]
    assert owner.ask("DELETE", f"{address}/plan", if_match="*").status_code == 204
    restore = f"/v1/deleted-records/{plan_id}/restore"
    refusal(other.ask("POST", restore), 403, "forbidden")
    assert owner.ask("POST", restore).status_code == 200
    assert owner.read(f"{address}/plan")["version"] == 5


def test_a_plan_without_a_name_is_spoken_of_all_the_same(ground: Ground) -> None:
    address = above(ground, "layout")
    made = sent(ground.steward, address, {"pieces": {}})
    assert "name" not in made.json()
    plan_id = made.json()["id"]
    told = ground.steward.read(f"/v1/history?record_id={plan_id}")["items"][0]
    assert told["record_name"] == "without a name"
    ground.steward.ask("DELETE", f"{address}/plan", if_match="*")
    gone = ground.steward.read(f"/v1/deleted-records/{plan_id}")
    assert (gone["kind"], gone["name"]) == ("layout-plans", "without a name")


def test_a_change_that_came_too_late_is_listed_for_whoever_sorts_it_out(
    ground: Ground,
) -> None:
    address = above(ground, "layout")
    tag = sent(ground.steward, address).headers["etag"]
    sent(ground.steward, address, PLAN | {"name": "Mill"}, if_match=tag)
    refusal(sent(ground.steward, address, if_match=tag), 412, "stale")
    (refused,) = ground.steward.read("/v1/refused-changes")["items"]
    assert (refused["kind"], refused["record_name"]) == ("layout-plans", "Mill")


def test_a_share_link_shows_the_plan_of_its_layout_and_no_revisions(
    ground: Ground,
) -> None:
    layout, module = above(ground, "layout"), above(ground, "module")
    other = above(ground, "layout")
    for address in (layout, module, other):
        sent(ground.steward, address)
        ground.steward.made(f"{address}/plan/revisions", {})
    visitor = ground.steward.visiting(layout.rpartition("/")[2])
    assert visitor.read(f"{layout}/plan")["name"] == PLAN["name"]
    refusal(visitor.ask("GET", f"{other}/plan"), 404, "not_found")
    refusal(visitor.ask("GET", f"{module}/plan"), 403, "forbidden")
    for path in ("/plan/revisions", "/plan/revisions/1"):
        refusal(visitor.ask("GET", layout + path), 403, "forbidden")
    for method, path, body in _writes(layout):
        refusal(visitor.ask(method, path, body, if_match="*"), 403, "forbidden")


def test_of_many_who_send_the_first_at_once_one_makes_it(ground: Ground) -> None:
    address = above(ground, "layout")
    start, found = Barrier(6), []

    def send(number: int) -> None:
        start.wait()
        found.append(sent(ground.steward, address, PLAN | {"name": f"Of {number}"}))

    threads = [Thread(target=send, args=(number,)) for number in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(one.status_code for one in found) == [201] + [428] * 5
    [made] = [one.json()["name"] for one in found if one.status_code == 201]
    assert ground.steward.read(f"{address}/plan")["name"] == made


@pytest.mark.parametrize("time", range(4))
def test_a_module_may_be_deleted_while_its_plan_is_being_changed(
    ground: Ground, time: int
) -> None:
    owner = ground.steward.with_member("member", f"Owner {time}")
    address = above(ground, "module", owner_id=owner.member_id)
    sent(owner, address)
    start, found = Barrier(2), []

    def ask(method: str, path: str, body: Any) -> None:
        start.wait()
        found.append(owner.ask(method, path, body, if_match="*").status_code)

    asked = [("PUT", f"{address}/plan", PLAN), ("DELETE", address, None)]
    threads = [Thread(target=ask, args=one) for one in asked]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(found) in ([200, 204], [204, 404])
    refusal(owner.ask("GET", f"{address}/plan"), 404, "not_found")
