"""Concrete volume over a base as it was really graded."""
