"""The command tree, and how a command ends.

Exit codes: 0 done; 1 done, but a finding says stop; 2 bad input or a result that cannot be written. A person never sees
a traceback: a fault of the program itself gets a number, and the whole of it is kept in a file.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence

import typer

from bagside.cli.bag import bag
from bagside.cli.bond import bond
from bagside.cli.coat import coat
from bagside.cli.cure.run import run as cure_run
from bagside.cli.cut import cut
from bagside.cli.drape import drape
from bagside.cli.laminate import laminate
from bagside.cli.mould.check import check as mould_check
from bagside.cli.plan import plan
from bagside.errors import BagsideError, InputError

app = typer.Typer(
    name="bagside",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
    help="Plans the building of carbon-fibre parts by hand lay-up of prepreg, from mould surface to price. "
    "It does not certify structures.",
)
app.command("plan")(plan)
app.command("drape")(drape)
app.command("laminate")(laminate)
app.command("cut")(cut)
app.command("bag")(bag)
app.command("bond")(bond)
app.command("coat")(coat)

mould = typer.Typer(no_args_is_help=True, help="The mould's surface.")
mould.command("check")(mould_check)
app.add_typer(mould, name="mould")

cure = typer.Typer(no_args_is_help=True, help="The cure.")
cure.command("run")(cure_run)
app.add_typer(cure, name="cure")


def main(arguments: Sequence[str] | None = None) -> None:
    """Run a command and end the process with its exit code."""
    sys.exit(outcome(arguments))


def outcome(arguments: Sequence[str] | None = None) -> int:
    """Run a command and return its exit code.

    Parameters
    ----------
    arguments
        As typed; the process's own when None.
    """
    import click

    try:
        code = app(args=None if arguments is None else list(arguments), standalone_mode=False)
        return code if isinstance(code, int) else 0
    except InputError as error:
        count = len(error.problems)
        head = "bagside: this cannot be used" if count == 1 else f"bagside: {count} things cannot be used"
        print(head, *(f"  {problem}" for problem in error.problems), sep="\n", file=sys.stderr)
        return 2
    except BagsideError as error:
        print(f"bagside: {error}", file=sys.stderr)
        return 2
    except click.exceptions.Exit as error:
        return int(error.exit_code)
    except click.ClickException as error:
        error.show()
        return 2
    except (KeyboardInterrupt, click.Abort):
        print("bagside: stopped; nothing half-written was left", file=sys.stderr)
        return 130
    except BrokenPipeError:
        sys.stderr.close()
        return 141
    except Exception:
        from bagside.cli.fault import kept_fault

        print(kept_fault(), file=sys.stderr)
        return 70
