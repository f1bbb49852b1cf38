"""Tree: the data of an answer, declared once; see `answer.declared`.

A module for each part of it: classes of declared data, and the function that composes them out of a
`Result`, put into the job's units and rounded once. `result` has the whole.
"""
