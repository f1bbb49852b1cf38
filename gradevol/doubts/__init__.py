"""Doubts: what must not be believed.

Suspect shots, control, misplaced surveys and tops, sizes and levels no slab has, odd files.
"""
