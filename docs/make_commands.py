"""Write docs/reference/commands.md from the commands' own --help.

Run it after a command or an option has changed: ``python docs/make_commands.py``. A test compares
the page with what this makes.
"""

from pathlib import Path

from click.testing import CliRunner

from gradevol.cli import COMMANDS, main

PAGE = Path(__file__).parent / "reference" / "commands.md"

_HEAD = """\
# Commands

Made from `--help` by `docs/make_commands.py`; change the commands, not this page.

Results go to standard output; progress, remarks and errors go to standard error. Exit codes: 0
done; 2 wrong usage, or input that can't be used; 3 with `--strict`, done and a stated limit
exceeded; 130 stopped by Ctrl-C, 143 told to end, 129 its terminal closed. An error is one
paragraph: what is wrong, where, and what to do about it. Files appear whole or not at all.
"""


_TAIL = """\
## Completion

The shell completes commands, options and names of files once it is told to, in bash by

```sh
eval "$(_GRADEVOL_COMPLETE=bash_source gradevol)"
```

in `~/.bashrc`; in zsh and fish by `zsh_source` and `fish_source` in their own files.
"""


def compose_commands() -> str:
    """Compose the page: the help of the group, then that of each command."""
    parts = [_HEAD, _section("gradevol", [])]
    parts += [_section(f"gradevol {name}", [name]) for name in sorted(COMMANDS)]
    return "\n".join([*parts, _TAIL])


def _section(title: str, arguments: list[str]) -> str:
    shown = CliRunner().invoke(
        main,
        [*arguments, "--help"],
        prog_name="gradevol",
        terminal_width=80,
        catch_exceptions=False,
    )
    return f"## {title}\n\n```\n{shown.output.rstrip()}\n```\n"


if __name__ == "__main__":
    PAGE.write_text(compose_commands(), encoding="utf-8")
