"""Cut and fill as declared data."""

from collections.abc import Mapping
from typing import Annotated

from gradevol.answer.declared import Beside, Number, Share, Size, Volume, declared
from gradevol.answer.result import Result
from gradevol.answer.rounding import Rounding
from gradevol.answer.tree.spots import SpotData
from gradevol.measures.spots import SpotKind


@declared
class GradingData:
    """The base against the design base."""

    cut: Annotated[Size, "Base above the design base, no tolerance."]
    fill: Annotated[Size, "Base below it."]
    net: Annotated[Volume, "`grading.fill` less `grading.cut`."]
    high_share: Annotated[
        Share, "Share of the slab where the base stands above the design base, 0 to 1."
    ]
    high_area: Annotated[
        Size | None,
        Beside("high_spots"),
        "Area above the tolerance; absent where none is stated, as are the next two.",
    ] = None
    high_spots: Annotated[
        list[SpotData] | None, Beside("high_area"), "[Spots](#spots), the largest volume first."
    ] = None
    high_unlisted: Annotated[Number | None, "How many smaller ones beside them."] = None
    high_doubtful: Annotated[Number | None, "As `thin.doubtful`."] = None
    low_area: Annotated[
        Size | None,
        Beside("low_spots"),
        "Area below the tolerance; absent where none is stated, as are the next two.",
    ] = None
    low_spots: Annotated[
        list[SpotData] | None, Beside("low_area"), "[Spots](#spots), the largest volume first."
    ] = None
    low_unlisted: Annotated[Number | None, "How many smaller ones beside them."] = None
    low_doubtful: Annotated[Number | None, "As `thin.doubtful`."] = None


def compose_grading(
    result: Result, rounding: Rounding, spots: Mapping[SpotKind, list[SpotData]]
) -> GradingData:
    """Compose cut and fill, and the spots beyond the tolerances that are stated."""
    grading, high, low = result.grading, result.high, result.low
    return GradingData(
        cut=rounding.volume(grading.cut),
        fill=rounding.volume(grading.fill),
        net=rounding.volume(grading.net),
        high_share=rounding.share(grading.high_share),
        high_area=rounding.area(high.area) if high else None,
        # without a tolerance, an empty list would say that nothing exceeds it
        high_spots=spots["high"] if high else None,
        high_unlisted=(high.unlisted or None) if high else None,
        high_doubtful=(high.doubtful or None) if high else None,
        low_area=rounding.area(low.area) if low else None,
        low_spots=spots["low"] if low else None,
        low_unlisted=(low.unlisted or None) if low else None,
        low_doubtful=(low.doubtful or None) if low else None,
    )
