"""Geometry: arrays in, arrays out; no units, no files, no types of the job."""
