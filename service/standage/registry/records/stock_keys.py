"""What a list of stock finds a vehicle again by, in the form in which it is kept beside
the vehicle and looked up.
"""

from standage.registry.database.tables import name_key
from standage.registry.records.bodies import VehicleBody


def without_noughts(number: str) -> str | None:
    """Return a number of figures alone without the noughts before it, as spreadsheets
    keep it; None for any other.

    >>> without_noughts("00012"), without_noughts("S 012")
    ('12', None)
    """
    plain = number.strip()
    # other scripts' digits are no figures here: a spreadsheet leaves them as text
    if not (plain.isascii() and plain.isdigit()):
        return None
    return plain.lstrip("0")


def stock_key(number: str) -> str:
    """Return what two numbers share that one row can mean: letter case, spacing and
    noughts before figures aside.

    >>> stock_key("0047") == stock_key(" 47"), stock_key("S  12") == stock_key("s 12")
    (True, True)
    """
    bare = without_noughts(number)
    if bare is None:
        return name_key(number)
    return bare


def stock_key_of(body: VehicleBody) -> str | None:
    """Return the key of a vehicle: of its owner's own for it, else of its number; None
    where it has neither.
    """
    number = body.external_key
    if number is None:
        number = body.number
    if number is None:
        return None
    return stock_key(number)
