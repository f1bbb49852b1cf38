"""Ground: errors, notes, units and names of arrays.

Any room may use any module of it; it imports nothing of the project.
"""
