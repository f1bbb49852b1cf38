"""Site: what is there and what is drawn.

Survey, rechecks, surface, slab, thickenings, design top, levelling, places by tape.
"""
