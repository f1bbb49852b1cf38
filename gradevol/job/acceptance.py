"""What a job says of the tests that cores of the finished slab are held against."""

from gradevol.job.table import Table
from gradevol.measures.acceptance import PUBLISHED, Acceptance

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
    tests = tuple(_read(table, thickness) for table in job.read("acceptance") or ())
    names = [test.name for test in tests]
    for name in names:
        if names.count(name) > 1:
            raise job.error(f"two acceptance tests are named {name!r}", "Name each its own way")
    return tests or PUBLISHED


def _read(table: Table, thickness: float) -> Acceptance:
    test = table.fill(Acceptance)
    if test.average is None and test.single is None:
        raise table.error(
            f"the acceptance test {test.name!r} states no limit",
            'Write average = "3/8 in", single = "3/4 in", or both: how far under the design '
            "thickness the average of all samples, or any one of them, may be",
        )
    for key in _LIMITS:
        if (getattr(test, key) or 0.0) >= thickness:
            raise table.value(key).wrong(
                "less than the design thickness",
                'It is how far under the design a sample may be, such as "3/4 in"',
            )
    return test
