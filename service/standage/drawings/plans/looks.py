"""How a drawing is to look: on which paper, with which track, and what its title block
says.
"""

from typing import Literal

import msgspec

from standage.drawings.plans.sheets import PaperName

TrackStyle = Literal["plain", "sleepered", "centre_lines"]


class Look(msgspec.Struct, frozen=True, kw_only=True):
    """The paper, the track and the title block; ``dated`` is written as it is given."""

    paper: PaperName = "a4"
    track: TrackStyle = "plain"
    revision: str | None = None
    dated: str | None = None
