"""Drawing: the geometry that pictures, page and sheet are drawn from, as plain arrays."""
