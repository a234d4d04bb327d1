"""The sheets that a builder begins with are plans that are answered: what the tape adds
up to, and what the figures come to.
"""

from math import cos, radians, sin

import pytest

from standage.exchange.cells import Sheet
from standage.exchange.plans import templates
from standage.exchange.plans.plan_in import plan_in
from standage.exchange.sheets_out import Out
from standage.questions.plan import PlanAnswer, PlanCase, reckon
from standage.railway.track.plans.plan import Plan


def answered(rows: list[list[Out]]) -> PlanAnswer:
    cells = tuple(tuple(map(_cell, row)) for row in rows)
    found = plan_in(Sheet(format="csv", rows=cells), onto=Plan(scale="00"))
    assert [row.faults for row in found.rows if row.faults] == []
    assert found.beyond == ()
    return reckon(PlanCase(plan=found.plan))


def _cell(cell: Out) -> str | float | None:
    return float(cell) if isinstance(cell, int) else cell


def test_the_measured_template_gives_every_road_by_adding_up_the_tape() -> None:
    """From the tips or the stop's face to the fouling point, along leg and track."""
    told = answered(templates.measured())
    assert told.verdict == "sound"
    assert {place.name: place.usable_length_mm for place in told.places} == {
        "Headshunt": pytest.approx(780 + 35),
        "Platform road": pytest.approx((190 - 260) + 1200 + (190 - 260)),
        "Coal siding": pytest.approx((205 - 250) + 900),
        "Dock siding": pytest.approx((205 - 250) + 640),
    }
    (headshunt,) = [place for place in told.places if place.name == "Headshunt"]
    assert {limit.kind for limit in headshunt.limits} == {"buffer_stop", "blade_tips"}
    (open_end,) = told.open_ends
    assert open_end.end == "E.b"


def test_the_laid_out_template_closes_and_has_the_lengths_of_its_figures() -> None:
    told = answered(templates.laid_out())
    assert told.verdict == "sound"
    # the fitted track closes the loop, and so leaves no circuit with a gap
    assert told.circuits == ()
    by_name = {place.name: place for place in told.places}
    assert by_name["Headshunt"].usable_length_mm == pytest.approx(600 + 30)
    main = by_name["Main road"]
    assert main.blades_to_blades_mm == pytest.approx(180 + 1000 + 180)
    turn = radians(12)
    aside_mm = 2 * 610 * sin(turn) + 95 * cos(turn)
    fitted_mm = 180 + 1000 + 180 - 2 * aside_mm
    round_mm = 2 * (2 * 610 * turn + 95) + fitted_mm
    loop = by_name["Loop road"]
    assert loop.blades_to_blades_mm == pytest.approx(round_mm, abs=0.01)
    apart_mm = 2 * 610 * (1 - cos(turn)) + 95 * sin(turn)
    assert apart_mm > 45


def test_the_templates_are_alike_but_for_what_is_measured() -> None:
    titles = [
        set(map(str, rows[0])) for rows in (templates.laid_out(), templates.measured())
    ]
    laid_out, measured = titles
    assert {"Radius (mm)", "Angle (degrees)"} <= laid_out - measured
    assert not any("ngle" in title or "adius" in title for title in measured)
    assert all(len(rows()) == 11 for rows in (templates.laid_out, templates.measured))
