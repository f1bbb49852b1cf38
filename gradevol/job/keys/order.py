"""Keys of [order], of what it costs, and of each [[pour]]."""

from gradevol.ground.lengths import parse_length
from gradevol.ground.quantities import parse_volume
from gradevol.ground.units import CUBIC_YARD, SQUARE_FOOT
from gradevol.job import kinds, paths
from gradevol.job.declarations import Key, Kind, declare_table
from gradevol.job.keys.parts import NAME
from gradevol.job.keys.slab import OUTLINE
from gradevol.job.terms import BASE_WEIGHT, LOOSE, RISK, SHORT_TON, STEP_METRES, TONNE, Costs, Pace

_PACE, _COSTS = Pace(), Costs(0.0)
_WEIGHTS = (
    f"{BASE_WEIGHT * CUBIC_YARD / SHORT_TON:.2f} tons a yd³, {BASE_WEIGHT / TONNE:.3f} t a m³"
)
_AREAS = f"{_PACE.area / SQUARE_FOOT:,.0f} ft², {_PACE.area:g} m²"
_VOLUMES = f"{_PACE.volume / CUBIC_YARD:.1f} yd³, {_PACE.volume:g} m³"
_CURRENCY = {False: "$", True: None}  # in metric jobs none is guessed
_AMOUNT = kinds.number("a number", 0)
_OF_VOLUME = kinds.number("a number", 0, feet=1 / CUBIC_YARD)
#: No plant sells in finer steps than 0.01 yd³ (0.0076 m³).
_STEP = kinds.quantity(
    "a volume",
    "0.25 yd3",
    parse_volume,
    kinds.POSITIVE,
    kinds.Bound("0.01 yd³ or more", lambda step: step >= 0.0076, "Plants sell by 0.25 yd3 or so"),
)


#: No pump's line is wider, nor its hopper larger; common practice, no source.
_WIDE = kinds.quantity(
    "a length",
    "5 in",
    parse_length,
    kinds.POSITIVE,
    kinds.Bound(
        "1 ft (0.3 m) or less, as pump lines are",
        lambda width: width <= 0.305,
        'Write it with its unit, such as "5 in"',
    ),
)
_HOPPER = kinds.quantity(
    "a volume",
    "0.3 yd3",
    parse_volume,
    kinds.POSITIVE,
    kinds.Bound(
        "2.6 yd³ (2 m³) or less, as hoppers are",
        lambda held: held <= 2.0,
        'Write it with its unit, such as "0.3 yd3"',
    ),
)


def _share(example: str) -> Kind:
    return kinds.share(0, 0.5, such_as=example)


PUMP = declare_table(
    "order.pump",
    Key("line", kinds.LENGTH, beside=("diameter",)).means("""
        Length of its line: a cylinder of concrete."""),
    Key("diameter", _WIDE, beside=("line",)).means("Inside diameter of the line."),
    Key("hopper", _HOPPER).means("A volume. Left out: 0."),
)

COSTS = declare_table(
    "order.costs",
    Key("concrete", _OF_VOLUME, required=True, remedy="Write what 1 yd³ or 1 m³ costs").means("""
        Of 1 yd³ (jobs in feet or inches) or 1 m³."""),
    Key("returned", _OF_VOLUME).means("Of 1 yd³ or 1 m³ sent back, on top of its price."),
    Key("short", _AMOUNT).means("""
        Of coming up short once, however little is missing: another trip, men and pump waiting, a
        cold joint. With it, or the next, the order of least expected cost is chosen."""),
    Key("short_rate", _OF_VOLUME).means("""
        Of each 1 yd³ or 1 m³ that is missing, on top of its price."""),
    Key("short_load", _OF_VOLUME).means("""
        Of each 1 yd³ or 1 m³ that a load lacks of `order.short_load`: the plant's fee for a small
        load. It counts in the cost of an order, and is said where loads pay it."""),
    Key("machine", _AMOUNT).means("Of an hour of a machine with its operator."),
    Key("labour", _AMOUNT).means("Of an hour of one labourer."),
    Key("labourers", _AMOUNT).means(f"""
        How many go with a machine. Left out: {_COSTS.labourers:g} (common practice, no
        source)."""),
    Key(
        "base_material",
        kinds.number("a number", 0, feet=1 / SHORT_TON, metres=1 / TONNE),
        field="material",
    ).means("Of a ton of base material: 2,000 lb in jobs in feet or inches, else a tonne."),
    Key(
        "base_weight",
        kinds.number("a number", 0.1, feet=SHORT_TON / CUBIC_YARD, metres=TONNE),
        field="weight",
    ).means(f"""
        Tons in 1 yd³ or 1 m³ of it, compacted, {{limits}}. Left out: {_WEIGHTS} (WSDOT Design
        Manual M 22-01, chapter 620, exhibit 620-1, November 2015: crushed surfacing base course,
        dry)."""),
    Key("loose", kinds.number("a number", 1)).means(f"""
        Its loose volume in one volume of it compacted, {{limits}}. Left out: {LOOSE:.3f} (the same
        exhibit: 3,700 lb/yd³ compacted over 2,950 in the truck)."""),
    Key("currency", kinds.TEXT, default=lambda table: _CURRENCY[table.file.is_metric]).means("""
        Stands before an amount. Left out: `$` in jobs in feet or inches, else nothing."""),
    Key("place_hours", _AMOUNT, field="place").means(f"""
        To begin at a place and to check it after. Left out: {_PACE.place:g}, like the three below
        common practice, no source."""),
    Key("fetch_hours", _AMOUNT, field="fetch").means(f"""
        To load bought stone and bring it to a place. Left out: {_PACE.fetch:g}."""),
    Key("area_rate", kinds.number("a number", 0.1, feet=SQUARE_FOOT), field="area").means(f"""
        ft² or m² shaved, or filled and compacted, in an hour, {{limits}}. Left out: {_AREAS}."""),
    Key("volume_rate", kinds.number("a number", 0.1, feet=CUBIC_YARD), field="volume").means(f"""
        yd³ or m³ moved in an hour, bank measure, {{limits}}. Left out: {_VOLUMES}."""),
)

