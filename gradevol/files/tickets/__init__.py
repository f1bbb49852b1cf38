"""Delivery tickets; `table` is the way in, `loads` what one of them tells."""
