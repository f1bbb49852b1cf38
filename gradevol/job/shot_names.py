"""What the shots at each place of a measured top are called, and where they were taken from."""

from gradevol.ground.arrays import IntArray
from gradevol.site.survey import Survey


def names_of(survey: Survey, place: IntArray, count: int) -> tuple[str, ...]:
    """Ids of the shots at each place."""
    if not survey.ids:
        return ()
    found: list[list[str]] = [[] for _ in range(count)]
    for index, number in enumerate(place.tolist()):
        found[number].append(survey.name(index))
    return tuple(" and ".join(names[:3]) for names in found)


def setups_of(survey: Survey, place: IntArray, count: int) -> tuple[str, ...]:
    """Setup that the shots of each place were taken from; blank where they differ."""
    if not survey.setups:
        return ()
    found: list[set[str]] = [set() for _ in range(count)]
    for name, index in zip(survey.setups, place, strict=True):
        found[index].add(name)
    return tuple(names.pop() if len(names) == 1 else "" for names in found)
