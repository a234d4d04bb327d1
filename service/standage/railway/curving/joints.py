"""Joints as a curve tries them: the ends of two vehicles, what they make together, and
what is missing for a verdict.

An end is the body behind it, its coupling's swing and pivot, and its buffers.
"""

from collections.abc import Iterator
from math import radians

import msgspec

from standage.railway.curving.buffers import (
    EndBuffers,
    faces,
    outermost_mm,
    usual_centres_mm,
    widest_head_mm,
)
from standage.railway.curving.known_vehicles import has_bogie_at
from standage.railway.curving.pairs import CoupledPair, PairBody
from standage.railway.curving.strains import TriedJoint
from standage.railway.published.nem_111 import touching_buffers_radius_mm
from standage.railway.stock.bodies import BodyShape, shapes
from standage.railway.stock.couplings import (
    Coupling,
    CouplingTypes,
    Mounting,
    TypicalKind,
)
from standage.railway.stock.ends import At, End, coupling_at, end_of, kind_of, settled
from standage.railway.stock.extents import Missing, is_over_couplings
from standage.railway.stock.joints import closing_mm, gap
from standage.railway.stock.vehicles import Standing
from standage.railway.terms.figures import tidy
from standage.railway.terms.reasons import Guess
from standage.railway.terms.scales import ScaleName, scale

_FROM_TYPE = ("swing_deg", "pivot_behind_mm", "mounting")
_WORDS = {
    "pivot_behind_mm": (
        "how far behind the buffer face the pivot of its {at} coupling is"
    ),
    "swing_deg": "how far its {at} coupling swings to either side",
}


class JointEnd(msgspec.Struct, frozen=True, kw_only=True):
    """One end of a vehicle as its neighbour finds it on a curve; ``body`` is None where
    its shape is not known.

    ``buffers`` is None where it has none. ``touching_radius_mm`` is the least radius
    that the standard gives the vehicle for running with touching buffers, None where it
    has no group for it. ``lacks`` are the figures without which nothing at all can be
    said. ``also`` is its body on bogies, where it may stand on two axles or on those.
    """

    vehicle: str
    at: At
    end: End
    body: PairBody | None
    swing_deg: float | None
    mounting: Mounting | None
    buffers: EndBuffers | None
    touching_radius_mm: float | None = None
    lacks: tuple[Missing, ...] = ()
    guesses: tuple[Guess, ...] = ()
    also: PairBody | None = None

    @property
    def ways(self) -> tuple["JointEnd", ...]:
        """The end with its body on either sort of wheels: mostly this one alone."""
        return (
            (self,)
            if self.also is None
            else (self, msgspec.structs.replace(self, body=self.also, also=None))
        )

    def missing(self, field: str) -> Missing:
        """Return the figure of this end's coupling that nobody has measured."""
        words = _WORDS[field].format(at=self.at)
        return Missing(
            vehicle=self.vehicle, field=f"{self.at}_coupling.{field}", words=words
        )


def joint_ends(vehicle: Standing, *, types: CouplingTypes) -> tuple[JointEnd, JointEnd]:
    """Return the end of ``vehicle`` towards the head of the train, and the one towards
    its tail. **Source** derived.
    """
    known = _with_types(vehicle, types)
    bodies = _over_buffers(known)
    first, last = bodies[0], bodies[-1]
    own = vehicle.front_coupling
    front = _end(known, "front", first, own=own, types=types)
    own = vehicle.rear_coupling
    rear = _end(known, "rear", last, own=own, types=types)
    if vehicle.reversed:
        return rear, front
    return front, rear


def tried_joint(leading: JointEnd, following: JointEnd) -> TriedJoint | None:
    """Return the joint of two neighbouring ends; None where a body or a reach is not
    known.

    A play that nobody knows counts as 0. **Source** derived.
    """
    coupled = gap(leading.end, following.end)
    if coupled.missing:
        return None
    if leading.body is None or following.body is None:
        return None
    both = (leading.buffers, following.buffers)
    has_buffers = None not in both
    gap_mm = coupled.known_mm
    pulled = _pair(leading.body, following.body, gap_mm=gap_mm)
    linked = _is_link(leading, following, pulled)
    up_mm = gap_mm - closing_mm(leading.end, following.end)
    return TriedJoint(
        pulled=msgspec.structs.replace(pulled, linked=linked),
        pushed=_pair(leading.body, following.body, gap_mm=up_mm),
        swings=(_radians(leading.swing_deg), _radians(following.swing_deg)),
        has_buffers=has_buffers,
        faces=faces(*both),
        heads_known=all(each is not None and each.is_known for each in both),
        outermost_mm=outermost_mm(*both),
        widest_head_mm=widest_head_mm(*both),
        guided=leading.mounting == following.mounting == "guided",
    )


def missing_for_shape(leading: JointEnd, following: JointEnd) -> tuple[Missing, ...]:
    """Return what has to be measured before the two vehicles can be placed at all.
    **Source** derived.
    """
    return leading.lacks + following.lacks + gap(leading.end, following.end).missing


