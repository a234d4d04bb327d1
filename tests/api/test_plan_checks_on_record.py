"""What is asked of plans on record: the same as of one that is sent, with the modules'
saved plans and the club's own stock in it.
"""

from typing import Any

import pytest

from api.asking import NOBODY, Caller, faults, refusal
from api.ground import Ground
from api.test_plans_on_record import above, sent
from standage.questions.derived import DERIVED
from standage.questions.meet import EXAMPLE
from standage.questions.move import EXAMPLE as MOVE
from standage.questions.plan import MALT_HOUSE as MALT

MALT_HOUSE: dict[str, Any] = {**MALT}
MEETING: dict[str, Any] = {**EXAMPLE}
MOVING: dict[str, Any] = {**MOVE}
PIECE: dict[str, Any] = {"kind": "straight", "length_mm": 300}
BOARD: dict[str, Any] = {
    "scale": "00",
    "pieces": {"T1": PIECE, "T2": PIECE},
    "joins": [["T1.b", "T2.a"]],
    "module_ends": [
        {"name": "west end", "tracks": ["T1.a"]},
        {"name": "east end", "tracks": ["T2.b"]},
    ],
}
CURVED: dict[str, Any] = {
    "scale": "00",
    "pieces": {
        "P1": {
            "kind": "points",
            "hand": "left",
            "lead_in_mm": 30,
            "radius_mm": 610,
            "angle_deg": 12,
            "through_after_blades_mm": 180,
            "branch_straight_mm": 0,
        },
        "C": {"kind": "curve", "radius_mm": 610, "angle_deg": 45, "hand": "left"},
    },
    "joins": [["P1.branch", "C.a"]],
}
"""Points of which the branch still curves where tracks are 45 mm apart."""
GIVEN = {"fouling_spacing_mm": 45}
"""With it a plan asks for no stock."""


@pytest.fixture
def ground(steward: Caller) -> Ground:
    DERIVED.forget_all()
    return Ground(steward)


def of_two(ground: Ground, **about: Any) -> tuple[str, list[str]]:
    """Return a layout of two modules joined to each other, and the modules."""
    modules = [above(ground, "module") for _ in range(2)]
    for module in modules:
        assert sent(ground.steward, module, BOARD).status_code == 201
    named = dict(zip(("west", "bay"), map(id_in, modules), strict=True))
    plan = {
        "scale": "00",
        "modules": {name: {"module_id": one} for name, one in named.items()},
        "module_joins": [["west.east end", "bay.west end"]],
    }
    layout = above(ground, "layout")
    assert sent(ground.steward, layout, plan | about).status_code == 201
    return layout, modules


def id_in(address: str) -> str:
    return address.rpartition("/")[2]


def save(ground: Ground, address: str) -> None:
    ground.steward.made(f"{address}/plan/revisions", {})


def check(caller: Caller, address: str, query: str = "") -> dict[str, Any]:
    return caller.read(f"{address}/plan/check{query}")


@pytest.mark.parametrize("of", ["layout", "module"])
def test_a_plan_on_record_is_answered_as_one_that_is_sent(
    ground: Ground, of: str
) -> None:
    address = above(ground, of)
    plan = MALT_HOUSE | GIVEN
    sent(ground.steward, address, plan)
    inline = ground.steward.ask("POST", "/v1/checks/plan", {"plan": plan}).json()
    assert check(ground.steward, address) == inline
    assert inline["roads"]


@pytest.mark.parametrize("of", ["layout", "module"])
def test_a_revision_is_asked_about_by_its_number(ground: Ground, of: str) -> None:
    address = above(ground, of)
    sent(ground.steward, address, MALT_HOUSE)
    save(ground, address)
    sent(
        ground.steward, address, MALT_HOUSE | {"pieces": {}, "joins": []}, if_match="*"
    )
    drafted = check(ground.steward, address)
    saved = check(ground.steward, address, "?revision=1")
    assert (len(drafted["poses"]), len(saved["poses"])) == (
        0,
        len(MALT_HOUSE["pieces"]),
    )
    missing = ground.steward.ask("GET", f"{address}/plan/check?revision=2")
    refusal(missing, 404, "not_found")
    wrong = ground.steward.ask("GET", f"{address}/plan/check?revision=x")
    assert set(faults(wrong)) == {"revision"}


