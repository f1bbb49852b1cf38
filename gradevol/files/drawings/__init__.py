"""Drawings, GIS files and surfaces: points, faces and rings, whichever format they are in.

`formats` finds points and surfaces, `outline` rings; each format has its own module.
"""
