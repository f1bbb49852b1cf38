"""Shots in delimited text, and what is no shot; `delimited` is the way in."""
