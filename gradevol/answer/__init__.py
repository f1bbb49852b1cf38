"""Answer: the whole result, and what is said of it."""
