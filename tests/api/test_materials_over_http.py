"""What plans on record are made of: as of a plan that is sent, kept until something in
it changes, and as sheets.
"""

import csv
import io
from typing import Any

import pytest

from api.asking import NOBODY, Caller, faults, refusal
from api.ground import Ground
from api.test_plan_checks_on_record import of_two, save
from api.test_plans_on_record import above, sent
from standage.questions.derived import DERIVED
from standage.questions.plan import MALT_HOUSE as MALT

MALT_HOUSE: dict[str, Any] = {**MALT}
CHECK = "/v1/checks/materials"


@pytest.fixture
def ground(steward: Caller) -> Ground:
    DERIVED.forget_all()
    return Ground(steward)


def count(answer: dict[str, Any], what: str) -> int:
    return sum(one["count"] for one in answer["lines"] if one["what"] == what)


@pytest.mark.parametrize("of", ["layout", "module"])
def test_a_plan_on_record_is_counted_as_one_that_is_sent(
    ground: Ground, of: str
) -> None:
    caller = ground.steward
    address = above(ground, of)
    path = f"{address}/plan/materials"
    refusal(caller.ask("GET", path), 404, "not_found")
    sent(caller, address, MALT_HOUSE)
    save(ground, address)
    inline = caller.ask("POST", CHECK, {"plan": MALT_HOUSE}).json()
    assert caller.read(path) == inline == caller.read(path)
    by_id = {f"{of}_id": address.rpartition("/")[2]}
    assert caller.ask("POST", CHECK, {"plan": by_id}).json() == inline
    shorter = caller.read(f"{path}?stock_length_mm=450&saw_mm=2")
    rules = {"stock_length_mm": 450, "saw_mm": 2}
    sent_so = caller.ask("POST", CHECK, {"plan": MALT_HOUSE, **rules}).json()
    assert shorter == sent_so != inline

    sent(caller, address, MALT_HOUSE | {"pieces": {}, "joins": []}, if_match="*")
    assert caller.read(path)["lines"] == []
    assert caller.read(f"{path}?revision=1") == inline
    refusal(caller.ask("GET", f"{path}?revision=2"), 404, "not_found")
    assert set(faults(caller.ask("GET", f"{path}?stock_length_mm=1"))) == {
        "stock_length_mm"
    }

    sheet = caller.ask("GET", f"{path}/sheet.csv?revision=1")
    told = sheet.headers["content-disposition"]
    assert told == 'attachment; filename="materials.csv"'
    listed = list(csv.DictReader(io.StringIO(sheet.text.removeprefix("\ufeff"))))
    whole = [one for one in listed if one["module"] == "all"]
    assert [(one["what"], int(one["to_get"])) for one in whole] == [
        (one["what"], one["planned"]["count"]) for one in inline["lines"]
    ]
    cuts = [one for one in listed if one["what"] == "cut"]
    assert sum(int(one["to_get"]) for one in cuts) == inline["cutting"]["needed"]
    drawn = caller.ask("GET", f"{path}/drawing?revision=1&paper=letter")
    assert drawn.headers["content-type"].startswith("image/svg+xml")
    assert "Materials of Malt house" in drawn.text
    beyond = caller.ask("GET", f"{path}/drawing?revision=1&page=99")
    assert set(faults(beyond)) == {"page"}


def test_modules_count_as_they_are_saved_and_each_by_itself(ground: Ground) -> None:
    layout, modules = of_two(ground)
    for module in modules:
        save(ground, module)
    answer = ground.steward.read(f"{layout}/plan/materials")
    assert [one["module"] for one in answer["modules"]] == [None, "west", "bay"]
    assert (count(answer, "straight"), count(answer, "board_joints")) == (4, 1)
    assert any("revision 1" in one["message"] for one in answer["assumed"])


def test_what_is_not_on_record_is_refused_by_name(ground: Ground) -> None:
    for noun in ("layout", "module"):
        refused = ground.steward.ask("POST", CHECK, {"plan": {f"{noun}_id": NOBODY}})
        assert set(faults(refused)) == {f"/plan/{noun}_id"}
