"""Does an engine at the stop of a dead end get away from its train, and how?"""

from standage.questions.engine_leaves import (
    EngineLeavesCase,
    EngineLeavesRequest,
    answered_leaving,
    gathered_leaving,
)
from standage.questions.engine_leaves_answer import EngineLeavesAnswer
from standage.questions.question import PLAN_BYTES, Question, Shows, always
from standage.questions.reckoning import as_written, warned
from standage.questions.run_round import EXAMPLE
from standage.questions.sources import Sources


@as_written
def gather(sources: Sources, request: EngineLeavesRequest) -> EngineLeavesCase:
    """Return the case that a request makes, with all it names on record resolved."""
    return gathered_leaving(sources, request)


@warned
def reckon(case: EngineLeavesCase) -> EngineLeavesAnswer:
    """Return whether the engine of ``case`` gets clear onto another road; raises
    ``Faulty`` for every name that is not on its plan.
    """
    return answered_leaving(case, "away")


QUESTION = Question(
    id="checkRelease",
    at="/v1/checks/release",
    asks="Does an engine at the stop of a dead end get away from its train?",
    tells=(
        "The place is the road between throat and release points, the engine beyond"
        " these; it is away once it stands clear on another road, not behind its train."
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
