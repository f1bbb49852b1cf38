"""Keys of [base], and of the small tables within it."""

from dataclasses import replace

from gradevol.files.sources import MARGIN, MOST_BINS, SPACINGS
from gradevol.ground.lengths import NOTATIONS
from gradevol.job import kinds, paths, shapes
from gradevol.job.declarations import Key, declare_alike, declare_table
from gradevol.site.survey import DATUM_SIGMA, FOOT_SIGMA, SHOT_SIGMA, SURE_MEAN

AZIMUTH = kinds.number("an azimuth", 0, 360, such_as="180 for south")
_PRACTICE = "(common practice, no source)"
_SOURCES = ("shots", "cloud", "rods", "depths", "surface_file")
_SHEETS = ("rods", "depths")
_ALONE = ", of this sheet alone"


def _say_sigmas(sigmas: dict[str, float]) -> str:
    """Defaults of an accuracy, by method."""
    shots, depths, cloud = (
        f"{sigmas.get(method, 0.0) * 1000:g} mm"
        for method in ("shots", "string-line depths", "point cloud")
    )
    return f"{shots} for shots and rods, {depths} for depths, {cloud} for a cloud or a surface file"


SHOTS = Key("shots", paths.FILES, field="paths").means("""
    A file of delimited text, or a list of such files: see [files of shots](#files-of-shots). Or one
    LandXML, DXF (POINT) or GeoJSON file, of which the points are taken.""")
COLUMNS = Key("columns", kinds.TEXT, beside=("shots", "depths", "cloud")).means("""
    One letter a column. Of shots: of P (point), N, E, Z, D (description), S (setup), R (rod
    reading), `-` (skip); of depths at points: of P, N, E, T (depth), D, `-`; of a cloud of text, as
    of shots. X and Y stand for E and N. A header row in the file goes before it, but
    for columns whose names are not known.""")
CODES = Key("codes", kinds.TEXTS, beside=("shots",)).means("""
    Shell-style patterns, in capitals or not; only points whose description matches one are base.
    Left out: all; but where `[top]` picks its shots out of the same file, they are required.""")
UNITS = Key("units", kinds.UNIT, default=lambda table: table.file.unit, field="unit").means("""
    Unit of the source's numbers, where it is not the job's. A file that declares another is
    refused.""")
IGNORE_UNIT = Key("ignore_file_unit", kinds.FLAG, field="ignores_unit").means("""
    `true`: the file's own header, or a line above its rows, is wrong about its unit, and what it
    says of it is passed over: the numbers are in `units`. A note says so. Left out: a file that
    declares another unit is refused.""")
NOTATION = Key(
    "notation",
    kinds.choice(
        *NOTATIONS,
        remedy="feet-inches: 4-7 is 4 ft 7 in; feet-inches-eighths: 4-6-4 is 4 ft 6 1/2 in; "
        "inches: 54 5/8",
    ),
    beside=("shots", "rods", "depths"),
).means("""
    How lengths of this source are written that carry no marks: `"feet-inches"` (`4-7` is 4 ft 7
    in), `"feet-inches-eighths"` (`4-6-4` is 4 ft 6 1/2 in), `"inches"` (`54 5/8`). Left out: what
    other cells of the column settle, such as `4'-6"`; what nothing settles is refused. See [lengths
    by hand](#lengths-by-hand).""")
LAYER = Key("layer", kinds.TEXT, beside=("shots", "surface_file")).means("The layer of a DXF.")
SHEET_NAME = Key("sheet", kinds.TEXT, beside=("shots", "rods", "depths")).means("""
    The sheet of a workbook (`.xlsx`), by the name on its tab. Left out: the one that is seen and
    holds a table; several are refused.""")
SURFACE_FILE = Key("surface_file", paths.SURFACE, field="path").means("""
    A LandXML, DXF, PLY, OBJ, STL or GeoTIFF file: its own faces are the surface.""")
SURFACE_NAME = Key("surface_name", kinds.TEXT, beside=("surface_file",), field="name").means("""
    Which surface of a LandXML that holds several.""")
SETUPS = Key("setups", kinds.AS_WRITTEN, beside=("shots", "rods")).means("""
    The setups that rods were read from: see [base.setups](#basesetups).""")
_INSTRUMENT_HEIGHT, _BENCHMARK, _BACKSIGHT = (
    Key(name, kind, beside=("rods",)).means("""
        Of one setup: the instrument height, or the bench mark and the backsight on it.""")
    for name, kind in (
        *(("instrument_height", kinds.ELEVATION), ("benchmark", kinds.ELEVATION)),
        ("backsight", kinds.LENGTH_OR_0),
    )
)
_ORIGIN = Key("origin", shapes.point(2), default=[0, 0], beside=_SHEETS).means("""
    From where a sheet's labels count, `[e, n]`. Left out: `{default}`.""")
_SPACING = Key("spacing", shapes.SPACING, beside=_SHEETS).means("""
    Of a sheet whose labels are no distances: one length, or `[between columns, between rows]`.""")
