"""Plans how a household's goods go from warehouse vaults into a truck.

Pure: no Django, no clock, no input or output. Lengths are whole millimetres, weights whole
grams, areas whole square millimetres. Frame: x from the nose to the doors, y from the left wall
as seen from the doors, z from the deck up.
"""
