"""Runs: each main job, top to bottom, from a job file and what goes with it to all that was found.

`check` is the base check; `before_pour` and `pour` are of the day of the pour, `reconcile` of the
account after it. Each calls the rooms below in their order; none writes a file or speaks.
"""
