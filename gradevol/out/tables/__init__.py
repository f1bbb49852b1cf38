"""Tables: the fix list and its points, as comma-separated text."""