def missing_for_pulling(leading: JointEnd, following: JointEnd) -> Iterator[Missing]:
    """Yield what has to be measured to know whether the couplings swing far enough.
    **Source** derived.
    """
    for end in (leading, following):
        if end.body is None or end.body.pivot_behind_mm is None:
            yield end.missing("pivot_behind_mm")
        if end.swing_deg is None:
            yield end.missing("swing_deg")


def missing_for_pushing(leading: JointEnd, following: JointEnd) -> Iterator[Missing]:
    """Yield what has to be measured to know whether the buffers lock. **Source**
    derived.
    """
    for end in (leading, following):
        if end.buffers is not None and end.buffers.centres_mm is None:
            words = "the distance between the middles of its buffers (0 for none)"
            yield Missing(
                vehicle=end.vehicle,
                field="buffer_centres_mm",
                words=words,
            )
        if end.buffers is not None and end.buffers.head_width_mm is None:
            words = "the width of its buffers' heads"
            yield Missing(
                vehicle=end.vehicle, field="buffer_head_width_mm", words=words
            )


def _with_types(vehicle: Standing, types: CouplingTypes) -> Standing:
    """Return the vehicle with what its couplings' types supply filled in."""
    return msgspec.structs.replace(
        vehicle,
        front_coupling=_filled(vehicle.front_coupling, vehicle, types),
        rear_coupling=_filled(vehicle.rear_coupling, vehicle, types),
    )


def _filled(own: Coupling | None, vehicle: Standing, types: CouplingTypes) -> Coupling:
    own = own or Coupling()
    kind = kind_of(vehicle, own, types=types)
    if kind is None:
        return own
    supplied = {
        field: getattr(kind, field)
        for field in (*_FROM_TYPE, "reach_mm")
        if getattr(own, field) is None
    }
    return msgspec.structs.replace(own, **supplied)


def _over_buffers(vehicle: Standing) -> tuple[BodyShape, ...]:
    """Return the vehicle's bodies, each ending at the buffers even where the body
    itself ends short of them.
    """
    if vehicle.bodies is not None:
        to_buffers = tuple(
            msgspec.structs.replace(body, body_length_mm=None)
            for body in vehicle.bodies
        )
        return shapes(msgspec.structs.replace(vehicle, bodies=to_buffers))
    found = shapes(vehicle)
    if vehicle.body_length_mm is None:
        return found
    bare = msgspec.structs.replace(vehicle, body_length_mm=None)
    if not found[0].pivots_given and found[0].pivots_mm is not None:
        bare = msgspec.structs.replace(bare, bogie_centres_mm=found[0].pivots_mm)
    whole = shapes(bare)[0]
    shape = msgspec.structs.replace(
        found[0],
        half_front_mm=whole.half_front_mm,
        half_rear_mm=whole.half_rear_mm,
        guesses=tuple(
            guess for guess in found[0].guesses if guess.field != "body_length_mm"
        ),
        missing=whole.missing,
    )
    return (shape,)


def _end(
    vehicle: Standing,
    at: At,
    shape: BodyShape,
    *,
    own: Coupling | None,
    types: CouplingTypes,
) -> JointEnd:
    coupling = coupling_at(vehicle, at) or Coupling()
    half_mm = shape.half_front_mm if at == "front" else shape.half_rear_mm
    on_bogie = coupling.mounting == "bogie" and has_bogie_at(vehicle, at)
    buffers, buffer_guesses = _buffers(vehicle, shape)
    return JointEnd(
        vehicle=vehicle.name,
        at=at,
        end=settled(
            end_of(
                _measured_over_buffers(vehicle, at, own),
                at=at,
                over="buffers",
                types=types,
            )
        ),
        body=_body(shape, half_mm, coupling, on_bogie=on_bogie),
        also=(
            None
            if shape.also is None
            else _body(shape.also, half_mm, coupling, on_bogie=on_bogie)
        ),
        swing_deg=coupling.swing_deg,
        mounting=coupling.mounting,
        buffers=buffers,
        touching_radius_mm=(
            None if buffers is None else _touching_radius(vehicle, shape)
        ),
        lacks=tuple(
            missing
            for missing in shape.missing
            if not missing.field.endswith("width_mm")
        ),
        guesses=(
            *shape.guesses,
            *_from_type(vehicle, at, own, types),
            *_on_the_body(vehicle, at, coupling),
            *buffer_guesses,
        ),
    )


def _measured_over_buffers(vehicle: Standing, at: At, own: Coupling | None) -> Standing:
    """Return the vehicle so that its reach counts from where its body is taken to end.

    Over the couplings a reach that is known was taken off the body, and is still there;
    one that is not known is in it.
    """
    own = own or Coupling()
    if is_over_couplings(vehicle):
        filled = coupling_at(vehicle, at) or own
        reach_mm = filled.reach_mm or 0.0
        own = msgspec.structs.replace(own, reach_mm=reach_mm)
    changed = {f"{at}_coupling": own}
    return msgspec.structs.replace(vehicle, **changed)


