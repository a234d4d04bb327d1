"""The words that a cell of a sheet of track may use for a choice: of the trade, British
and American, in plain letters.
"""

from collections.abc import Mapping
from typing import get_args

from standage.railway.terms.synonyms import PLACE_KINDS, by_word, in_plain_letters
from standage.railway.track.plans.plan import PlannedPlaceKind

PIECE_KINDS = by_word(
    {
        "straight": "straight track, plain straight, plain track, plain line",
        "curve": "curved track, bend, arc",
        "transition": "transition curve, easement, spiral, spiral easement",
        "flexible": "flexible track, flex, flex track, flexi, flexi track",
        "track": "measured track, length of track, taped track",
        "points": "point, turnout, switch, set of points, ordinary points",
        "y_points": "y point, y turnout, wye, wye turnout, symmetrical points",
        "curved_points": "curved point, curved turnout, curved switch",
        "three_way": "three way points, three way turnout, 3 way, 3 way points",
        "diamond": "diamond crossing, crossing, flat crossing",
        "single_slip": "slip, single slip points",
        "double_slip": "double slip points",
        "buffer_stop": "buffers, buffer, stop, bumper, stop block",
        "open_end": "open, end of plan, off stage",
        "trap": "trap points, catch points, derail",
        "turntable": "turn table",
        "traverser": "transfer table, sliding deck",
        "sector_plate": "sector table, swinging deck",
        "cassette": "loose cassette",
    }
)
_HANDS = by_word(
    {
        "left": "l, lh, left hand, left handed, to the left",
        "right": "r, rh, right hand, right handed, to the right",
    }
)
WORDS: Mapping[str, Mapping[str, str]] = {
    "kind": PIECE_KINDS,
    "hand": _HANDS,
    "first_hand": _HANDS,
    "state": by_word(
        {
            "laid": "laid already, in place",
            "planned": "not laid, to be laid",
            "fixed": "fixed for good, glued",
        }
    ),
    "crossing": by_word({"live": "live frog", "dead": "dead frog, insulated"}),
    "number_is": by_word(
        {"tangent": "by tangent", "centre_line": "center line, by centre line"}
    ),
    "fitted": by_word({"yes": "y, fitted, true, x", "no": "n, false"}),
    "place_kind": {
        **by_word(PLACE_KINDS),
        **{in_plain_letters(kind): kind for kind in get_args(PlannedPlaceKind)},
    },
}
"""By field: every word, and the choice that it means."""
