"""The command line: arguments, one call, lines out.

Data goes to standard output, remarks to standard error.
Exit 0: done; 2: the command or its input cannot be used; 130: stopped from the keyboard.
"""

from __future__ import annotations

import contextlib
import sys
from importlib import import_module

import click

from freqplan.errors import LONGEST_MESSAGE, FreqplanError, InputError, shortened

_COMMANDS = {
    "start": ("starting", "Write a commented plan for a kind of set, to begin with."),
    "survey": ("surveying", "Everything over the whole band, and the frequencies to check."),
    "channel": ("surveying", "Everything that can be heard at one dial setting."),
    "chart": ("charting", "One chart, as an SVG file for paper or page."),
    "compare": ("surveying", "Oscillator above or below the signal, one IF against another."),
    "if-ranges": ("choosing", "Which IFs keep which responses out of the band, exactly."),
    "sweep": ("sweeping", "Which IF, side and number of tuned circuits serves many towns."),
    "diagnose": ("diagnosing", "Ranked causes of an observed fault, and the next test that separates them."),
    "dial": ("aligning", "What dial readings say about oscillator, IF and pointer."),
    "report": ("reporting", "Everything about one set on one page, to print and to file with it."),
    "receivers": ("housing", "Whose oscillator disturbs whom among the sets of one house."),
    "circuits": ("asking", "How many tuned circuits of which Q a front end needs."),
    "whistle": ("asking", "Pitch and loudness of the whistle of a carrier beside the wanted one."),
    "sound": ("sounding", "What the ear hears of a carrier beside the wanted one, as a WAV file."),
    "lesson": ("teaching", "How a formula comes about, step by step, with the numbers of the set."),
    "exercise": ("teaching_exercise", "Problems for a class, with marking key and wrong answers explained."),
    "page": ("paging", "The same answers on a page in the browser, on this machine alone."),
}
"""Commands, the module each is in, and a line of help: enough for --help without loading any of them."""

LONGEST_COMMAND = 40
"""Signs of what was typed that are compared with the commands."""

MOST_MESSAGES = 50
"""Faults told one by one; of more, the rest is counted."""

STOPPED = 130
"""Exit code of a program that was interrupted from the keyboard."""


class _Commands(click.Group):
    """Loads a command when it is called, so that help comes at once."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(_COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in _COMMANDS:
            return None
        module = import_module(f"freqplan.cli.{_COMMANDS[cmd_name][0]}")
        command: click.Command = getattr(module, cmd_name.replace("-", "_"))
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args[0] not in _COMMANDS and not ctx.resilient_parsing:
            from difflib import get_close_matches

            close = get_close_matches(args[0][:LONGEST_COMMAND].lower(), _COMMANDS, n=1)
            meant = f'did you mean "{close[0]}"?' if close else "freqplan --help lists them"
            ctx.fail(f'There is no command "{shortened(args[0])}"; {meant}')
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, text) for name, (_, text) in _COMMANDS.items()])


@click.group(cls=_Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="freqplan", message="%(prog)s %(version)s")
def commands() -> None:
    """Frequency plans of superhet receivers: what can be heard where it should not, and what to check.

    PLAN is a file that describes the set; `freqplan start` writes one to begin with.
    """


def main() -> None:
    """Run the command line and exit; errors are told in one line each, never as a traceback."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")
    try:
        sys.exit(commands.main(prog_name="freqplan", standalone_mode=False))
    except click.ClickException as error:
        # It repeats what was typed, however long; click has no other way to shorten that.
        vars(error)["message"] = shortened(error.message, LONGEST_MESSAGE)
        error.show()
        sys.exit(error.exit_code)
    except (click.Abort, KeyboardInterrupt):
        _tell(["stopped"])
        sys.exit(STOPPED)
    except InputError as error:
        _tell([str(fault) for fault in error.faults])
    except FreqplanError as error:
        _tell([str(error)])
    except MemoryError:
        _tell(["not enough memory for this; ask with lower orders, a wider raster, or fewer stations"])
    except OSError as error:
        _tell([f"cannot go on: {error.strerror or error}"])
    sys.exit(2)


def _tell(messages: list[str]) -> None:
    """Say on standard error what is wrong, as far as there is a standard error."""
    shown = messages[:MOST_MESSAGES]
    if len(messages) > len(shown):
        shown.append(f"and {len(messages) - len(shown)} more")
    with contextlib.suppress(OSError):
        click.echo("\n".join(f"freqplan: {message}" for message in shown), err=True)
