"""Text for a screen: summary, order slip, levels, what a file holds."""
