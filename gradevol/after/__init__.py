"""After the check: the day of the pour, and what is known when it is over.

What stands behind a front and what is still needed (`progress`, from a `model` that knows nothing
of files), and where the concrete went. It sees the check's figures, and tickets; nothing below it
knows of either.
"""
