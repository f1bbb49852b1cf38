"""Concrete volume over a base as it was really graded.

From Python, the same road as ``gradevol check``: ``present(check_job(read_job(path)))``.
"""

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from gradevol.answer.result import Result
    from gradevol.answer.tree.result import describe_result, present
    from gradevol.doubts.described import take_inventory
    from gradevol.ground.errors import GeometryError, InputError
    from gradevol.job import Job, read_job
    from gradevol.runs.check import check_job
    from gradevol.version import __version__

__all__ = [
    "GeometryError",
    "InputError",
    "Job",
    "Result",
    "__version__",
    "check_job",
    "describe_result",
    "present",
    "read_job",
    "take_inventory",
]

#: Where each name is: loaded when it is first asked for, so that ``gradevol --help`` stays quick.
_HOMES = {
    "GeometryError": "ground.errors",
    "InputError": "ground.errors",
    "Job": "job",
    "Result": "answer.result",
    "__version__": "version",
    "check_job": "runs.check",
    "describe_result": "answer.tree.result",
    "present": "answer.tree.result",
    "read_job": "job",
    "take_inventory": "doubts.described",
}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(importlib.import_module(f"{__name__}.{_HOMES[name]}"), name)


def __dir__() -> list[str]:
    return __all__
