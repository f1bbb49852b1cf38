"""Units of delivery tickets: of volumes, liquids, weights, densities, lengths."""

from collections.abc import Mapping

from gradevol.ground.units import METRES, SPELLINGS, VOLUMES

#: Pounds and US gallons, exact: 24 FR 5348 (1959-07-01); 231 cubic inches (NIST SP 811, B.8).
_POUND, _GALLON = 0.45359237, 231 * 0.0254**3

_LENGTHS = {
    **{name: METRES[unit] for name, unit in SPELLINGS.items() if unit in METRES},
    "us ft": METRES["us-ft"],
    "survey ft": METRES["us-ft"],
}
#: Units of each family of amounts, and what one of them is in m³, kg, kg/m³ and m.
UNITS: Mapping[str, Mapping[str, float]] = {
    "volume": VOLUMES,
    "liquid": {
        **dict.fromkeys(("gal", "gals", "gallon", "gallons", "us gal"), _GALLON),
        **dict.fromkeys(("l", "litre", "litres", "liter", "liters", "ltr"), 0.001),
    },
    "weight": {
        **dict.fromkeys(("lb", "lbs", "pound", "pounds"), _POUND),
        **dict.fromkeys(("kg", "kgs", "kilograms"), 1.0),
        **dict.fromkeys(("t", "tonne", "tonnes"), 1000.0),
    },
    "density": {
        **dict.fromkeys(
            ("pcf", "lb ft3", "lb ft³", "lbs ft3", "lb cf", "lb cu ft"), _POUND / 0.3048**3
        ),
        **dict.fromkeys(("kg m3", "kg m³", "kgm3"), 1.0),
    },
    "length": _LENGTHS,
}
#: What bare numbers are where nothing names a unit, in jobs in feet and in metric ones.
BARE = {
    "volume": ("yd3", "m3"),
    "liquid": ("gal", "l"),
    "weight": ("lb", "kg"),
    "density": ("pcf", "kg m3"),
}
#: The family that the amounts of a column belong to.
FAMILIES = {
    "volume": "volume",
    "cumulative": "volume",
    "returned": "volume",
    "called": "volume",
    "water_added": "liquid",
    "batch_weight": "weight",
    "unit_weight": "density",
    "front": "length",
}
