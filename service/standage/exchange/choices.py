"""The words that a cell may use for a choice, British and American: words of the trade, in plain letters."""

from collections.abc import Mapping

from standage.railway.terms.spellings import SCALE_SPELLINGS

_KINDS = {
    "engine": """
        engine, engines, loco, locos, locomotive, locomotives, steam, steam engine, steam loco, steam locomotive,
        tank engine, tank loco, tank locomotive, tender engine, tender loco, pannier tank, saddle tank, side tank,
        diesel, diesel engine, diesel loco, diesel locomotive, diesel shunter, electric, electric engine,
        electric loco, electric locomotive, shunter, switcher, road switcher, cab unit, booster unit, booster, slug,
        power car, atlantic, pacific, prairie, mogul, mikado, consolidation, ten wheeler
    """,
    "coach": """
        coach, coaches, carriage, carriages, passenger car, passenger coach, passenger stock, coaching stock, saloon,
        dining car, diner, restaurant car, buffet car, buffet, sleeping car, sleeper, baggage car, baggage, combine,
        observation car, dome car, dome, lounge car, parlor car, parlour car, mail car, post office car, rpo,
        composite, full brake, brake third, brake second, brake composite, open third, open second, open first,
        corridor third, corridor second, corridor first, autocoach, auto coach, autotrailer, auto trailer, bsk, sk,
        ck, fk, bck, bfk, tso, fo, bso, rb, rmb, bg, tpo
    """,
    "wagon": """
        wagon, wagons, car, cars, freight, freight car, freight cars, freight wagon, freight stock, goods,
        goods wagon, goods van, goods stock, van, vans, boxcar, boxcars, box car, box, hopper, hoppers, hopper car,
        covered hopper, hop, tank wagon, tank car, tanker, milk tank, oil tank, flat wagon, flat, flats, flat car,
        flatcar, open wagon, gondola, gon, mineral wagon, mineral, coal wagon, reefer, refrigerator car, stock car,
        cattle car, auto rack, autorack, container wagon, container flat, intermodal, double stack, well wagon,
        well car, spine car, bolster, bogie bolster, low loader, plank open, plank, horse box, horsebox
    """,
    "brake_van": """
        brake van, brakevan, goods brake, guards van, guard's van, guard van, caboose, cabin car, way car
    """,
    "multiple_unit_car": """
        multiple unit car, multiple unit, unit car, motor coach, trailer car, driving trailer, driving motor, mu,
        dmu, dmus, dmmu, demu, demus, emu, emus, dmu car, emu car, demu car, dmu power car, emu power car,
        demu power car, dmu trailer, emu trailer, hst, high speed train, railcar set, unit, trainset, train set,
        centre car
    """,
    "railcar": """
        railcar, railcars, rail car, railbus, rail bus, railmotor, rail motor, steam railmotor, motor railcar, tram,
        tramcar, streetcar, interurban, gas electric
    """,
    "other": """
        other, crane, departmental, maintenance, maintenance of way, mow, snowplough, snow plough, snowplow,
        snow plow, spreader, track machine, on-track machine, tender
    """,
}
_PRACTICES = {
    "british": "british, uk, gb, britain",
    "continental": "continental, european, europe, german, french, swiss",
    "american": "american, us, usa, north american",
}
_LENGTHS_OVER = {
    "buffers": "buffers, over buffers, buffer faces, buffer, lob",
    "couplings": "couplings, over couplings, couplers, over couplers, coupler, coupling, pulling faces, "
    "over pulling faces",
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


KINDS = _by_word(_KINDS)
PRACTICES = _by_word(_PRACTICES)
LENGTHS_OVER = _by_word(_LENGTHS_OVER)
LENGTHS_FROM = _by_word(_LENGTHS_FROM)
COUPLING_MOUNTINGS = _by_word(_MOUNTINGS)
SCALES = _scale_words()