def test_modules_count_with_the_newest_plan_that_is_saved_of_each(
    ground: Ground,
) -> None:
    layout, modules = of_two(ground)
    for module in modules:
        save(ground, module)
    sent(ground.steward, modules[0], BOARD | {"pieces": {}}, if_match="*")
    answer = check(ground.steward, layout)
    assert answer["verdict"] == "sound"
    assert set(answer["poses"]) == {"west/T1", "west/T2", "bay/T1", "bay/T2"}
    assert answer["poses"]["bay/T2"]["b"]["x_mm"] == pytest.approx(1200.0)
    told = {one["field"]: one["value"] for one in answer["assumed"] if "value" in one}
    assert told == {"modules/west/revision": "1", "modules/bay/revision": "1"}
    longer = BOARD["pieces"] | {"T2": PIECE | {"length_mm": 450}}
    sent(ground.steward, modules[1], BOARD | {"pieces": longer}, if_match="*")
    save(ground, modules[1])
    again = check(ground.steward, layout)
    assert again["poses"]["bay/T2"]["b"]["x_mm"] == pytest.approx(1350.0)
    assert "2" in {one.get("value") for one in again["assumed"]}


def test_a_module_counts_with_the_revision_that_the_plan_names(ground: Ground) -> None:
    layout, modules = of_two(ground)
    for module in (*modules, modules[0]):
        save(ground, module)
    named = {"modules": {"west": {"revision": 1}, "bay": {"revision": 7}}}
    changed = ground.steward.ask("PATCH", f"{layout}/plan", named, if_match="*")
    assert changed.status_code == 200, changed.text
    answer = check(ground.steward, layout)
    assert set(answer["poses"]) == {"west/T1", "west/T2"}
    assert [(one["code"], one["pointer"]) for one in answer["faults"]] == [
        ("no_such_revision", "/modules/bay/revision")
    ]
    assert answer["verdict"] == "faults"
    assert not any("value" in one for one in answer["assumed"])


def test_a_module_of_which_no_plan_is_saved_is_a_fault_in_words(
    ground: Ground,
) -> None:
    layout, modules = of_two(ground)
    save(ground, modules[0])
    answer = check(ground.steward, layout)
    assert [(one["code"], one["pointer"]) for one in answer["faults"]] == [
        ("no_revision", "/modules/bay/module_id")
    ]
    assert "bay" in answer["faults"][0]["message"]


def test_modules_on_record_are_known_to_a_plan_that_is_sent_too(
    ground: Ground,
) -> None:
    layout, modules = of_two(ground)
    for module in modules:
        save(ground, module)
    plan = ground.steward.read(f"{layout}/plan")
    asked = {name: plan[name] for name in ("scale", "modules", "module_joins")}
    inline = ground.steward.ask("POST", "/v1/checks/plan", {"plan": asked})
    assert inline.json()["poses"] == check(ground.steward, layout)["poses"]
    unknown = {"modules": {"west": {"module_id": NOBODY}}}
    refused = ground.steward.ask("POST", "/v1/checks/plan", {"plan": unknown})
    assert faults(refused) == {"/plan/modules/west/module_id": "no_such_module"}


def test_where_no_spacing_is_given_the_clubs_largest_stock_sets_it(
    ground: Ground,
) -> None:
    address = above(ground, "layout")
    sent(ground.steward, address, CURVED)
    usual = from_blades(check(ground.steward, address))
    ground.steward.made("/v1/vehicles", coach(length_mm=150.0, pivots_mm=90.0))
    shorter = from_blades(check(ground.steward, address))
    assert shorter < usual
    ground.steward.made("/v1/vehicles", coach(length_mm=400.0, pivots_mm=300.0))
    assert from_blades(check(ground.steward, address)) > usual
    asked = {"plan": CURVED, "stock": [coach(length_mm=400.0, pivots_mm=300.0)]}
    inline = ground.steward.ask("POST", "/v1/checks/plan", asked).json()
    assert from_blades(inline) == from_blades(check(ground.steward, address))


def from_blades(answer: dict[str, Any]) -> float:
    """Return how far out the branch is fouled, from the blades."""
    [point] = answer["fouling_points"]
    legs = {one["leg"]: one["from_blades_mm"] for one in point["legs"]}
    return float(legs["branch"])


def coach(*, length_mm: float, pivots_mm: float) -> dict[str, Any]:
    return {
        "name": f"Coach of {length_mm:.0f}",
        "kind": "coach",
        "scale": "00",
        "length_mm": length_mm,
        "length_over": "buffers",
        "width_mm": 36.0,
        "bogie_centres_mm": pivots_mm,
        "bogie_wheelbase_mm": 34.0,
    }


