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
    "Files": (
        "Spreadsheets of stock in and out, and everything that the club or one member"
        " has, as one document."
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
cent. A `plus_minus_mm` is how far off the figure beside it may be, either way. A "no" is
an answer with status 200. What nobody measured is listed under `assumed`; where a
missing figure matters the answer is `cannot_tell` and names the vehicle and the field
to measure.

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

Lists come in pages, which are joined by cursors: follow `next` until it is absent. A PUT
takes away what its body leaves out, and its read-only fields may stand as they are. A
PATCH is a merge patch (RFC 7396): what is null is taken away, lists are replaced whole.

Errors are problems (RFC 9457) of the type `application/problem+json`; a 422 lists
everything that is wrong at once. An operation lists the refusals that are its own;
those that may come of any stand under `default`: 400 for what cannot be read, 401
without a token that holds, 406, 408, 413 and 415 for form, pace and size, 429 for too
many, 500 and 503 for what is ours.

**What may change.** Within `/v1` nothing that works ceases to: no field, operation or
word that may be sent is taken away, and nothing more is asked for. Answers may get new
fields, and every choice of words in an answer may get new words: pass over, or show as
it is, what you do not know. What is to go is marked `deprecated` here first; its
answers then carry the headers `Deprecation` (RFC 9745) and `Sunset` (RFC 8594), at
least a year before it goes, and it goes with `/v2` only.

**Headers.** Every answer has an `X-Request-Id`: the one that you sent, if it is a UUID
or 32 hexadecimal digits, else the trace of your `traceparent`, else one of our own.
`RateLimit` and `RateLimit-Policy` (the IETF's draft for them) say how many requests of
a sort are left. OPTIONS says in `Accept-Patch` in which forms a change of some fields
may be sent. Examples of answers here show the first record of each list, and leave the
longest lists of a long answer empty.
"""
