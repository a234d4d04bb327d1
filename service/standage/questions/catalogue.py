"""All questions, in the order in which the document lists them."""

from collections.abc import Iterator

from standage.questions import (
    blocked_moves,
    capacity,
    couplings_from_train,
    curve,
    deal,
    every_train,
    fill,
    fouling_point,
    gradient,
    haulage,
    layout_fits,
    layout_limits,
    length,
    longest_train,
    module_join,
    move,
    move_drawing,
    parts,
    passing,
    plan,
    plan_drawing,
    plan_on_record,
    points,
    polarity,
    road_allocation,
    scale_speed,
    shunting_plan,
    shunting_sheets,
    standard_report,
    train_fit,
    train_fit_sheet,
    unsuitable_stock,
    wish_list,
)
from standage.questions.question import Asking, with_others

QUESTIONS: tuple[Asking, ...] = (
    train_fit.QUESTION,
    train_fit_sheet.DRAWING,
    curve.QUESTION,
    passing.QUESTION,
    capacity.QUESTION,
    couplings_from_train.QUESTION,
    gradient.QUESTION,
    haulage.QUESTION,
    length.QUESTION,
    points.QUESTION,
    scale_speed.QUESTION,
    plan.QUESTION,
    plan_drawing.DRAWING,
    plan_on_record.QUESTION,
    fouling_point.QUESTION,
    move.QUESTION,
    move_drawing.DRAWING,
    blocked_moves.QUESTION,
    polarity.QUESTION,
    longest_train.QUESTION,
    wish_list.QUESTION,
    road_allocation.QUESTION,
    fill.QUESTION,
    parts.QUESTION,
    layout_limits.QUESTION,
    layout_fits.QUESTION,
    unsuitable_stock.QUESTION,
    module_join.QUESTION,
    standard_report.QUESTION,
    shunting_plan.QUESTION,
    deal.QUESTION,
    every_train.QUESTION,
    shunting_sheets.PLAN_DRAWING,
    shunting_sheets.PUZZLE_DRAWING,
)


def every_question() -> Iterator[Asking]:
    """Yield every question at each of its addresses."""
    for question in QUESTIONS:
        yield from with_others(question)
