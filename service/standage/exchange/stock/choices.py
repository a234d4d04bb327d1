"""The words that a cell may use for a choice, British and American: words of the trade,
in plain letters.
"""

from standage.railway.terms.synonyms import VEHICLE_KINDS, by_word

_SHORT_KINDS = {
    "engine": (
        "steam, electric, motive power, booster, slug, power car, "
        "atlantic, pacific, prairie, mogul, mikado, consolidation, ten wheeler"
    ),
    "coach": (
        "passenger, composite, buffet, sleeper, diner, combine, dome, baggage, rpo,"
        " full brake, brake third, brake second, open third, open second, open first,"
        " corridor third, corridor second, corridor first, bsk, sk, ck, fk, bck, bfk,"
        " tso, fo, bso, rb, rmb, bg, tpo"
    ),
    "wagon": (
        "freight, goods, goods stock, freight stock, box, hop, gon, flat, flats,"
        " mineral, bolster, plank, plank open, low loader, intermodal, double stack,"
        " milk tank, oil tank"
    ),
    "multiple_unit_car": "unit, mu, trainset, train set, centre car",
    "other": "mow, tender, spreader",
}
"""Words that say a kind in a column of kinds only: elsewhere they are too short to be
sure of.
"""

KINDS = by_word(VEHICLE_KINDS) | by_word(_SHORT_KINDS)
