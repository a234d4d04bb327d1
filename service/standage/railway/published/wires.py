"""How high an overhead wire hangs above the rail's top."""

from standage.railway.published.full_size import FullSize
from standage.railway.published.tables import Found, Standard
from standage.railway.terms.scales import ScaleName, scale

_BRITISH = FullSize(Standard(name="British overhead wire practice"), "british")
_CONTINENTAL = FullSize(
    Standard(name="Continental overhead wire practice", as_quoted=True), "continental"
)
_NORMAL_AND_LEAST_M = {"british": (4.70, 4.165), "continental": (5.50, 4.95)}


def wire_heights(name: ScaleName) -> tuple[Found, ...]:
    """Return how high a wire hangs in a scale, normally and at least, in mm; none where
    no practice is held.

    **Source** British practice, 4.70 and 4.165 m; on the continent 5.50 and 4.95 m, as
    quoted.

    >>> [round(one.value_mm, 1) for one in wire_heights("00")]
    [61.7, 54.7]
    """
    practice = scale(name).practice
    if practice == "american":
        return ()
    standard = _BRITISH if practice == "british" else _CONTINENTAL
    normal_m, least_m = _NORMAL_AND_LEAST_M[practice]
    return (
        standard.found(name, full_m=normal_m, words=f"wire, {normal_m:.2f} m normal"),
        standard.found(name, full_m=least_m, words=f"wire, {least_m:g} m at least"),
    )