ORDER = declare_table(
    "[order]",
    Key("waste", _share("0.03 for 3 %")).means("""
        Share of the volume in place that is lost, {limits}: spilt, over-dug, left in the drum."""),
    Key("settlement", _share("0.01 for 1 %")).means("""
        Share, {limits}, that the base takes up by giving way, and fresh concrete by settling."""),
    Key("yield_short", _share("0.005 for 0.5 %")).means("""
        Share, {limits}, by which loads hold less than their tickets say."""),
    Key("sigma", _share("0.01 for 1 %")).means("""
        One standard deviation of these three together, a share of the volume in place, {limits}.
        Left out: half of them (a judgement, no source)."""),
    Key("learned", paths.FILE).means("""
        A file of earlier jobs' factors, as `gradevol reconcile --learn` writes it. They become what
        is expected of this one, beside the three shares above: the more jobs, the more they weigh.
        See [the day of the pour](../how-to/pour-day.md)."""),
    Key("pump", kinds.part(PUMP)).means("See [order.pump](#orderpump)."),
    Key("risk", kinds.share(0.001, 0.5, such_as="0.05 for 5 %")).means(f"""
        Accepted chance of coming up short, {{limits}}. Left out: {RISK:g} (common practice, no
        source); with costs of coming up short those alone decide."""),
    Key("truck", kinds.VOLUME).means("""
        What a truck may bring at most: a volume. Left out: no loads are planned."""),
    Key("step", _STEP).means(f"""
        What orders are whole numbers of. Left out: 1/4 yd³ ([a supplier's
        practice](http://colecountyconcrete.com/id19.html)), in metric jobs {STEP_METRES:g} m³
        (common practice, no source)."""),
    Key("least_load", kinds.VOLUME).means("""
        The least that is delivered: no load is planned under it."""),
    Key("short_load", kinds.VOLUME).means("""
        A load under it is brought, but pays a fee (`order.costs.short_load`): none is planned where
        an order can be split otherwise."""),
    Key("notice", kinds.HOURS).means("""
        How long before its time a load must be called: hours, or `"90 min"`; {limits}."""),
    Key("spacing", kinds.HOURS).means("""
        From truck to truck: hours, or `"20 min"`; {limits}. It tells by when to call the balance,
        with `placing.rate` where that is given: the slower of both."""),
    Key("start", kinds.CLOCK).means('When the first load is on site: `"7:00"`, of 24 hours.'),
    Key("costs", kinds.part(COSTS)).means("See [order.costs](#ordercosts)."),
)

POUR = declare_table(
    "[[pour]]",
    NAME,
    Key("edge", OUTLINE).means("""
        Corners of a part: `[[e, n], ...]`, or a file. What of it lies beyond the slab is left out.
        Two parts may not share any of the slab, but for strips up to 8 mm wide."""),
    Key("volume", kinds.VOLUME).means("Of a small pour: of each."),
    Key("area", kinds.AREA).means("Of a small pour: of each; with `thickness`."),
    Key("thickness", kinds.LENGTH, beside=("area",)).means("Of each."),
    # More of one small pour than this is no small pour.
    Key(
        "count",
        kinds.number("a whole number", 1, 100, is_whole=True),
        default=1,
        beside=("volume", "area"),
    ).means("How many there are, {limits}. Left out: {default}."),
    Key("partial", kinds.FLAG, beside=("volume", "area"), field="is_partial").means("""
        `true`: it can stop part-way. Left out: each is filled or not begun."""),
    one_of=("edge", "volume", "area"),
)
