"""Plan: what to shave and fill (`plan.fixes`), and how much concrete to order (`plan.order`)."""
