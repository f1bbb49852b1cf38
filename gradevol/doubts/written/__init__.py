"""What looks wrong in the points of a file, as they are written in it.

`check_points` of `checks` looks for all that is known to go wrong in `points.Points`, which are in
the file's own numbers. Each check is one rule, and gives findings as data, with stable codes.
"""
