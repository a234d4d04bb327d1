"""What the OpenAPI document says of the whole service, and of each of its parts."""

TAGS = {
    "Questions": "Will it work? Every answer is a value with its figures, its reasons and what was assumed.",
    "Shunting": "Yards: the best way to make a train, puzzles from the club's own wagons, and their sheets.",
    "Club": "The club itself, its members and the tokens of its programs.",
    "Signing in": "Passphrases, invitations to set one, and the sessions that come of signing in.",
    "Stock": "Coupling types, vehicles, and the rakes and trains they make up.",
    "Modules": "Modules, the ends they are joined at, and the club's own standard for them.",
    "Layouts": "Layouts, the places on them where trains stand, and links by which others look at one layout.",
    "History": "Who changed what and when, taking a change back, and bringing deleted records back.",
    "Service": "Whether the service is alive and ready.",
}
DESCRIPTION = """\
Standage keeps a model railway club's stock and the places on its layouts, and says beforehand whether a train fits a
road, whether stock runs on a curve, and whether trains clear each other.

All lengths are in millimetres, masses in grams, angles in degrees, gradients in per cent. A "no" is an answer with
status 200. What nobody measured is listed under `assumed`; where a missing figure matters the answer is `cannot_tell`
and names the vehicle and the field to measure.

Errors are problems (RFC 9457) of the type `application/problem+json`; a 422 lists everything that is wrong at once.
"""
