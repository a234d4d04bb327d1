"""The operation that takes a vehicle out of the trains and rakes it stands in, others'
too.
"""

from typing import Annotated

import msgspec

from standage.api.operations.history import Change, told
from standage.api.operations.looking_back import names_in
from standage.api.web.call import Call, Reply
from standage.api.web.operation import About, Answers, Guard, Operation, Writes
from standage.railway.terms.figures import says
from standage.registry.writing.history import changes_done_by
from standage.registry.writing.store import Writing
from standage.registry.writing.taking_out import TakingOut


class TakenOut(msgspec.Struct, frozen=True, kw_only=True):
    """What was changed for a vehicle to stand in no train and no rake any more."""

    action_id: Annotated[str, says("What the changes have in common.")]
    changes: Annotated[
        list[Change],
        says("Each change that was made, in order; none where it stood in nothing."),
    ]


def taking_out_operations() -> list[Operation]:
    """Return the operation that takes a vehicle out of trains."""
    return [
        Operation(
            id="takeVehicleOut",
            method="POST",
            path="/v1/vehicles/{vehicle_id}/take-out",
            about=About(
                tag="Stock",
                summary="Take a vehicle out of every train and rake",
                description=(
                    "Its owner may, whoever made up the trains: who lends a wagon can"
                    " have it back. Each train and rake gets a new version, told in"
                    " its history; a length that was measured with the vehicle in it"
                    " goes, and a train or a rake of which nothing is left is deleted,"
                    " and can be brought back."
                ),
            ),
            act=Writes(_perform, in_turn=True),
            answers=Answers(shape=TakenOut, problems=("in_use",)),
            guard=Guard(rate="write"),
        )
    ]


def _perform(writing: Writing, call: Call) -> Reply:
    """Take the vehicle out, and answer with all that was changed for it."""
    taking_out = TakingOut(writing.connection, writing.now, action_id=writing.action_id)
    taking_out.take_out(call.granted, call.path["vehicle_id"])
    changes = changes_done_by(writing.connection, call.club_id, writing.action_id)
    members = names_in(writing, call.club_id, changes)
    return Reply(
        content={
            "action_id": writing.action_id,
            "changes": [told(change, members) for change in changes],
        }
    )