def test_a_visitor_has_the_answer_that_a_member_has(ground: Ground) -> None:
    layout, modules = of_two(ground)
    for module in modules:
        save(ground, module)
    ground.steward.made("/v1/vehicles", coach(length_mm=400.0, pivots_mm=300.0))
    pointed = {"pieces": CURVED["pieces"], "joins": CURVED["joins"]}
    ground.steward.ask("PATCH", f"{layout}/plan", pointed, if_match="*")
    visitor = ground.steward.visiting(id_in(layout))
    seen = check(visitor, layout)
    DERIVED.forget_all()
    assert seen == check(ground.steward, layout)
    assert "west/T1" in str(seen["open_ends"])
    save(ground, layout)
    hidden = visitor.ask("GET", f"{layout}/plan/check?revision=1")
    refusal(hidden, 404, "not_found")
    for path in (f"{modules[0]}/plan/check", f"{modules[0]}/plan/drawing"):
        refusal(visitor.ask("GET", path), 403, "forbidden")
    drawing = visitor.ask("GET", f"{layout}/plan/drawing")
    assert drawing.headers["content-type"].startswith("image/svg+xml")


@pytest.mark.parametrize("of", ["layout", "module"])
def test_a_plan_on_record_is_drawn(ground: Ground, of: str) -> None:
    address = above(ground, of)
    sent(ground.steward, address, MALT_HOUSE)
    save(ground, address)
    for query in ("", "?revision=1", "?paper=letter&track=sleepered&page=1"):
        drawn = ground.steward.ask("GET", f"{address}/plan/drawing{query}")
        assert drawn.status_code == 200, drawn.text
        assert drawn.text.startswith("<svg")
    beyond = ground.steward.ask("GET", f"{address}/plan/drawing?page=99")
    assert set(faults(beyond)) == {"page"}


def test_a_changed_draft_is_never_answered_from_the_one_before(ground: Ground) -> None:
    address = above(ground, "layout")
    sent(ground.steward, address, MALT_HOUSE)
    for number in range(3):
        length_mm = 400.0 + number
        pieces = MALT_HOUSE["pieces"] | {"W": PIECE | {"length_mm": length_mm}}
        plan = MALT_HOUSE | {"pieces": pieces}
        sent(ground.steward, address, plan, if_match="*")
        cold, warm = (check(ground.steward, address) for _ in range(2))
        assert cold == warm
        assert cold["poses"]["W"]["b"]["x_mm"] == pytest.approx(length_mm)


def test_what_is_kept_is_the_answer_that_it_would_be_without(ground: Ground) -> None:
    address = above(ground, "layout")
    sent(ground.steward, address, MALT_HOUSE)
    paths = [f"{address}/plan/check", f"{address}/plan/drawing"]
    first = [ground.steward.ask("GET", path) for path in paths]
    assert DERIVED.size_bytes > sum(len(one.content) for one in first)
    again = [ground.steward.ask("GET", path) for path in paths]
    DERIVED.forget_all()
    anew = [ground.steward.ask("GET", path) for path in paths]
    for one, other, third in zip(first, again, anew, strict=True):
        assert one.content == other.content == third.content
        assert one.headers["etag"] == other.headers["etag"] == third.headers["etag"]
        assert one.headers["content-type"] == other.headers["content-type"]


def test_a_right_that_was_taken_back_is_refused_although_the_answer_is_kept(
    ground: Ground,
) -> None:
    layout = above(ground, "layout")
    sent(ground.steward, layout, MALT_HOUSE)
    guest = ground.steward.with_member("member")
    visitor = ground.steward.visiting(id_in(layout))
    for caller in (guest, visitor):
        check(caller, layout)
    tokens = ground.steward.read(f"/v1/tokens?member_id={guest.member_id}")["items"]
    [link] = ground.steward.read(f"{layout}/share-links")["items"]
    ended = [f"/v1/tokens/{one['id']}" for one in tokens]
    for path in (*ended, f"{layout}/share-links/{link['id']}"):
        gone = ground.steward.ask("DELETE", path, if_match="*")
        assert gone.status_code == 204
    for caller in (guest, visitor):
        tried = caller.ask("GET", f"{layout}/plan/check")
        refusal(tried, 401, "unauthenticated")
    ground.steward.ask("DELETE", layout, if_match="*")
    refusal(ground.steward.ask("GET", f"{layout}/plan/check"), 404, "not_found")


def test_modules_plans_that_are_too_large_together_are_left_out_in_words(
    ground: Ground, monkeypatch: pytest.MonkeyPatch
) -> None:
    layout, modules = of_two(ground)
    for module in modules:
        save(ground, module)
    plans = "standage.questions.resolving.plans"
    monkeypatch.setattr(f"{plans}.MOST_PIECES", 3)
    answer = check(ground.steward, layout)
    assert set(answer["poses"]) == {"west/T1", "west/T2"}
    assert [(one["code"], one["pointer"]) for one in answer["faults"]] == [
        ("too_many", "/modules/bay/module_id")
    ]


