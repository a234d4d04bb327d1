"""Track: paths in the plane, and track plans with all that follows from them.

Its rooms, each knowing only those before it: ``paths`` (curves, and bodies on them),
``pieces`` (what a plan is made of), ``plans`` (the document, and what is wrong with
one), ``placing`` (where everything lies) beside ``network`` (which track leads where),
``fouling`` (where two ways are apart), ``roads`` (what stands
between two limits), ``survey`` (all of it at once).

Lengths are mm, curvature 1/mm and more than 0 to the left, angles radians
anticlockwise; x is to the right and y up. Degrees, and headings between -180 and 180,
are for the edge.
"""