_BEARING = Key("bearing", AZIMUTH, default=0, beside=_SHEETS).means("""
    The way a sheet's rows advance, degrees clockwise from north, {limits}; columns advance to the
    right of it. Left out: {default}.""")

STRING = declare_table(
    "base.string",
    Key("span", kinds.LENGTH_OR_0, required=True).means("From form to form. 0: a straightedge."),
    # A light mason's line and the pull of one hand: they make 1/8 in at the middle of 45 ft.
    Key("tension", kinds.FORCE, default="15 lb").means(f"""
        With its unit: `"15 lb"`, `"65 N"`. Left out: {{default}} {_PRACTICE}."""),
    Key("weight", kinds.LINE_WEIGHT, default="0.0006 lb/ft").means(f"""
        With its unit: `"0.0006 lb/ft"`, `"0.9 g/m"`. Left out: {{default}} {_PRACTICE}."""),
    Key("correct", kinds.FLAG, field="is_corrected").means("""
        `true`: depths are made longer by the mean sag. Left out: it is only stated."""),
)
_STRING = Key("string", kinds.part(STRING), beside=("depths",)).means("""
    See [base.string](#basestring).""")

SETUP = declare_table(
    "[base.setups]",
    *(
        replace(key, beside=()).means("Elevation of the mark, and the rod reading on it.")
        for key in (_BENCHMARK, _BACKSIGHT)
    ),
    Key("height", kinds.ELEVATION).means("In their stead: the elevation of the line of sight."),
    Key("closing", kinds.LENGTH_OR_0).means("""
        Rod reading of the closing shot. The misclosure is stated, and not distributed; the interval
        takes it as one standard deviation of what the setup's shots share."""),
    Key("closing_benchmark", kinds.ELEVATION, beside=("closing",)).means("""
        The mark it was taken on. Left out: `benchmark`."""),
)

CONTROL = declare_table(
    "base.control",
    replace(SHOTS, required=True, remedy="Name the file of the control shots").means("""
        A file of three shots or more, as in `[base]`."""),
    *declare_alike(
        "[base]",
        (SHEET_NAME, COLUMNS, CODES, UNITS, IGNORE_UNIT, NOTATION, LAYER),
        but="; `units` are those of the base where left out",
        is_bound=False,
    ),
    Key(
        "on",
        kinds.choice(
            "base", "tops", remedy="tops: form tops and other marks; base: the base itself"
        ),
    ).means("""
        What the shots stand on. `"base"` (left out): the base. `"tops"`: tops of forms, or of other
        marks that the scan shows; each is compared with the mean of the highest points that the
        scan shows within 50 mm of it, or 100 mm, where they are three or more."""),
    Key("apply", kinds.FLAG).means("""
        `true`: the shift is added to the cloud. Left out: it is only reported."""),
)

RECHECKS = declare_table(
    "base.rechecks",
    replace(SHOTS, required=True, remedy="Name the file of the later shots").means("""
        The later shots: a file, or a list. They stand beside each other: of a second round, take
        the rows of the places that were shot once more out of the first."""),
    Key("radius", kinds.LENGTH).means("Earlier shots nearer than this to a later one are retired."),
    Key("outline", shapes.RING).means("A ring: earlier shots within it are retired."),
    *declare_alike(
        "[base]",
        (SHEET_NAME, COLUMNS, UNITS, IGNORE_UNIT, NOTATION, CODES),
        but="; `columns`, `units` and `notation` are the base's where left out, as is the layer",
        is_bound=False,
    ),
    one_of=("radius", "outline"),
)

SHEET = declare_table(
    "a field sheet",
    Key("file", paths.FILE, required=True).means("""
        Its file; none twice, but for other sheets of a workbook."""),
    *declare_alike(
        "[base]",
        (SHEET_NAME, UNITS, IGNORE_UNIT, NOTATION, _ORIGIN, _SPACING, _BEARING),
        but=_ALONE,
        is_bound=False,
    ),
    *declare_alike(
        "[base]",
        (_INSTRUMENT_HEIGHT, _BENCHMARK, _BACKSIGHT),
        but="; its shots are then a setup of their own",
    ),
    Key("setup", kinds.TEXT, beside=("rods",)).means("""
        The setup of its rows that name none, one of [base.setups](#basesetups); without those,
        what its own setup is called. Left out: the file's name. Sheets of one setup share its
        errors."""),
    *declare_alike("[base]", (replace(COLUMNS, beside=("depths",)), _STRING), but=_ALONE),
)

