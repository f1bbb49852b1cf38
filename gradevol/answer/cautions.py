"""Cautions: the few sentences that go with every answer, in one place."""

#: At the foot of every sheet, in this order.
CAUTIONS = (
    "An estimate from the points given; it is only as good as they are.",
    "Thickness and structure are the engineer's; local code and the project specification govern.",
    "Call before you dig or cut: have buried lines marked.",
)

#: What ends the life of a sheet: common practice, no source.
VOID = "Rain or traffic after the shots voids this sheet: shoot again."

#: Beside the volume: what it does not hold.
NO_ALLOWANCE = "This is the volume in place; an order needs an allowance for waste and yield."

#: The same where the job asks for an order.
ORDER_APART = "This is the volume in place; what to order for it is told apart."

#: Beside the volume, as long as no interval is worked out.
NO_INTERVAL = "This version gives no margin: do not read the decimals as certain."
