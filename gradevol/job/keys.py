"""Keys of a job file: which there are, which this version reads, and which was meant."""

import difflib

#: Every key of every table.
KNOWN: dict[str, tuple[str, ...]] = {
    "": (
        "title",
        "interval",
        "units",
        "base",
        "slab",
        "top",
        "thickening",
        "void",
        "pour",
        "order",
        "survey",
        "acceptance",
    ),
    "base": (
        *("shots", "cloud", "rods", "depths", "surface_file", "columns", "codes", "units", "layer"),
        *("breaklines", "rechecks", "setups", "control", "cell", "classes", "ground"),
        *("surface_name", "sigma", "datum_sigma", "foot_sigma", "allow_gaps"),
        *("instrument_height", "benchmark", "backsight", "origin", "spacing", "bearing", "string"),
    ),
    "sheet": (
        *("file", "units", "instrument_height", "benchmark", "backsight", "setup", "origin"),
        *("spacing", "bearing", "columns", "string"),
    ),
    "setup": ("height", "benchmark", "backsight", "closing", "closing_benchmark"),
    "string": ("span", "tension", "weight", "correct"),
    "slab": (
        *("edge", "openings", "thickness", "least_thickness", "base_high", "base_low", "sides"),
    ),
    "top": (
        *("level", "plane", "through", "fall", "bearing", "between", "shots", "columns", "codes"),
        *("units", "layer", "setups", "surface_file", "surface_name", "panel", "sigma"),
        *("least_fall", "closed_sides"),
    ),
    "panel": (
        *("edge", "level", "plane", "through", "fall", "bearing", "between", "shots", "columns"),
        *("codes", "units", "layer", "setups", "surface_file", "surface_name"),
    ),
    "thickening": (
        *("name", "along", "sides", "outline", "width", "depth", "side_slope", "surveyed"),
    ),
    "void": ("name", "length", "diameter", "volume", "section", "line", "least_cover"),
    "opening": ("center", "diameter"),
    "rechecks": ("shots", "columns", "codes", "units", "radius", "outline"),
    "control": ("shots", "columns", "codes", "units", "layer", "apply"),
    "coded edge": ("codes", "shots", "columns", "units"),
    "drawn ring": ("file", "layer", "units"),
    "pour": ("name", "edge", "volume", "area", "thickness", "count", "partial"),
    "order": (
        *("waste", "settlement", "yield_short", "sigma", "pump", "risk", "truck", "step"),
        *("least_load", "notice", "spacing", "start", "costs"),
    ),
    "acceptance": ("name", "average", "single", "over", "samples"),
    "survey": ("by", "date", "instrument", "benchmark"),
    "pump": ("line", "diameter", "hopper"),
    "costs": (
        *("concrete", "returned", "short", "short_rate", "machine", "labour", "labourers"),
        *("base_material", "base_weight", "loose", "currency", "place_hours", "fetch_hours"),
        *("area_rate", "volume_rate"),
    ),
}

#: How each table is headed in the file.
HEADINGS = {
    **{kind: f"[{kind}]" for kind in ("base", "slab", "top", "order", "survey")},
    **{kind: f"[[{kind}]]" for kind in ("thickening", "void", "pour", "acceptance")},
    "": "the top of the file, above the first table",
    "panel": "[[top.panel]]",
    "opening": "slab.openings",
    "rechecks": "base.rechecks",
    "sheet": "a field sheet",
    "setup": "[base.setups]",
    "string": "base.string",
    "control": "base.control",
    "coded edge": "slab.edge",
    "drawn ring": "a ring",
    "costs": "order.costs",
    "pump": "order.pump",
}

#: Keys of the job file that this version does not read, and what to do instead.
NOT_READ: dict[str, str] = {}


def suggest_key(key: str, kind: str) -> str:
    """
    Say which key was probably meant.

    Parameters
    ----------
    key : str
        What stands in the file.
    kind : str
        The table it stands in, a key of `KNOWN`.
    """
    nearest = difflib.get_close_matches(key.lower(), KNOWN[kind], n=1, cutoff=0.0)[0]
    said = f"The nearest key known there is {nearest!r}"
    # In TOML a key belongs to the last [table] above it, which is easily forgotten.
    others = [HEADINGS[other] for other in KNOWN if key in KNOWN[other]]
    return f"{said}; {key!r} belongs in {' or '.join(others)}" if others else said
