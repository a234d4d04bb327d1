"""What was found of one sort of joint on an alignment, and what it makes of the
verdict; the names are left out.
"""

from math import inf

import msgspec

from standage.railway.curving.alignment import (
    Alignment,
    entry_paths,
    has_entry_apart,
    judged_paths,
    steady_paths,
)
from standage.railway.curving.strains import Strain, TriedJoint, strain
from standage.railway.curving.tried_joints import pushing
from standage.railway.curving.verdicts import WORST_FIRST, CurveVerdict
from standage.railway.terms.reasons import worst


class JointFigures(msgspec.Struct, frozen=True, kw_only=True):
    """The worst of one joint somewhere; null is what cannot be told.

    ``swing_deg`` is that of the coupling that uses most of the swing it has,
    ``swing_limit_deg`` what that one has. ``offset_mm`` and the swing are those of the
    pair pulled out, ``least_buffer_gap_mm`` that of it buffered up: on the inside, at
    the outer edge of the heads where their width is known, else in their middle; less
    than 0 where they would have to pass into each other.
    """

    verdict: CurveVerdict
    pulling: CurveVerdict
    pushing: CurveVerdict
    offset_mm: float | None = None
    swing_deg: float | None = None
    swing_limit_deg: float | None = None
    least_buffer_gap_mm: float | None = None


class Found(msgspec.Struct, frozen=True, kw_only=True):
    """The strains of a joint: where the main figures come from, on the entry where that
    is judged apart, and steady.

    A strain of None means that the pair cannot stand there.
    """

    joint: TriedJoint
    main: Strain | None
    entry: Strain | None
    entry_counts: bool
    steady: Strain | None

    @property
    def parts(self) -> tuple[Strain | None, ...]:
        """The strains that the verdict rests on."""
        return (self.main, self.entry) if self.entry_counts else (self.main,)

    @property
    def hardness(self) -> float:
        """How hard the joint is tried: the share of its swing, or infinite where
        buffers lock or it cannot stand.
        """
        hardness = 0.0
        for part in self.parts:
            if part is None or pushing(self.joint, part) == "does_not_run":
                return inf
            hardness = max(
                hardness, *(share for share in part.shares if share is not None), 0.0
            )
        return hardness

    @property
    def needs_cure(self) -> bool:
        """Whether anything that is known of it keeps it from running well."""
        verdicts = [
            verdict
            for part in self.parts
            for verdict in both_verdicts(self.joint, part)
        ]
        return "does_not_run" in verdicts or "marginal" in verdicts

    def figures(self, part: Strain | None) -> JointFigures:
        """Return one of the strains as figures with their verdict."""
        pulled, pushed = both_verdicts(self.joint, part)
        verdict = worst((pulled, pushed), order=WORST_FIRST)
        if part is None:
            return JointFigures(verdict=verdict, pulling=pulled, pushing=pushed)
        swing_deg, limit_deg = part.telling_swing(self.joint)
        return JointFigures(
            verdict=verdict,
            pulling=pulled,
            pushing=pushed,
            offset_mm=part.offset_mm,
            swing_deg=swing_deg,
            swing_limit_deg=limit_deg,
            least_buffer_gap_mm=part.buffer_gap_mm,
        )


def find(joint: TriedJoint, alignment: Alignment) -> Found:
    """Return what the alignment does to a joint."""
    longest_mm = max(joint.pulled.wheels_mm, joint.pushed.wheels_mm)
    steady = strain(steady_paths(alignment), joint)
    alone = not alignment.reverse and not alignment.entry
    entry_counts = has_entry_apart(alignment)
    return Found(
        joint=joint,
        main=(
            steady
            if alone
            else strain(judged_paths(alignment, longest_mm=longest_mm), joint)
        ),
        entry=strain(entry_paths(alignment), joint) if entry_counts else None,
        entry_counts=entry_counts,
        steady=steady,
    )


def both_verdicts(
    joint: TriedJoint, part: Strain | None
) -> tuple[CurveVerdict, CurveVerdict]:
    """Return the verdict of pulling and of pushing."""
    if part is None:
        return "does_not_run", "does_not_run"
    return part.pulling, pushing(joint, part)
