"""The words that a cell may use for a choice, British and American: words of the trade, in plain letters."""

from collections.abc import Mapping

_KINDS = {
    "engine": "engine, engines, loco, locos, locomotive, steam engine, steam loco, steam locomotive, tank engine, "
    "tender engine, diesel, diesel engine, diesel loco, diesel locomotive, electric loco, electric locomotive, "
    "shunter, switcher",
    "coach": "coach, coaches, carriage, passenger car, passenger coach, saloon, dining car, sleeping car, baggage car, "
    "coaching stock",
    "wagon": "wagon, wagons, car, freight car, freight wagon, goods wagon, goods van, van, boxcar, box car, hopper, "
    "hopper car, tank wagon, tank car, flat wagon, flat car, flatcar, open wagon, gondola, mineral wagon, coal wagon",
    "brake_van": "brake van, brakevan, guards van, guard's van, caboose",
    "multiple_unit_car": "multiple unit car, multiple unit, unit car, motor coach, trailer car, driving trailer",
    "railcar": "railcar, rail car, railbus, rail bus",
    "other": "other, crane, departmental, maintenance",
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
_SCALES = {
    "Z": "z, 1:220",
    "N": "n, 1:160, n scale",
    "N British": "n british, british n, n gb, 1:148",
    "3 mm": "3 mm, 3mm, 1:101.6",
    "TT": "tt, 1:120",
    "H0": "h0, 1:87, 3.5 mm, 3.5mm",
    "HO": "ho, 1:87.1, ho scale",
    "H0m": "h0m, hom",
    "H0e": "h0e, hoe",
    "00": "00, 1:76, 1:76.2, 4 mm, 4mm, 00 scale",
    "OO": "oo, oo scale",
    "EM": "em",
    "S": "s, 1:64",
    "0": "0 scale, 1:45",
    "0 British": "0 british, british 0, 1:43.5, 1:43, 7 mm, 7mm",
    "O": "o, 1:48, o scale",
    "1": "1, 1:32",
}


def _by_word(table: Mapping[str, str]) -> dict[str, str]:
    own = {value.replace("_", " ").casefold(): value for value in table}
    return {word.strip(): value for value, words in table.items() for word in words.split(",")} | own


KINDS = _by_word(_KINDS)
PRACTICES = _by_word(_PRACTICES)
LENGTHS_OVER = _by_word(_LENGTHS_OVER)
LENGTHS_FROM = _by_word(_LENGTHS_FROM)
COUPLING_MOUNTINGS = _by_word(_MOUNTINGS)
SCALES = _by_word(_SCALES)
