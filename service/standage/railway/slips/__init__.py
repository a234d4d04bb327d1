"""Likely slips of the pen in figures, named with what was probably meant.

A slip is a warning and never a refusal: inches written for millimetres, a diameter for
a radius, the gap between two tracks for their spacing, a wire's diameter for its area.

Reading order: ``slip`` (what a slip is, and a figure in the wrong unit), ``bounds`` (what
railways have), ``track``, ``helix``, ``columns``, ``wire`` (slips that are none of
units), ``parts`` (a whole taken apart, by what the types of its fields say),
``car_classes``, ``judges`` (what is looked for: by the sense of a figure, in a vehicle,
in a place, in all of it), ``place_words``.

Words. A *sense* is what a figure is about, and stands in its type
(``terms.senses``); *bounds* are what full-size railways have of it; a *reading* is one
way in which a figure goes wrong; a *whole* is a case or a record, a *part* a struct
within it. *Around* is what the whole tells of a figure in it: the scale, the longest
vehicle.

Decisions, each with the test that holds it:

- A slip is named only where a known mistake explains the figure, what it proposes is a
  figure that raises none, and no answer changes for one: tests/laws/test_slip_laws.py.
- Nothing published is suspected, in any scale: the same.
- The sense of a figure stands in its type, and nothing here knows a field's name. By
  name, a piece of track 38 mm long was told to be a train, and each new struct had to
  be named like an old one: tests/railway/slips/test_case.py,
  tests/questions/test_senses_of_figures.py.
- Every figure that is sent has a sense, or a reason why no slip can be thought of:
  tests/questions/test_senses_of_figures.py.
- There is one walk over a case or a record for all questions: of twenty that looked out
  for themselves six did not: tests/api/test_every_answer_warns.py.
- What names no scale is of the nearest one around it, then of the only one that roads
  name, then of the only one that vehicles name; where they differ, no slip rests on a
  guess: tests/railway/slips/test_case.py.
- A wire may be known by its name alone (16/0.2, 22 AWG, 22 SWG). "22 gauge" and "1.5 mm
  cable" mean two areas each, which is asked, not chosen:
  tests/railway/slips/test_slips.py.
- A spacing is from another column only where it is just that column's and too little
  for its own scale, or stands beside no radius: tests/railway/slips/test_columns.py.
- A helix's run is that of one turn only where its rise is steeper than any line, and
  nobody says how many turns it has: tests/railway/slips/test_helix_slips.py.
- A class of a car is suspected only where none is held:
  tests/railway/slips/test_car_classes.py.
- A wire's area is held against its name only where they are a quarter apart, as nominal
  areas are not: tests/railway/slips/test_wire_names.py.
- A proposed figure is written in full: tests/laws/test_slip_laws.py.
- Kinds of place that mean another thing across the ocean (siding, loop) are in doubt in
  American practice only, and where the ends do not tell: tests/api/test_other_words.py.
"""
