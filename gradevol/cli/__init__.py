"""The command line: parse, call the library, say the result.

Only this package imports click, prints, or knows an exit code: 0 done; 2 wrong usage, or input
that can't be used; 3 with ``--strict``, done and a stated limit exceeded; 130 stopped by Ctrl-C,
143 by being told to end, 129 by its terminal being closed.
"""

import atexit
import errno
import gc
import importlib
import os
import sys
from typing import Any

import click

from gradevol.cli.letters import spell_what_lacks
from gradevol.version import __version__

# Several threads for matrices of a few hundred rows gain nothing, and where other programs hold the
# processors they wait on one another: a check then takes ten times as long. Set before numpy loads.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
# All that is held goes as Python ends: looking through it first, for what is not, takes a tenth of
# a small check.
atexit.register(gc.freeze)

#: Commands by name, and what each does; a command's module is loaded when it is named.
COMMANDS = {
    "check": "Concrete over the base as it was graded, thin and high spots.",
    "describe": "What a data file holds, and what looks wrong in it.",
    "levels": "Level notes to elevations: closure, and adjustment shown.",
    "new": "A commented starter job that runs at once.",
    "order": "How much to order, in which loads, and a slip to read aloud.",
    "pour": "What is still needed while it is poured, and what to call by when.",
    "reconcile": "Where the concrete on the tickets went, after the pour.",
}


class Refusal(click.ClickException):
    """What the library refused, said in one paragraph, exit code 2."""

    exit_code = 2


class Ended(click.ClickException):
    """Stopped from outside: 128 and the number of the signal, as shells have it."""

    def __init__(self, code: int) -> None:
        super().__init__("Stopped; files of an earlier run are as they were, or all are new.")
        self.exit_code = code  # type: ignore[misc]

    def show(self, file: Any = None) -> None:
        """Say so on standard error."""
        click.echo(self.format_message(), file=file, err=file is None)


class Commands(click.Group):
    """A group that loads a command when it is named; it tells the library's errors."""

    def main(self, *args: Any, **kwargs: Any) -> Any:
        """Run from words to exit code."""
        spell_what_lacks()
        return super().main(*args, **kwargs)

    def list_commands(self, _ctx: click.Context) -> list[str]:
        """Names of the commands."""
        return sorted(COMMANDS)

    def get_command(self, _ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Load a command."""
        if cmd_name not in COMMANDS:
            return None
        module = importlib.import_module(f"gradevol.cli.{cmd_name}")
        command = getattr(module, cmd_name)
        return command if isinstance(command, click.Command) else None

    def format_commands(self, _ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List the commands without loading them."""
        with formatter.section("Commands"):
            formatter.write_dl(sorted(COMMANDS.items()))

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command that was named."""
        # not for --help to pay
        from gradevol.cli.stopping import Stopped, release_output, stopping  # noqa: PLC0415
        from gradevol.ground.errors import GradevolError  # noqa: PLC0415
        from gradevol.ground.memory import keep_for_next  # noqa: PLC0415

        # What a run makes it mostly keeps: looking through it for what it dropped, every 700 things
        # made, takes a twentieth of a small check.
        gc.set_threshold(200_000)
        keep_for_next()
        try:
            with stopping():
                done = super().invoke(ctx)
                if sys.stdout is not None:
                    sys.stdout.flush()  # a full disk is told here, not by Python when it ends
                return done
        except GradevolError as error:
            raise Refusal(str(error)) from error
        except Stopped as stopped:
            raise Ended(stopped.code) from stopped
        except MemoryError as error:
            raise Refusal(
                "it takes more memory than there is. Give fewer points: a surface or a cloud of "
                "the slab alone, or thinned."
            ) from error
        except OSError as error:
            if error.errno == errno.EPIPE:  # whoever read it has seen enough
                raise
            what = error.filename or "standard output"
            if not error.filename:
                release_output()
            raise Refusal(f"{what}: {(error.strerror or str(error)).lower()}.") from error


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, "-V", "--version", message="gradevol %(version)s")
def main() -> None:
    """Concrete volume over a base as it was really graded.

    Start with `gradevol new DIR`, then `gradevol check DIR/job.toml`.
    """
