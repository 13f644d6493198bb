"""Pure physics of a finishing tank: arrays or scalars in, the same shape out, SI units throughout.

Every function broadcasts its arguments as numpy does and checks nothing: the caller vouches for the units.
A scalar in gives a numpy scalar out.
"""
