"""What moving the top would do, as declared data."""

from typing import Annotated

from gradevol.answer.declared import Length, Number, Size, Volume, declared
from gradevol.answer.result import Result
from gradevol.answer.rounding import Rounding
from gradevol.answer.said.moves import say_move
from gradevol.measures.adjustments import MoveKind


@declared
class MoveData:
    """One way of moving the top."""

    kind: Annotated[
        MoveKind,
        "`raise`: the whole top. `tilt`: the far side, one side held. `crown`: the middle, both "
        "ends held.",
    ]
    by: Annotated[Length, "How far; negative: down."]
    held: Annotated[Number | None, "The side that stays; absent where the whole top moves."] = None
    text: Annotated[str, "The same in words, and the edges that the top would leave."]
    volume: Annotated[Volume, "Change of `concrete.volume`."]
    thin_area: Annotated[Size, "`thin.area` as it would be."]
    least: Annotated[Length, "`thickness.min` as it would be."]
    cover: Annotated[list[Length], "Least cover over each item of `cover`, in that order."]
    least_fall: Annotated[Size, "`top.falls.least` as it would be."]
    leaves: Annotated[
        list[Number],
        "Sides along which the top would no longer meet the measured edge or points.",
    ]


def compose_moves(result: Result, rounding: Rounding) -> list[MoveData]:
    """Compose what each way of moving the top would do."""
    return [
        MoveData(
            kind=move.kind,
            by=rounding.length(move.by),
            held=move.held,
            text=say_move(move, result),
            volume=rounding.volume(move.volume),
            thin_area=rounding.area(move.thin_area),
            least=rounding.length(move.least),
            cover=[rounding.length(cover) for cover in move.cover],
            least_fall=rounding.share(move.least_fall),
            leaves=sorted((*move.off_flush, *move.off_measured)),
        )
        for move in result.moves
    ]
