"""A plan goes out as a sheet and comes in again exactly, whatever is in it."""

import re

from hypothesis import given

from standage.exchange.plans.beyond import beyond_a_sheet
from standage.exchange.plans.plan_in import lists_track, plan_in
from standage.exchange.plans.plan_out import held_places, track_sheet
from standage.exchange.sheets_out import csv_bytes, xlsx_bytes
from standage.exchange.workbooks_in import read_sheet
from standage.railway.track.plans.plan import Plan
from support.any_plans import any_plans

_NO_WORKBOOK_HAS = re.compile(r"[\ufffe\uffff]|_x[0-9A-Fa-f]{4}_")
"""What the form of XLSX has no place for."""


def back(raw: bytes, onto: Plan) -> Plan:
    return plan_in(read_sheet(raw, lists_track), onto=onto).plan


@given(any_plans())
def test_a_sheet_laid_upon_the_plan_that_it_is_of_changes_nothing(plan: Plan) -> None:
    assert back(csv_bytes(track_sheet(plan)), plan) == plan


@given(any_plans())
def test_a_workbook_laid_upon_the_plan_that_it_is_of_changes_nothing(
    plan: Plan,
) -> None:
    rows = track_sheet(plan)
    if _NO_WORKBOOK_HAS.search(repr(rows)):
        return
    assert back(xlsx_bytes(rows, sheet="Track"), plan) == plan


@given(any_plans())
def test_a_plan_of_which_nothing_is_beyond_a_sheet_is_all_in_it(plan: Plan) -> None:
    if not any(beyond_a_sheet(plan, with_places=bool(held_places(plan)))):
        assert back(csv_bytes(track_sheet(plan)), Plan()) == plan


@given(any_plans())
def test_what_a_sheet_says_is_told_alike_upon_any_draft(plan: Plan) -> None:
    alone = back(csv_bytes(track_sheet(plan)), Plan())
    assert set(alone.pieces) == set(plan.pieces)
    for field in ("scale", "heights", "fittings", "name"):
        assert getattr(alone, field) == getattr(Plan(), field)