def _body(
    shape: BodyShape, half_mm: float | None, coupling: Coupling, *, on_bogie: bool
) -> PairBody | None:
    if shape.pivots_mm is None or half_mm is None:
        return None
    return PairBody(
        pivots_mm=shape.pivots_mm,
        bogie_wheelbase_mm=shape.bogie_wheelbase_mm,
        half_length_mm=half_mm,
        pivot_behind_mm=coupling.pivot_behind_mm,
        on_bogie=on_bogie,
    )


def _from_type(
    vehicle: Standing, at: At, own: Coupling | None, types: CouplingTypes
) -> Iterator[Guess]:
    own = own or Coupling()
    kind = kind_of(vehicle, own, types=types)
    if not isinstance(kind, TypicalKind):
        # What the club recorded of its own types is no guess.
        return
    for field in _FROM_TYPE:
        value = getattr(kind, field)
        if getattr(own, field) is None and value is not None:
            yield Guess(
                vehicle=vehicle.name,
                field=f"{at}_coupling.{field}",
                about=f"{_SUPPLIED[field].format(value)}, as is typical of {kind.name}",
                source="typical",
                value_mm=value if field == "pivot_behind_mm" else None,
            )


_SUPPLIED = {
    "swing_deg": "the coupling is taken to swing {:g}° to either side",
    "pivot_behind_mm": (
        "the coupling's pivot is taken to be {:g} mm behind the buffer face"
    ),
    "mounting": "the coupling is taken to be carried as its type says: {}",
}


def _on_the_body(vehicle: Standing, at: At, coupling: Coupling) -> Iterator[Guess]:
    if coupling.mounting == "bogie" and not has_bogie_at(vehicle, at):
        about = (
            "the coupling is taken to be carried by the body, since there are no bogies"
        )
        yield Guess(
            vehicle=vehicle.name,
            field=f"{at}_coupling.mounting",
            about=about,
            source="taken_as_read",
        )
    if coupling.mounting is None:
        about = "the coupling is taken to be carried by the body"
        yield Guess(
            vehicle=vehicle.name,
            field=f"{at}_coupling.mounting",
            about=about,
            source="default",
        )


def _buffers(
    vehicle: Standing, shape: BodyShape
) -> tuple[EndBuffers | None, tuple[Guess, ...]]:
    centres_mm = vehicle.buffer_centres_mm
    guesses: tuple[Guess, ...] = ()
    if centres_mm is None and vehicle.scale is not None:
        centres_mm = usual_centres_mm(vehicle.scale, practice=vehicle.practice)
        guesses = (_usual_buffers(vehicle, centres_mm),)
    if centres_mm == 0:
        return None, guesses
    return (
        EndBuffers(
            centres_mm=centres_mm,
            head_width_mm=vehicle.buffer_head_width_mm,
            width_mm=shape.width_mm,
        ),
        guesses,
    )


def _usual_buffers(vehicle: Standing, centres_mm: float) -> Guess:
    if centres_mm == 0:
        about = "it is taken to have no buffers, as American stock has none"
    else:
        about = (
            f"its buffers are taken to be {centres_mm:.1f} mm apart, as is usual in its"
            " scale"
        )
    return Guess(
        vehicle=vehicle.name,
        field="buffer_centres_mm",
        about=about,
        source="common_practice",
        value_mm=centres_mm,
    )


_GROUP_RATIOS: dict[ScaleName, float] = {"N": 160.0, "TT": 120.0, "H0": 87.0, "0": 43.5}
"""By which a model is held against the groups of full-size vehicles; in 0 the
standard's own is 43.5.
"""


def _touching_radius(vehicle: Standing, shape: BodyShape) -> float | None:
    if vehicle.scale not in _GROUP_RATIOS or vehicle.bodies is not None:
        return None
    if (
        shape.pivots_mm is None
        or shape.half_front_mm is None
        or shape.half_rear_mm is None
    ):
        return None
    ratio = _GROUP_RATIOS[vehicle.scale]
    on_bogies = vehicle.bogie_centres_mm is not None or shape.bogie_wheelbase_mm > 0
    return touching_buffers_radius_mm(
        vehicle.gauge_mm or scale(vehicle.scale).gauge_mm,
        over_buffers_m=(shape.half_front_mm + shape.half_rear_mm) * ratio / 1000,
        pivots_m=shape.pivots_mm * ratio / 1000,
        gear="bogies" if on_bogies else "two_axle",
    )


def _pair(leading: PairBody, following: PairBody, *, gap_mm: float) -> CoupledPair:
    return CoupledPair(
        leading=leading,
        following=following,
        gap_mm=gap_mm,
    )


def _is_link(leading: JointEnd, following: JointEnd, pulled: CoupledPair) -> bool:
    """Tell whether the coupling is a link between two pivots: a guided one lengthens on
    a curve.
    """
    if "guided" in (leading.mounting, following.mounting):
        return False
    link_mm = msgspec.structs.replace(pulled, linked=True).link_mm
    return link_mm is not None and tidy(link_mm) > 0


def _radians(angle_deg: float | None) -> float | None:
    return None if angle_deg is None else radians(angle_deg)
