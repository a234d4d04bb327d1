"""How coupled vehicles go round curves: placed on the path, tried at every joint, and
what would cure what fails.

Reading order: ``throws`` (one vehicle on one radius), ``known_vehicles`` (what is known
of each), ``pairs`` and ``passages`` (two coupled vehicles placed along a path),
``strains`` and ``joints`` (what a joint bears, at its worst), ``buffers`` (when faces
lock), ``evidence``, ``ratio_advice`` and ``verdicts`` (which evidence decides),
``cures``, ``straights`` (between opposite curves) and ``words``; ``curves`` answers for
a whole train. The other way round: ``least_radii`` (of a vehicle, rule by rule),
``joint_radii`` (of the joints of a train) and ``published_radii`` (what the tables
say).

Words: *throw* is how far the middle of a body stands in, and its ends out; *offset* how
far two coupled ends stand aside, *swing* how far a coupling turns; *locked buffers* are
faces that touch on the inside while their heads overlap by less than a third; *ratio*
is radius divided by coupled length.

Decisions:

- **A missing bogie wheelbase counts as 0** in throws, and says so: the throws are then
  a little too small.
- **Only a trial overrules NEM 111's bound of 12°.** A maker's radius beside wheels that
  cannot follow it is likelier a slip.
- **An engine's least radius is never assumed.** Geometry within the bound proves
  nothing for three axles or more. Other stock with known wheels runs where nothing
  known stops it, but gets no plain yes below 1.2 times its length.
- **Entry of a plain curve**: its figures and verdicts stand beside those of the curve
  (``on_entry``), and the worse of the two is the joint's ``verdict``, since every curve
  is entered from somewhere. Couplings are judged only where they are asked about.
- **A pulled coupling is a link between its two pivots**, as long on every curve as on
  straight track, where both are known and neither is guided; otherwise the gap is held
  along the mean of the two bodies. Buffered up the gap is held.
- **The advice by length is the last of all evidence** (``curving/ratio_advice``):
  wheels that nothing is known against are none better. A figure that is added never
  makes an answer milder (tests/laws/test_added_figure_laws.py): so a typical reach, one
  that is not known and one behind the buffers add nothing to the coupled length, a
  length that is only scaled speaks for a vehicle or not at all, and what refuses does
  so before a figure is asked for. Where every joint of a vehicle is swept the advice
  gives way to that. A ± of the curve never betters an answer.
- **A straight between opposite curves is by the joints as they are swept; else it is
  as long as the longest vehicle over its body**, as module builders lay it, which is
  said, and refuses nothing: tests/questions/test_curve_question.py.
- **The least radius is where a curve just says yes**: on it every vehicle, and every
  joint that can be swept, runs, and on a tenth of a mm less not all do
  (tests/laws/test_least_radius_laws.py asks the question of a curve). What is only
  advice, 3 and 5 times the coupled length, is listed and never decides. The lengths
  give way only where every joint of the train can be swept:
  tests/questions/test_least_radius_question.py.
- **Advice on curves is in whole millimetres**, names the joint, and says the verdict it
  brings; one millimetre less does not. What is printed of a figure lies on the side of
  its limit on which it is judged (``figures.beside``, ``at_most``, ``at_least``).
- **Advice is rounded to the safe side and asked again**: each says the verdict that it
  brings, and tests/laws ask it with just that figure, and with one step less. A climb's
  advice is by the train that it is judged by.
"""
