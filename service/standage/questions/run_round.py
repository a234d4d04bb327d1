"""Does an engine get round its train, how, and how long may both be?"""

from standage.questions.engine_leaves import (
    EngineLeavesCase,
    EngineLeavesRequest,
    answered_leaving,
    gathered_leaving,
)
from standage.questions.engine_leaves_answer import EngineLeavesAnswer
from standage.questions.question import PLAN_BYTES, Question, Shows, always
from standage.questions.reckoning import as_written, warned
from standage.questions.sources import Sources


@as_written
def gather(sources: Sources, request: EngineLeavesRequest) -> EngineLeavesCase:
    """Return the case that a request makes, with all it names on record resolved."""
    return gathered_leaving(sources, request)


@warned
def reckon(case: EngineLeavesCase) -> EngineLeavesAnswer:
    """Return whether the engine of ``case`` gets round its train; raises ``Faulty`` for
    every name that is not on its plan.
    """
    return answered_leaving(case, "round")


POINTS = {
    "kind": "points",
    "toe_mm": 190,
    "through_mm": 180,
    "branch_mm": 190,
    "fouling_through_mm": 215,
    "fouling_branch_mm": 210,
}
EXAMPLE = {
    "plan": {
        "pieces": {
            "P1": POINTS,
            "M": {"kind": "track", "length_mm": 900},
            "L": {"kind": "track", "length_mm": 880},
            "P2": POINTS,
        },
        "joins": [
            ["P1.through", "M.a"],
            ["M.b", "P2.through"],
            ["P1.branch", "L.a"],
            ["L.b", "P2.branch"],
        ],
    },
    "place": "loop L",
    "train": {"length_mm": 540},
    "engine": {"length_mm": 128},
    "engine_at": "points P1",
}
"""Measured with a tape, and invented."""
QUESTION = Question(
    id="checkRunRound",
    at="/v1/checks/run-round",
    asks="Does an engine get round its train, how, and how long may both be?",
    tells=(
        "The train stands clear in its place, wherever suits best; its engine moves"
        " until it touches the other end."
    ),
    request=EngineLeavesRequest,
    answer=EngineLeavesAnswer,
    gather=gather,
    reckon=reckon,
    heavy=always,
    most_bytes=PLAN_BYTES,
    example=EXAMPLE,
    refused=EXAMPLE | {"engine_at": "Wharf"},
    warns=Shows("unit", "train/length_mm", {"train": {"length_mm": 0.54}}),
)
