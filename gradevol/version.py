"""The version, apart from everything else so that a build can read it."""

__version__ = "0.1.0"
