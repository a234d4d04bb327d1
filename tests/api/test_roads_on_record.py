"""Roads of plans on record: named in a question, and pinned by places on record, whose
figures then follow the plan.
"""

from typing import Any

import pytest

from api.asking import NOBODY, Caller, Service, faults
from api.ground import Ground
from api.test_plans_on_record import above, sent
from standage.questions.derived import DERIVED
from standage.questions.resolving import plan_roads
from standage.railway.track.plans.plan import Plan
from standage.railway.track.survey.survey import Survey, survey

Body = dict[str, Any]

VANS = {
    "name": "Van",
    "kind": "wagon",
    "length_mm": 100.0,
    "length_over": "couplings",
    "length_plus_minus_mm": 0.0,
}
SIDING: Body = {
    "scale": "00",
    "fouling_spacing_mm": 45,
    "plus_minus": {"mm": 0, "mm_per_m": 2},
    "pieces": {
        "P": {
            "kind": "points",
            "toe_mm": 30,
            "through_mm": 180,
            "branch_mm": 190,
            "fouling_through_mm": 150,
            "fouling_branch_mm": 160,
        },
        "S": {"kind": "track", "length_mm": 970, "minimum_radius_mm": 500},
        "B": {"kind": "buffer_stop"},
    },
    "joins": [["P.branch", "S.a"], ["S.b", "B.a"]],
}
"""A siding of 1,000 mm by tape, 190 of its points and 970 of its own less 160."""


@pytest.fixture
def ground(steward: Caller) -> Ground:
    DERIVED.forget_all()
    return Ground(steward)


def id_in(address: str) -> str:
    return address.rpartition("/")[2]


def with_track(plan: Body, length_mm: float) -> Body:
    pieces = plan["pieces"] | {"S": plan["pieces"]["S"] | {"length_mm": length_mm}}
    return plan | {"pieces": pieces}


def fit(caller: Caller, place: Body, *, vans: int = 3) -> Body:
    train = {"vehicles": [{**VANS, "count": vans}]}
    body = {"train": train, "place": place}
    answer: Body = caller.ask("POST", "/v1/checks/train-fit", body).json()
    return answer


def messages(answer: Body, field: str) -> list[str]:
    return [one["message"] for one in answer["assumed"] if one["field"] == field]


@pytest.mark.parametrize("of", ["layout", "module"])
def test_a_road_of_a_plan_on_record_is_named_by_its_layout_or_module(
    ground: Ground, of: str
) -> None:
    address = above(ground, of)
    sent(ground.steward, address, SIDING)
    place = {"plan": {f"{of}_id": id_in(address)}, "road": "siding S"}
    answer = fit(ground.steward, place)
    assert (answer["verdict"], answer["usable_length_mm"]) == ("fits", 1000.0)
    # On record, so that room for stopping is left as on any road on record.
    assert (answer["stopping_margin_mm"], answer["plus_minus_mm"]) == (25.0, 2.0)


def test_a_revision_is_asked_for_by_its_number(ground: Ground) -> None:
    address = above(ground, "layout")
    sent(ground.steward, address, SIDING)
    ground.steward.made(f"{address}/plan/revisions", {})
    sent(ground.steward, address, with_track(SIDING, 870), if_match="*")
    plan = {"layout_id": id_in(address)}
    drafted = fit(ground.steward, {"plan": plan, "road": "siding S"})
    saved = fit(ground.steward, {"plan": plan | {"revision": 1}, "road": "siding S"})
    assert drafted["usable_length_mm"] == 900.0
    assert saved["usable_length_mm"] == 1000.0


@pytest.mark.parametrize("of", ["layout", "module"])
def test_a_plan_that_is_not_there_is_pointed_at(ground: Ground, of: str) -> None:
    empty = id_in(above(ground, of))
    for unknown in (empty, NOBODY):
        place = {"plan": {f"{of}_id": unknown}, "road": "siding S"}
        body = {"train": {"vehicles": [VANS]}, "place": place}
        refused = ground.steward.ask("POST", "/v1/checks/train-fit", body)
        assert refused.status_code == 422
        assert f"/place/plan/{of}_id" in faults(refused)


