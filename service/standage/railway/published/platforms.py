"""Platforms: how far their edge lies from the track, and how high they are."""

from standage.railway.published.full_size import FullSize
from standage.railway.published.tables import Found, NotHeld, Standard
from standage.railway.terms.scales import Practice, ScaleName, scale

STANDARD_GAUGE_M = 1.435
EDGE_FROM_RAIL_M = 0.730
"""From the near rail's running edge."""

_BRITISH = FullSize(Standard(name="British railway group standard"), "british")
_EUROPEAN = FullSize(Standard(name="European platform practice"), "continental")
_AMERICAN = FullSize(Standard(name="North American platform practice"), "american")
_BY_PRACTICE = {one.practice: one for one in (_BRITISH, _EUROPEAN, _AMERICAN)}

_HEIGHTS: dict[Practice, tuple[tuple[float, str], ...]] = {
    "british": ((0.915, "platform 915 mm high"),),
    "continental": (
        (0.550, "platform 550 mm high"),
        (0.760, "platform 760 mm high"),
    ),
    "american": (
        (8 * 0.0254, "platform 8 in high"),
        (48 * 0.0254, "platform 48 in high"),
    ),
}
"""Above the rail's top, the lowest first."""


def platform_edge(name: ScaleName) -> Found:
    """Return from the centre line of straight track to a platform's edge, in mm.

    The full size's gauge counts, whatever the model's: it is the stock that has to pass,
    and that is as wide in 00 as in P4. **Source** British railway group standard: 730 mm
    from the near rail's running edge. No other practice's is held.

    >>> round(platform_edge("00").value_mm, 1), platform_edge("P4") == platform_edge("00")
    (19.0, False)
    """
    from_centre_m = STANDARD_GAUGE_M / 2 + EDGE_FROM_RAIL_M
    words = "platform edge from the centre line"
    practice = scale(name).practice
    if practice != "british":
        standard = _BY_PRACTICE[practice].standard
        return NotHeld(standard=standard, row=f"{name}, {words}")
    return _BRITISH.found(name, full_m=from_centre_m, words=words)


def platform_heights(name: ScaleName) -> tuple[Found, ...]:
    """Return the heights of platforms above the rail's top in a scale, in mm, the
    lowest first.

    **Source** British railway group standard, 915 mm; European practice 550 and 760 mm;
    North American 8 and 48 in.

    >>> [round(one.value_mm, 1) for one in platform_heights("H0")]
    [6.3, 8.7]
    """
    practice = scale(name).practice
    standard = _BY_PRACTICE[practice]
    return tuple(
        standard.found(name, full_m=full_m, words=words)
        for full_m, words in _HEIGHTS[practice]
    )
