"""Point clouds: opened, unpacked in chunks, what is no base taken away, the rest put in squares.

`survey` is the way in, `tally` for a look that keeps no points. `las_*` and `copc` look at what a
file promises before any library is let near its points.
"""
