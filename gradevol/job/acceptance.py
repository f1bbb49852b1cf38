"""What a job says of the tests that cores of the finished slab are held against."""

from gradevol.job.table import Table
from gradevol.measures.acceptance import PUBLISHED, Acceptance

#: More samples than this are no test of one slab.
_MOST = 1000
_LIMITS = ("average", "single")


def read_tests(job: Table, *, thickness: float) -> tuple[Acceptance, ...]:
    """
    Read [[acceptance]].

    Parameters
    ----------
    job : Table
        The job's top level.
    thickness : float
        The design, m.

    Returns
    -------
    tuple of Acceptance
        The published ones where the job states none.

    Raises
    ------
    InputError
        If a key cannot be used, two tests have one name, a test states no limit, or one that
        no slab could fail.
    """
    tests = tuple(_read(table, thickness) for table in job.read_tables("acceptance"))
    names = [test.name for test in tests]
    for name in names:
        if names.count(name) > 1:
            raise job.error(f"two acceptance tests are named {name!r}", "Name each its own way")
    return tests or PUBLISHED


def _read(table: Table, thickness: float) -> Acceptance:
    name = table.read_text("name", table.name)
    if not any(key in table for key in _LIMITS):
        raise table.error(
            f"the acceptance test {name!r} states no limit",
            'Write average = "3/8 in", single = "3/4 in", or both: how far under the design '
            "thickness the average of all samples, or any one of them, may be",
        )
    limits = {key: table.find_length(key, or_zero=True) for key in _LIMITS}
    for key, limit in limits.items():
        if limit is not None and limit >= thickness:
            raise table.wrong(
                table.called(key),
                table.values[key],
                "less than the design thickness",
                'It is how far under the design a sample may be, such as "3/4 in"',
            )
    if "over" in table and "average" not in table:
        raise table.error(
            f"{table.called('over')} says what a thick sample counts for in an average, and the "
            f"test {name!r} has none",
            "State average beside it, or leave it out",
        )
    samples = None
    if "samples" in table:
        expected = f"a whole number from 1 to {_MOST}"
        number = table.read_number("samples", 1, _MOST, expected=expected)
        if number != int(number):
            raise table.wrong(
                table.called("samples"), table.values["samples"], expected, "Or leave it out"
            )
        samples = int(number)
    return Acceptance(
        name,
        average=limits["average"],
        single=limits["single"],
        over=table.find_length("over", or_zero=True),
        samples=samples,
    )
