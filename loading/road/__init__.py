"""What road and law ask of a load: weights, holding it, and what to do when it does not pass.

Pure: frozen data in, frozen data out; lengths in mm, weights in g. One rule a module, its source
in the docstring. All of it is a planning aid: local codes, the vehicle's plates, a scale and a
qualified person decide.
"""
