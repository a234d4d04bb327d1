"""What is looked at: SVG in black, white and one grey, true to length.

Reading order: ``paper`` (a page, words and lines on it), ``yard_panels`` (one position
of a yard, vehicles), ``shunting_sheets`` (a plan, its pages, a visitor's card),
``standing_trains`` (a train in its place), ``fits_sheets`` (trains against places),
``board_loops`` (a board with its loops), ``to_scale`` (a frame, and dimensions in it),
``lineside_sections``, ``lineside_plans`` and ``lineside_sheets`` (what stands beside the
track), ``headroom_stacks`` (one track over another), ``material_sheets`` (what a plan is made
of, and how its track is cut); then the rooms ``plans`` (track
plans) and ``pointwork`` (points and what is laid with them).

Words. A *sheet* is looked at or printed; a *panel* is one position on it; a *card* is
what a visitor is handed. A vehicle bears a *label*: its name, or where one name does
not fit all bear numbers, which the *key* explains. The *scale* is mm of paper for one
of the road.

Decisions, each with the test that holds it:

- Roads and vehicles are true to length on one scale, so that what does not fit is seen
  not to: tests/drawings/test_standing_trains.py, tests/drawings/test_yard_drawings.py.
- Pages are as high as Letter and as wide as A4, and print on both:
  tests/drawings/test_yard_drawings.py.
- A verdict in a table is a sign that is read without colour, and mm to spare are whole
  ones, rounded down; 200 trains against 100 places go on at most forty pages, so that
  all are shown together: tests/drawings/test_fits_sheets.py.
- Where there is no plan or no puzzle the sheet says why:
  tests/api/test_shunting_sheets_over_http.py.
- Every cut of a length of track is named, beneath it where it is too short to write in:
  tests/drawings/test_material_sheets.py.
- What stands beside the track is where the stock just does not touch it, and of what is
  not known nothing is drawn: tests/drawings/test_lineside_drawings.py.
"""
