"""What is asked where nobody knows whether two couplings take hold of each other."""

from standage.railway.terms.reasons import Reason


def same_coupling(
    vehicle: str, other: str, types: tuple[str | None, str | None]
) -> Reason:
    """Return the question whether two differently named couplings are the same, or take
    hold of each other. **Source** plain English.
    """
    one, two = types
    message = (
        f"{vehicle} has {one} and {other} has {two}: are these the same? Nothing on"
        " record says so; record both types, and which takes hold of which"
    )
    return Reason(
        code="couplings_may_not_mate",
        message=message,
        vehicle=vehicle,
        other_vehicle=other,
        field="coupling.type",
    )
