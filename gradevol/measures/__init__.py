"""Measures: exact integrals of one `ThicknessField`: concrete, grading, spots, cover, drainage."""