BASE = declare_table(
    "[base]",
    SHOTS,
    COLUMNS,
    CODES,
    Key("breaklines", kinds.TEXTS, beside=("shots",)).means("""
        Patterns of descriptions. All shots of one description are joined in the order of the file
        into one line, which the triangles keep; lines that are apart need descriptions of their own
        (`BRK1`, `BRK2`). Around a trench or a pit the line ends where it began: its first row
        stands once more at its end. They are shots of the base too, whether or not `codes` names
        them."""),
    Key("rechecks", kinds.part(RECHECKS), beside=("shots", "rods", "depths")).means("""
        Later shots that replace earlier ones where the base was reworked: see
        [base.rechecks](#baserechecks)."""),
    Key("cloud", paths.TILES, field="paths").means(f"""
        A point cloud: a LAS, LAZ, COPC, PLY or text file (see [text clouds](#text-clouds)), a list
        of them, or a folder of tiles. A folder stands for its LAS and LAZ files; without any, for
        its `.xyz`, `.pts` and `.asc`, or its `.ply`. Withheld points are left out, and so is noise
        (classes 7 and 18) unless `classes` names it. Points more than
        {MARGIN:g} m off the slab's extents are left out, or, where they lie far apart, more than
        {SPACINGS:g} of their spacings; tiles that declare to lie there are not read, and of a COPC
        file only the nodes over the rest."""),
    Key("cell", kinds.LENGTH_OR_0, beside=("cloud",)).means(f"""
        Side of a bin; one point stands for each bin, the mean of its points. Left out: chosen from
        how dense the points are and how much they scatter, the smallest of 100, 150, 200 mm and so
        on to 500 mm (4, 6, 8 in and so on to 20 in) at which a bin's mean is as sure as a careful
        shot, {SURE_MEAN * 1000:g} mm; larger only where more than {MOST_BINS:,} bins would be left.
        A note says which, and why. `0`: every point by itself, for those who ask for it: what each
        scatters is then thin here and high there. See [the ground
        filter](../explanation/ground-filter.md#which-cell)."""),
    Key("classes", kinds.whole_numbers(0, 255), beside=("cloud",)).means("""
        The LAS classes kept, {limits}: `[2]`. Left out: all but noise, or what `ground` says."""),
    Key(
        "ground",
        kinds.choice(
            "auto",
            True,
            False,
            remedy="true: take away what is not base by its shape; false: keep it",
        ),
        beside=("cloud",),
    ).means("""
        `"auto"` (left out): where `classes` are named, those are the base; else, of a cloud
        that has ground (class 2), that alone; else points that stand abruptly above or below
        the base are taken away by their shape. `true`: that filter, on whatever is kept.
        `false`: no filter, and class 2 is not singled out. See [the ground
        filter](../explanation/ground-filter.md)."""),
    Key("control", kinds.part(CONTROL), beside=("cloud",)).means("""
        Shots that it is compared with: see [base.control](#basecontrol)."""),
    SURFACE_FILE,
    LAYER,
    SHEET_NAME,
    SURFACE_NAME,
    UNITS,
    IGNORE_UNIT,
    NOTATION,
    Key("sigma", kinds.LENGTH_OR_0).means(f"""
        One standard deviation of one shot's elevation. Used for the
        [interval](../explanation/interval.md), and to judge whether shots at one place differ and
        which shots are suspect. Left out: {_say_sigmas(SHOT_SIGMA)} {_PRACTICE}."""),
    Key("datum_sigma", kinds.LENGTH_OR_0).means(f"""
        One standard deviation of what the shots of a setup share, such as the instrument height;
        used for the interval. Left out: {_say_sigmas(DATUM_SIGMA)} {_PRACTICE}."""),
    Key("foot_sigma", kinds.LENGTH_OR_0).means(f"""
        Likewise of what all shots share, whatever setup they are of: the rod's foot on the tops of
        the stone. `0` with a plate under the rod. Left out: {FOOT_SIGMA["shots"] * 1000:g} mm for
        shots and rods, 0 for all else and where `datum_sigma` is stated {_PRACTICE}."""),
    Key("foot_high", kinds.LENGTH_OR_0, beside=("shots", "rods")).means("""
        How much the rod's foot stood above the mean of the base, on the tops of the stone, on
        average, with `foot_sigma` about it: the base is that much lower than it was read, and the
        volume that much larger. Rechecks too, but not the top's shots. Left out: 0, and the result
        says so."""),
    Key("allow_gaps", kinds.FLAG).means("""
        `true`: go on where the survey covers less than half of the slab. Left out: that is an
        error."""),
    Key("rods", kinds.AS_WRITTEN).means("""
        A field sheet of rod readings: a row of labels, a column of labels, blanks where no shot was
        taken. See [rod sheets](../how-to/rod-sheet.md). Or a list of sheets: see [a field
        sheet](#a-field-sheet)."""),
    *(_INSTRUMENT_HEIGHT, _BENCHMARK, _BACKSIGHT, SETUPS),
    Key("depths", kinds.AS_WRITTEN).means("""
        Depths measured down from the string or straightedge on the forms: thickness itself. A field
        sheet as for `rods`, or points with a header that names easting, northing and depth. Or a
        list of them, as for `rods`."""),
    *(_STRING, _ORIGIN, _SPACING, _BEARING),
    one_of=_SOURCES,
)
