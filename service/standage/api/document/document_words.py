"""What the OpenAPI document says of the whole service, and of each of its parts."""

TAGS = {
    "Questions": (
        "Will it work? Every answer is a value with its figures, its reasons and what"
        " was assumed."
    ),
    "Shunting": (
        "Yards: the best way to make a train, puzzles from the club's own wagons, and"
        " their sheets."
    ),
    "Club": "The club itself, its members and the tokens of its programs.",
    "Signing in": (
        "Passphrases, invitations to set one, and the sessions that come of signing in."
    ),
    "Stock": "Coupling types, vehicles, and the rakes and trains they make up.",
    "Modules": (
        "Modules, the ends they are joined at, and the club's own standard for them."
    ),
    "Layouts": (
        "Layouts, the places on them where trains stand, and links by which others look"
        " at one layout."
    ),
    "History": (
        "Who changed what and when, taking a change back, and bringing deleted records"
        " back."
    ),
    "Service": "Whether the service is alive and ready.",
}
DESCRIPTION = """\
Standage keeps a model railway club's stock and the places on its layouts, and says
beforehand whether a train fits a road, whether stock runs on a curve, and whether
trains clear each other.

All lengths are in millimetres, masses in grams, angles in degrees, gradients in per
cent. A "no" is an answer with status 200. What nobody measured is listed under
`assumed`; where a missing figure matters the answer is `cannot_tell` and names the
vehicle and the field to measure.

Where an id of a record is asked for, its name will do, if no other record of the club
has it: `"train_id": "Morning coal"`, or `"train": "Morning coal"` without the `_id`, in
queries too. Words that the trade has for one thing, British and American, are
understood in fields and choices, and kept as the words of this document: locomotive
(engine), carriage and passenger car (coach), freight car and goods wagon (wagon),
caboose (brake_van), passing siding (loop), spur (siding), switching lead (headshunt),
turnout (points), coupler (coupling), truck (bogie). Where a word means another thing
across the ocean (car, siding, loop, points), `assumed` says how it is taken, unless
scale or practice leaves no doubt. A scale is understood as people spell it: OO9 and
00-9 are 009, 7 mm is 0 British, HOe is H0e. A date alone, where a moment is asked for,
is the end of that day in UTC.

Errors are problems (RFC 9457) of the type `application/problem+json`; a 422 lists
everything that is wrong at once.
"""
