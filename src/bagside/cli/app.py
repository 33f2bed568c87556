"""The command tree, and how a command ends.

Exit codes: 0 done; 1 done, but a finding says stop; 2 bad input or a result that cannot be written. A person never sees
a traceback: a fault of the program itself gets a number, and the whole of it is kept in a file.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from functools import wraps
from typing import ParamSpec

import typer

from bagside.cli import build as building
from bagside.cli import stock as stocking
from bagside.cli.bag import bag
from bagside.cli.bond import bond
from bagside.cli.buy import buy
from bagside.cli.coat import coat
from bagside.cli.cure.calibrate import calibrate as cure_calibrate
from bagside.cli.cure.chance import chance as cure_chance
from bagside.cli.cure.design import design as cure_design
from bagside.cli.cure.judge import judge as cure_judge
from bagside.cli.cure.read import read as cure_read
from bagside.cli.cure.rescue import rescue as cure_rescue
from bagside.cli.cure.run import run as cure_run
from bagside.cli.cure.share import share as cure_share
from bagside.cli.cure.watch import watch as cure_watch
from bagside.cli.cut import cut
from bagside.cli.direct import direct
from bagside.cli.drape import drape
from bagside.cli.keep import keep
from bagside.cli.laminate import laminate
from bagside.cli.leak import leak
from bagside.cli.mould.check import check as mould_check
from bagside.cli.mould.measure import measure as mould_measure
from bagside.cli.pinholes import pinholes
from bagside.cli.plan import plan
from bagside.cli.records import COMMANDS as RECORDS
from bagside.cli.records import backup, restore
from bagside.cli.resin.fit import fit as resin_fit
from bagside.cli.resin.life import life as resin_life
from bagside.cli.resin.show import show as resin_show
from bagside.cli.trace import trace
from bagside.cli.trace_frame import trace_frame, trace_lens, trace_table
from bagside.errors import BagsideError, InputError

P = ParamSpec("P")


def ending(command: Callable[P, int]) -> Callable[P, None]:
    """Return a command that ends with the exit code it returns."""

    @wraps(command)
    def ended(*args: P.args, **kwargs: P.kwargs) -> None:
        raise typer.Exit(command(*args, **kwargs))

    return ended


app = typer.Typer(
    name="bagside",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
    help="Plans the building of carbon-fibre parts by hand lay-up of prepreg, from mould surface to price. "
    "It does not certify structures.",
)
app.command("plan")(ending(plan))
app.command("trace")(ending(trace))
app.command("trace-frame")(ending(trace_frame))
app.command("trace-table")(ending(trace_table))
app.command("trace-lens")(ending(trace_lens))
app.command("drape")(ending(drape))
app.command("laminate")(ending(laminate))
app.command("cut")(ending(cut))
app.command("buy")(ending(buy))
app.command("keep")(ending(keep))
app.command("bag")(ending(bag))
app.command("leak")(ending(leak))
app.command("pinholes")(ending(pinholes))
app.command("bond")(ending(bond))
app.command("coat")(ending(coat))

mould = typer.Typer(no_args_is_help=True, help="The mould's surface.")
mould.command("check")(ending(mould_check))
mould.command("measure")(ending(mould_measure))
app.add_typer(mould, name="mould")

cure = typer.Typer(no_args_is_help=True, help="The cure: design it, run it on paper, judge a log, save a run.")
cure.command("run")(ending(cure_run))
cure.command("design")(ending(cure_design))
cure.command("chance")(ending(cure_chance))
cure.command("share")(ending(cure_share))
cure.command("read")(ending(cure_read))
cure.command("judge")(ending(cure_judge))
cure.command("rescue")(ending(cure_rescue))
cure.command("watch")(ending(cure_watch))
cure.command("calibrate")(ending(cure_calibrate))
app.add_typer(cure, name="cure")

resin = typer.Typer(no_args_is_help=True, help="Resins: their law and their life.")
resin.command("fit")(ending(resin_fit))
resin.command("show")(ending(resin_show))
resin.command("life")(ending(resin_life))
app.add_typer(resin, name="resin")

stock = typer.Typer(no_args_is_help=True, help="What the workshop has, with its clocks: cloth, goods, moulds, places.")
for word, function in stocking.COMMANDS:
    stock.command(word)(ending(function))
stock_mould = typer.Typer(no_args_is_help=True, help="Moulds: release coats, pulls, repairs, tests, the hottest seen.")
for word, function in stocking.MOULD_COMMANDS:
    stock_mould.command(word)(ending(function))
stock.add_typer(stock_mould, name="mould")
app.add_typer(stock, name="stock")

build = typer.Typer(no_args_is_help=True, help="A part while it is made: its steps, ticks, readings and how it ended.")
for word, function in building.COMMANDS:
    build.command(word)(ending(function))
app.add_typer(build, name="build")

records = typer.Typer(no_args_is_help=True, help="The records: carried out and in as lines of JSON, looked after.")
for word, function in RECORDS:
    records.command(word)(ending(function))
app.add_typer(records, name="records")
app.command("backup")(ending(backup))
app.command("restore")(ending(restore))


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
    try:
        alone, words, called = direct(app, sys.argv[1:] if arguments is None else arguments)
        alone(args=words, prog_name=called)
        return 0
    except SystemExit as ended:
        return ended.code if isinstance(ended.code, int) else int(ended.code is not None)
    except InputError as error:
        count = len(error.problems)
        head = "bagside: this cannot be used" if count == 1 else f"bagside: {count} things cannot be used"
        print(head, *(f"  {problem}" for problem in error.problems), sep="\n", file=sys.stderr)
        return 2
    except BagsideError as error:
        print(f"bagside: {error}", file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        print("bagside: stopped; nothing half-written was left", file=sys.stderr)
        return 130
    except BrokenPipeError:
        sys.stderr.close()
        return 141
    except Exception:
        from bagside.cli.fault import kept_fault

        print(kept_fault(), file=sys.stderr)
        return 70
