"""Field sheets of rods and of depths, put in plan, and level notes.

`survey` is the way in for sheets, `level_notes` for notes.
"""
