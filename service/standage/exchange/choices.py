"""The words that a cell may use for a choice, British and American: words of the trade, in plain letters."""

from collections.abc import Mapping

from standage.railway.terms.spellings import SCALE_SPELLINGS
from standage.railway.terms.synonyms import VEHICLE_KINDS, by_word

_SHORT_KINDS = {
    "engine": "steam, electric, motive power, booster, slug, power car, "
    "atlantic, pacific, prairie, mogul, mikado, consolidation, ten wheeler",
    "coach": "passenger, composite, buffet, sleeper, diner, combine, dome, baggage, rpo, full brake, brake third, "
    "brake second, open third, open second, open first, corridor third, corridor second, corridor first, "
    "bsk, sk, ck, fk, bck, bfk, tso, fo, bso, rb, rmb, bg, tpo",
    "wagon": "freight, goods, goods stock, freight stock, box, hop, gon, flat, flats, mineral, bolster, plank, "
    "plank open, low loader, intermodal, double stack, milk tank, oil tank",
    "multiple_unit_car": "unit, mu, trainset, train set, centre car",
    "other": "mow, tender, spreader",
}
"""Words that say a kind in a column of kinds only: elsewhere they are too short to be sure of."""
_PRACTICES = {
    "british": "british, uk, gb, britain",
    "continental": "continental, european, europe, german, french, swiss",
    "american": "american, us, usa, north american",
}
_LENGTHS_OVER = {
    "buffers": "buffers, over buffers, buffer faces, buffer, lob",
    "couplings": "couplings, over couplings, couplers, over couplers, coupler, coupling, pulling faces, "
    "over pulling faces",
    "body": "body, over the body, over body, body only",
}
_LENGTHS_FROM = {
    "measured": "measured, ruler, calipers, callipers, tape",
    "maker": "maker, makers figure, maker's figure, manufacturer, catalogue, catalog, box",
    "scaled": "scaled, scaled down, from the full size, drawing",
}
_MOUNTINGS = {"body": "body, body mounted", "bogie": "bogie, truck, bogie mounted", "guided": "guided, shaft"}


def _by_word(table: Mapping[str, str]) -> dict[str, str]:
    own = {value.replace("_", " ").casefold(): value for value in table}
    return {word.strip(): value for value, words in table.items() for word in words.split(",")} | own


def _scale_words() -> dict[str, str]:
    """Return the scales by each spelling, with and without the spaces in it and the word scale or gauge after it."""
    words: dict[str, str] = {}
    for name, spellings in SCALE_SPELLINGS.items():
        for spelt in (one.casefold() for one in spellings):
            for form in (spelt, spelt.replace(" ", "")):
                words |= {form: name, f"{form} scale": name, f"{form} gauge": name}
    return words


KINDS = by_word(VEHICLE_KINDS) | by_word(_SHORT_KINDS)
PRACTICES = _by_word(_PRACTICES)
LENGTHS_OVER = _by_word(_LENGTHS_OVER)
LENGTHS_FROM = _by_word(_LENGTHS_FROM)
COUPLING_MOUNTINGS = _by_word(_MOUNTINGS)
SCALES = _scale_words()