@pytest.mark.parametrize(
    ("plan", "pointer"),
    [
        ({"layout_id": NOBODY, "pieces": SIDING["pieces"]}, "/place/plan/pieces"),
        ({"layout_id": NOBODY, "module_id": NOBODY}, "/place/plan/module_id"),
        ({"revision": 1}, "/place/plan/revision"),
    ],
)
def test_a_plan_is_given_or_named_and_not_both(
    ground: Ground, plan: Body, pointer: str
) -> None:
    body = {
        "train": {"vehicles": [VANS]},
        "place": {"plan": plan, "road": "siding S"},
    }
    refused = ground.steward.ask("POST", "/v1/checks/train-fit", body)
    assert refused.status_code == 422
    assert pointer in faults(refused)


def pinned(ground: Ground, **body: Any) -> tuple[str, str]:
    """Return a layout with a plan, and a place on it that is a road of the plan."""
    layout = above(ground, "layout")
    sent(ground.steward, layout, SIDING)
    place = {"name": "Coal", "kind": "siding", "road": "siding S", **body}
    made = ground.steward.made(f"{layout}/places", place)
    return layout, made["id"]


def test_a_pinned_places_figures_follow_the_plan(ground: Ground) -> None:
    layout, place_id = pinned(ground)
    before = fit(ground.steward, {"place_id": place_id})
    sent(ground.steward, layout, with_track(SIDING, 870), if_match="*")
    after = fit(ground.steward, {"place_id": place_id})
    assert before["usable_length_mm"] == 1000.0
    assert (after["usable_length_mm"], after["plus_minus_mm"]) == (900.0, 1.8)


def test_a_surveyed_length_wins_over_the_plans_and_the_difference_is_told(
    ground: Ground,
) -> None:
    _, place_id = pinned(ground, usable_length_mm=988)
    answer = fit(ground.steward, {"place_id": place_id})
    # A tape's ±: 1 mm and 1 mm a metre.
    assert (answer["usable_length_mm"], answer["plus_minus_mm"]) == (988.0, 1.988)
    (message,) = messages(answer, "usable_length_mm")
    assert message.startswith("the tape's 988 mm count; by the plan it is 1000 mm")
    assert message.endswith("12 mm shorter")


def test_a_road_that_the_plan_no_longer_has_cannot_be_told(ground: Ground) -> None:
    layout, place_id = pinned(ground)
    sent(ground.steward, layout, {"pieces": {}, "joins": []}, if_match="*")
    answer = fit(ground.steward, {"place_id": place_id})
    assert (answer["verdict"], answer["usable_length_mm"]) == ("cannot_tell", None)
    assert answer["because"][0]["message"] == (
        "Coal: the layout's plan has no road siding S any more: say which road of the"
        " plan it is"
    )


def test_what_was_surveyed_still_counts_where_the_plan_lost_the_road(
    ground: Ground,
) -> None:
    layout, place_id = pinned(ground, usable_length_mm=988)
    sent(ground.steward, layout, {"pieces": {}, "joins": []}, if_match="*")
    answer = fit(ground.steward, {"place_id": place_id})
    assert (answer["verdict"], answer["usable_length_mm"]) == ("fits", 988.0)
    assert "has no road siding S any more" in messages(answer, "usable_length_mm")[0]


def test_a_pinned_place_without_a_plan_cannot_be_told(ground: Ground) -> None:
    layout = above(ground, "layout")
    place = {"name": "Coal", "kind": "siding", "road": "siding S"}
    made = ground.steward.made(f"{layout}/places", place)
    answer = fit(ground.steward, {"place_id": made["id"]})
    assert answer["verdict"] == "cannot_tell"
    assert "no track plan on record" in answer["because"][0]["message"]


def test_the_layouts_sharper_curve_still_binds_a_pinned_place(ground: Ground) -> None:
    layout, place_id = pinned(ground, minimum_radius_mm=None)
    stock = {**VANS, "kind": "coach", "minimum_radius_mm": 450}
    body = {"train": {"vehicles": [stock]}, "place": {"place_id": place_id}}
    asked = ground.steward.ask("POST", "/v1/checks/train-fit", body).json()
    assert asked["reaching"] == "cannot_tell"  # the points' curve is not known
    tag = ground.steward.ask("GET", layout).headers["etag"]
    sharper = {"minimum_radius_mm": 438}
    changed = ground.steward.ask("PATCH", layout, sharper, if_match=tag)
    assert changed.status_code == 200
    asked = ground.steward.ask("POST", "/v1/checks/train-fit", body).json()
    assert asked["reaching"] == "does_not_run"