def test_the_polarity_of_a_layout_s_plan_counts_its_modules_and_a_train_on_record(
    ground: Ground,
) -> None:
    points = {"kind": "points", "toe_mm": 30, "through_mm": 150, "branch_mm": 150}
    round_ = {"kind": "track", "length_mm": 2000}
    gaps = [{"kind": "gap", "piece": "Round", "at_mm": at} for at in (0, 1400)]
    loop = {
        "pieces": {"Neck": points, "Round": round_, "Out": round_},
        "joins": [
            ["Neck.through", "Round.a"],
            ["Round.b", "Neck.branch"],
            ["Neck.toe", "Out.a"],
        ],
        "fittings": gaps,
    }
    steward = ground.steward
    module = ground.make("Module")["id"]
    steward.ask("PUT", f"/v1/modules/{module}/plan", loop)
    saved = steward.ask("POST", f"/v1/modules/{module}/plan/revisions", {"remark": "x"})
    assert saved.status_code == 201
    layout = ground.make("Layout")["id"]
    plan = {"modules": {"loop": {"module_id": module}}}
    assert steward.ask("PUT", f"/v1/layouts/{layout}/plan", plan).status_code == 201
    train = ground.make("Train")["id"]
    body = {"layout_id": layout, "trains": [{"train_id": train}], "bridging_mm": [1400]}
    asked = steward.ask("POST", "/v1/checks/polarity", body)
    assert asked.status_code == 200, asked.json()
    answer = asked.json()
    assert answer["reversing_circuits"] == [["loop/Neck", "loop/Round"]]
    assert answer["isolated_length_mm"] == 1400
    by_length, by_train = answer["gaps_suffice"]
    assert by_length == {"for_mm": 1400, "train": None, "suffice": True}
    assert by_train["train"]
    missing = steward.ask("POST", "/v1/checks/polarity", body | {"revision": 7})
    assert missing.status_code == 422


def test_two_trains_meet_on_the_plan_of_a_layout_on_record(ground: Ground) -> None:
    steward = ground.steward
    layout = above(ground, "layout")
    plan = MEETING["plan"]
    assert sent(steward, layout, plan).status_code == 201
    body = {"layout_id": id_in(layout), "trains": MEETING["trains"]}
    answer = steward.ask("POST", "/v1/checks/meet", body)
    assert answer.status_code == 200
    given = steward.ask("POST", "/v1/checks/meet", MEETING)
    assert answer.json()["verdict"] == "possible"
    assert answer.json()["runs"] == given.json()["runs"]
    nobody = [MEETING["trains"][0], {**MEETING["trains"][1], "to": {"place": "Wharf"}}]
    asked = steward.ask("POST", "/v1/checks/meet", body | {"trains": nobody})
    assert faults(asked) == {"/trains/1/to/place": "no_such_road"}


def test_a_train_moves_on_the_draft_of_a_layout_or_on_a_saved_revision(
    ground: Ground,
) -> None:
    steward = ground.steward
    layout = above(ground, "layout")
    plan = MOVING["plan"]
    assert sent(steward, layout, plan).status_code == 201
    save(ground, layout)
    short = {
        **plan,
        "pieces": {**plan["pieces"], "H": {"kind": "track", "length_mm": 400}},
    }
    etag = steward.ask("GET", f"{layout}/plan").headers["etag"]
    assert sent(steward, layout, short, **{"if-match": etag}).status_code == 200
    asked = {name: MOVING[name] for name in ("train", "from", "to")}
    saved = {**asked, "layout_id": id_in(layout), "revision": 1}
    given = steward.ask("POST", "/v1/checks/move", MOVING)
    answer = steward.ask("POST", "/v1/checks/move", saved)
    assert answer.status_code == 200
    assert answer.json()["verdict"] == given.json()["verdict"] == "possible"
    assert answer.json()["runs"] == given.json()["runs"]
    draft = {**asked, "layout_id": id_in(layout)}
    # 430 in the headshunt of the draft, for 540 of the train.
    assert (
        steward.ask("POST", "/v1/checks/move", draft).json()["verdict"] == "impossible"
    )
    absent = steward.ask("POST", "/v1/checks/move", saved | {"revision": 7})
    assert faults(absent) == {"/layout_id": "no_plan_of_layout"}
