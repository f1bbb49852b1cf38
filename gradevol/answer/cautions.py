"""Cautions: the few sentences that go with every answer, in one place."""

#: At the foot of every sheet, in this order.
CAUTIONS = (
    "An estimate from the points given; it is only as good as they are.",
    "Thickness and structure are the engineer's; local code and the project specification govern.",
    "Call before you dig or cut: have buried lines marked.",
)

#: The same where a screen is all the room there is.
BRIEFLY = (
    "An estimate, as good as its points. Thickness and structure are the engineer's; code and "
    "specification govern. Call before you dig or cut: have lines marked."
)

#: What ends the life of a sheet: common practice, no source.
VOID = "Rain or traffic after the shots voids this sheet: shoot again."