def test_limits_and_fits_of_a_layout_are_by_its_plan(ground: Ground) -> None:
    layout, place_id = pinned(ground)
    limits = ground.steward.read(f"{layout}/limits")
    (place,) = limits["places"]
    # The margin of 25 mm and the plan's ± of 2 mm come off 1,000 mm.
    assert place["longest_train_mm"] == 973.0
    longest = ground.steward.read(f"{layout}/places/{place_id}/longest-train?by=length")
    assert longest["usable_length_mm"] == 1000.0


def test_limits_name_the_road_that_the_plan_cannot_tell(ground: Ground) -> None:
    layout, _ = pinned(ground)
    sent(ground.steward, layout, {"pieces": {}, "joins": []}, if_match="*")
    limits = ground.steward.read(f"{layout}/limits")
    assert limits["verdict"] == "incomplete"
    assert "no road siding S any more" in limits["because"][0]["message"]


@pytest.fixture
def surveys(monkeypatch: pytest.MonkeyPatch) -> list[str | None]:
    """Return the names of the plans that are surveyed from now on, in this process."""
    seen: list[str | None] = []

    def noted(plan: Plan, stock: Any) -> Survey:
        seen.append(plan.name)
        return survey(plan, stock)

    monkeypatch.setattr(plan_roads, "survey", noted)
    return seen


def test_a_plan_on_record_is_surveyed_once_for_every_train_that_is_asked_about(
    ground: Ground, surveys: list[str | None]
) -> None:
    address = above(ground, "layout")
    sent(ground.steward, address, SIDING)
    place = {"plan": {"layout_id": id_in(address)}, "road": "siding S"}
    first = fit(ground.steward, place, vans=3)
    assert fit(ground.steward, place, vans=3) == first
    longer = fit(ground.steward, place, vans=9)
    assert (longer["verdict"], longer["usable_length_mm"]) == ("fits", 1000.0)
    assert len(surveys) == 1
    sent(ground.steward, address, with_track(SIDING, 870), if_match="*")
    assert fit(ground.steward, place)["usable_length_mm"] == 900.0
    assert len(surveys) == 2


def test_a_pinned_place_and_a_road_by_its_own_name_are_kept_apart(
    ground: Ground, surveys: list[str | None]
) -> None:
    layout, place_id = pinned(ground)
    road = {"plan": {"layout_id": id_in(layout)}, "road": "siding S"}
    by_name = fit(ground.steward, road)
    by_place = fit(ground.steward, {"place_id": place_id})
    assert "siding S" in by_name["because"][0]["message"]
    assert "Coal" in by_place["because"][0]["message"]
    assert len(surveys) == 2
    assert fit(ground.steward, road) == by_name
    assert fit(ground.steward, {"place_id": place_id}) == by_place
    assert len(surveys) == 2


def test_what_another_process_learned_of_a_road_is_kept_here(
    ground: Ground, surveys: list[str | None]
) -> None:
    """Of more than a dozen pieces a plan is surveyed in another process, the first
    time.
    """
    more = {f"T{number}": {"kind": "straight", "length_mm": 9} for number in range(20)}
    address = above(ground, "layout")
    sent(ground.steward, address, SIDING | {"pieces": SIDING["pieces"] | more})
    place = {"plan": {"layout_id": id_in(address)}, "road": "siding S"}
    assert DERIVED.size_bytes == 0
    first = fit(ground.steward, place)
    assert DERIVED.size_bytes > 0
    assert fit(ground.steward, place) == first
    assert fit(ground.steward, place, vans=11)["verdict"] == "does_not_fit"
    assert surveys == []


def test_nobody_who_may_not_read_a_plan_is_told_what_is_kept_of_it(
    ground: Ground, service: Service
) -> None:
    address = above(ground, "layout")
    sent(ground.steward, address, SIDING)
    place = {"plan": {"layout_id": id_in(address)}, "road": "siding S"}
    assert fit(ground.steward, place)["verdict"] == "fits"
    body = {"train": {"vehicles": [VANS]}, "place": place}
    other = service.club("Elsewhere")
    refused = other.ask("POST", "/v1/checks/train-fit", body)
    assert refused.status_code == 422
    assert "/place/plan/layout_id" in faults(refused)
    stranger = service.stranger().ask("POST", "/v1/checks/train-fit", body)
    assert stranger.status_code == 401
    gone = ground.steward.ask("DELETE", f"{address}/plan", if_match="*")
    assert gone.status_code == 204
    refused = ground.steward.ask("POST", "/v1/checks/train-fit", body)
    assert "/place/plan/layout_id" in faults(refused)
